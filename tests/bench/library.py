"""One step of a job, against a general-purpose Bayesian-network library fed the same discretised problem.

The suspects that shape a choice on circuit 1 are the states of one node, the mend is its child, and every
reading that comes into question is a child with its outcomes. A step is: the suspects' chances after what was
read, and for each other reading the joint chances of mend and outcome, from which its gain follows. The library
takes whichever of its exact methods is the quickest.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from figures import Line, Watch
from numpy.typing import NDArray

from ohmtrail.circuit import function_setting
from ohmtrail.diagnosis import Case
from ohmtrail.diagnosis.candidates import measurements, settings_to_measure
from ohmtrail.diagnosis.evidence import Seen
from ohmtrail.diagnosis.gain import gains
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.diagnosis.steps import Bench
from ohmtrail.harness import Harness

__all__ = ["against_a_library"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: readings of the problem, and readings that are taken one after another
READINGS, TAKEN = 300, 5
#: what chances and gains may differ by
NEAR = 1e-9


@dataclass(frozen=True)
class _Problem:
    """Suspects and readings as tables.

    Attributes
    ----------
    chance : array, (n_rows,)
        Of each suspect, before anything is read.
    group : array of int, (n_rows,)
        Mend of each.
    outcomes : array, (n_readings, n_rows, n_outcomes)
        Chance of each outcome.
    """

    chance: Floats
    group: Ints
    outcomes: Floats


def against_a_library(harness: Harness, complaint: str) -> Iterator[Line]:
    """Give the line of the table; one that says so where the library is not installed.

    Parameters
    ----------
    harness : Harness
        The machine.
    complaint : str
        A function that fails.

    Yields
    ------
    Line
        Ratio of processor time per step.
    """
    about = "Bayesian-network library / ours, per step"
    try:
        library: Any = importlib.import_module("pyagrum")
    except ImportError:
        yield Line(about, "not measured", "50 x", met=False, how="pip install '.[bench]' brings the library")
        return
    problem = _problem(harness, complaint)
    taken, ours_s, found = _by_us(problem)
    theirs_s = min(_by_library(library, problem, taken, found, name) for name in ("VariableElimination", "LazyPropagation"))
    ratio = theirs_s / ours_s
    size = f"{len(problem.chance)} suspects, {len(problem.outcomes)} readings of {problem.outcomes.shape[2]} outcomes"
    how = f"{size}: {1e3 * ours_s:.2f} ms against {1e3 * theirs_s:.0f} ms (pyAgrum {library.__version__}), chances and gains equal"
    yield Line(about, f"{ratio:,.0f} x", "50 x", ratio >= 50, how)


def _problem(harness: Harness, complaint: str) -> _Problem:
    """What a job's first choice weighs."""
    case = Case(harness, year=2026)
    setting = function_setting(harness, harness.functions[complaint])
    seen = Seen(complaint, setting, 0)
    posterior = case.assess([seen]).posterior
    assert posterior is not None
    chooser = Chooser(posterior, Bench(setting), (seen,))
    tables: list[Floats] = []
    for dead in settings_to_measure(chooser.around, setting):
        pairs = measurements(chooser.around, dead, "ohms", case.meter)
        tables.extend(chooser.outlook.numbers(chooser.table.measured("ohms", dead, pairs, scan=True), dead))
        if len(tables) >= READINGS:
            break
    return _Problem(chooser.weight / chooser.weight.sum(), chooser.group, np.array(tables[:READINGS]))


def _by_us(problem: _Problem) -> tuple[list[tuple[int, int]], float, list[tuple[Floats, Floats]]]:
    """Readings taken with their outcomes, processor seconds per step, and chances and gains after each."""
    generator, chance = np.random.default_rng(11), problem.chance
    hidden = int(generator.choice(len(chance), p=chance))
    taken: list[tuple[int, int]] = []
    found: list[tuple[Floats, Floats]] = []
    for _ in range(TAKEN):
        told = gains(problem.outcomes, chance, problem.group)
        told[[reading for reading, _ in taken]] = -1.0
        reading = int(told.argmax())
        likely = problem.outcomes[reading, hidden]
        taken.append((reading, int(generator.choice(len(likely), p=likely / likely.sum()))))
        chance, told = _step(problem, taken)
        found.append((chance, told))
    watch, rounds = Watch(), 20
    for _ in range(rounds):
        for count in range(1, TAKEN + 1):
            _step(problem, taken[:count])
    return taken, watch.lap() / (rounds * TAKEN), found


def _step(problem: _Problem, taken: Sequence[tuple[int, int]]) -> tuple[Floats, Floats]:
    """Chances after what was read, and the gain of every reading."""
    chance = problem.chance.copy()
    for reading, outcome in taken:
        chance = chance * problem.outcomes[reading, :, outcome]
    chance /= chance.sum()
    return chance, gains(problem.outcomes, chance, problem.group)


def _by_library(
    library: Any, problem: _Problem, taken: Sequence[tuple[int, int]], found: Sequence[tuple[Floats, Floats]], method: str
) -> float:
    """Processor seconds per step, the answers compared."""
    network = _network(library, problem)
    spent = 0.0
    for count, (chance, told) in enumerate(found, 1):
        others = [index for index in range(len(problem.outcomes)) if index not in {reading for reading, _ in taken[:count]}]
        watch = Watch()
        inference = getattr(library, method)(network)
        inference.setEvidence({f"reading{reading}": outcome for reading, outcome in taken[:count]})
        if method == "LazyPropagation":
            for index in others:
                inference.addJointTarget({"mend", f"reading{index}"})
            inference.makeInference()
        after = inference.posterior("suspect").toarray()
        joint = [inference.jointPosterior({"mend", f"reading{index}"}) for index in others]
        theirs = np.array([_gain(table.toarray()) for table in joint])
        spent += watch.lap()
        assert np.abs(after - chance).max() < NEAR
        assert np.abs(theirs - told[others]).max() < NEAR
    return spent / len(found)


def _gain(joint: Floats) -> float:
    """Bits that one of two says of the other."""
    alone = joint.sum(axis=0, keepdims=True) * joint.sum(axis=1, keepdims=True)
    there = joint > 0
    return float((joint[there] * np.log2(joint[there] / alone[there])).sum())


def _network(library: Any, problem: _Problem) -> Any:
    """The problem as a network of nodes."""
    network, (readings, rows, outcomes) = library.BayesNet(), problem.outcomes.shape
    mends = int(problem.group.max()) + 1
    suspect = network.add(library.LabelizedVariable("suspect", "", rows))
    mend = network.add(library.LabelizedVariable("mend", "", mends))
    network.addArc(suspect, mend)
    network.cpt(suspect)[:] = problem.chance
    network.cpt(mend)[:] = np.eye(mends)[problem.group]
    for index in range(readings):
        node = network.add(library.LabelizedVariable(f"reading{index}", "", outcomes))
        network.addArc(suspect, node)
        network.cpt(node)[:] = problem.outcomes[index] / problem.outcomes[index].sum(axis=1, keepdims=True)
    return network
