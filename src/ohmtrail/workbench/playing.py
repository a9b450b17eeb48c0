"""Planted faults: one machine with something wrong, and a whole job played on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from os import PathLike, fspath

import numpy as np

from ohmtrail.circuit import WORKS, Setting, function_setting
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Bench, Case, Mended, Planted, PlantedFault, Seen, follow, plant
from ohmtrail.errors import InputError, UnknownName
from ohmtrail.faults import Fault
from ohmtrail.grammar.names import Names
from ohmtrail.harness import Harness, load_harness
from ohmtrail.job import Event, JobState, Start, after, step_for
from ohmtrail.reports.figures import level_text
from ohmtrail.reports.results import Demo, Played, Standing
from ohmtrail.workbench.asking import shown
from ohmtrail.workbench.files import existing

__all__ = ["demo", "play", "proven", "simulate"]


def simulate(
    harness: Harness, fault: str, *, year: int, severity: float | None = None, seed: int = 1, meter: Meter | None = None
) -> Planted:
    """Give a machine with a planted fault, which answers like a real one.

    Parameters
    ----------
    harness : Harness
        The machine as described.
    fault : str
        Id of a fault, such as ``stop-2 leak``.
    year : int
        For the age of leads and parts.
    severity : float, optional
        Ohm or factor, where the fault has one; drawn where not given.
    seed : int
        Of tolerances, noise and slips.
    meter : Meter, optional
        What it is read with.

    Returns
    -------
    Planted
        Its ``take`` gives what a step shows.

    Raises
    ------
    UnknownName
        No such fault.
    InputError
        A severity that is not above nought.
    """
    case = Case(harness, meter=meter, year=year)
    return _planted(case, _fault(case, fault), severity, np.random.default_rng(seed))


def _fault(case: Case, name: str) -> Fault:
    known = {item.id.casefold(): item for item in case.faults}
    if name.strip().casefold() not in known:
        raise UnknownName("fault", name, [item.id for item in known.values()])
    return known[name.strip().casefold()]


def _planted(case: Case, fault: Fault, severity: float | None, generator: np.random.Generator) -> Planted:
    if severity is not None and not severity > 0.0:
        raise InputError(f"a severity of {severity:g} is none: give one above nought, such as 4")
    drawn = plant(fault, generator)
    chosen = PlantedFault(fault, severity) if severity is not None and fault.high else drawn
    return Planted(case.harness, [chosen], meter=case.meter, generator=generator)


def demo(
    file: str | PathLike[str],
    *,
    function: str = "",
    fault: str = "stop-2 leak",
    severity: float | None = None,
    seed: int = 1,
    year: int,
) -> Demo:
    """Plant a fault and follow the proposals to the proof.

    Parameters
    ----------
    file : str or path
        Harness file.
    function : str
        What is complained of; where not given, the first function that the fault stops.
    fault : str
        Id of the fault that is planted.
    severity : float, optional
        Ohm or factor; drawn where not given.
    seed : int
        Of tolerances, noise and slips.
    year : int
        For the age of leads and parts.

    Returns
    -------
    Demo
        Its actions are computed as they are taken; `play` gives them in full.

    Raises
    ------
    UnknownName
        No such fault or function.
    InputError
        The fault does not make the function fail.
    """
    case = Case(load_harness(existing(fspath(file))), year=year)
    machine = _planted(case, _fault(case, fault), severity, np.random.default_rng(seed))
    planted = machine.faults[0]
    complaint = _complaint(case, machine, planted, function)
    return Demo(case, planted, complaint, seed, follow(case, machine, complaint))


def _complaint(case: Case, machine: Planted, planted: PlantedFault, function: str) -> Seen:
    """What the customer says: a function that the fault stops, or that comes and goes."""
    harness, moves_at = case.harness, planted.fault.moves_at
    named = [Names(harness).function(function.split())] if function else list(harness.functions)
    for name in named:
        setting = function_setting(harness, harness.functions[name])
        level = machine.level(name, setting)
        if level < WORKS:
            return Seen(name, setting, level, sometimes=bool(moves_at))
    what = named[0] if function else "everything"
    raise InputError(f"with {planted.fault.words!r} {what} still works: choose another --fault or --function")


def play(demo: Demo) -> Iterator[Played]:
    """Give each step of a planted job in full, as it is taken.

    Parameters
    ----------
    demo : Demo
        The planted job; its actions are used up.

    Yields
    ------
    Played
        Proposal with all that goes with it, and what came of it.
    """
    case, complaint = demo.case, demo.complaint
    said = f"{complaint.function} {level_text(complaint.level, sometimes=complaint.sometimes)}"
    begun = Start("", "", case.harness.harness, case.meter, "", case.year, said)
    events = (Event(1, complaint, said, "", 0.0, complaint=True),)
    job = JobState("", begun, "", case.harness, events, Bench(Setting()), None, (), 0)
    for action in demo.actions:
        yield Played(shown(Standing(job, case, action.assessment), action.proposal), action.result, action.minutes, action.proof)
        mend = action.proposal.step.mend if action.proposal.step is not None else None
        bench, _ = after(case.harness, job.bench, step_for(action.result, job.bench.setting, mend))
        event = Event(len(job.events) + 1, action.result, "", "", action.minutes)
        job = replace(job, events=(*job.events, event), bench=bench)


def proven(steps: list[Played], demo: Demo) -> bool:
    """Whether the last step of a played job shows its complaint at work again.

    Parameters
    ----------
    steps : list of Played
        Everything done.
    demo : Demo
        The planted job.

    Returns
    -------
    bool
        True once the complaint was mended and tried.
    """
    history = [demo.complaint, *(item.result for item in steps)]
    return any(isinstance(item, Mended) for item in history) and demo.case.assess(history).proven
