"""Rehearsal: a simulated technician works through planted faults of a machine, job after job.

Every job has its own healthy machine within tolerance, its own severity, meter noise, slips and costs.
Excess minutes are those over walking straight to the right mend, which no policy can save.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit import WORKS, Setting, function_setting
from ohmtrail.diagnosis.case import Case
from ohmtrail.diagnosis.evidence import Seen
from ohmtrail.diagnosis.planted import Planted, PlantedFault, plant
from ohmtrail.diagnosis.steps import Bench, Step, minutes_of
from ohmtrail.diagnosis.technician import follow
from ohmtrail.faults import Fault
from ohmtrail.harness.model import Harness

__all__ = ["Rehearsed", "Summary", "Wanted", "drawn_by_rate", "every_fault", "rehearse", "summarise"]

Floats = NDArray[np.float64]

#: resamplings for the 90 % intervals
RESAMPLES = 400


@dataclass(frozen=True)
class Wanted:
    """One job to rehearse: function, fault and the seed of everything that is drawn."""

    function: str
    fault: str
    seed: int


@dataclass(frozen=True)
class Rehearsed:
    """One job rehearsed.

    Attributes
    ----------
    wanted : Wanted
        What was planted.
    severity : float
        Ohm or factor.
    minutes, direct : float
        To a proven mend, and by walking straight to the right one, minute.
    steps, mends : int
        Steps done and mends made.
    first_share : float
        Share of the answer whose mend was made first.
    first_right : bool
        Whether that mend put it right.
    named : bool
        Whether it was named (95 % or more, confirmed) before the first mend.
    grouped : bool
        Whether the first mend came from a group that nothing within reach could split.
    solved : bool
        Whether the fault was gone at the end.
    """

    wanted: Wanted
    severity: float
    minutes: float
    direct: float
    steps: int
    mends: int
    first_share: float
    first_right: bool
    named: bool
    grouped: bool
    solved: bool


@dataclass(frozen=True)
class Summary:
    """Figures of many jobs; intervals are 90 %.

    Attributes
    ----------
    jobs : int
        How many.
    named, right_if_named, first_right, solved : float
        Shares; ``named`` counts named answers and smallest groups.
    minutes, excess : tuple of (mean, low, high)
        Minutes to a proven mend, and over the direct way.
    median_minutes, worst_minutes : float
        Of the jobs.
    steps, mends : float
        Means.
    calibration : tuple of (low share, stated, true, count)
        Of the first mend, by stated share.
    """

    jobs: int
    named: float
    right_if_named: float
    first_right: float
    solved: float
    minutes: tuple[float, float, float]
    excess: tuple[float, float, float]
    median_minutes: float
    worst_minutes: float
    steps: float
    mends: float
    calibration: tuple[tuple[float, float, float, int], ...]


def drawn_by_rate(case: Case, functions: Sequence[str], count: int, seed: int) -> Iterator[Wanted]:
    """Draw jobs as the rates have them: more of what fails more often.

    Parameters
    ----------
    case : Case
        The machine.
    functions : sequence of str
        Complaints.
    count : int
        Jobs for each function.
    seed : int
        Of the draw.

    Yields
    ------
    Wanted
        Faults that may or may not show the complaint; `rehearse` skips those that do not.
    """
    generator = np.random.default_rng(seed)
    for function in functions:
        causes = _causes(case, function)
        if not causes:
            continue
        rates = np.array([fault.rate for fault in causes])
        for index in generator.choice(len(causes), size=count, p=rates / rates.sum()):
            yield Wanted(function, causes[int(index)].id, int(generator.integers(2**31)))


def every_fault(case: Case, functions: Sequence[str], seed: int) -> Iterator[Wanted]:
    """Take every fault that can cause each complaint, once.

    Parameters
    ----------
    case : Case
        The machine.
    functions : sequence of str
        Complaints.
    seed : int
        Of severities and noise.

    Yields
    ------
    Wanted
        One for each fault.
    """
    generator = np.random.default_rng(seed)
    for function in functions:
        for fault in _causes(case, function):
            yield Wanted(function, fault.id, int(generator.integers(2**31)))


def _causes(case: Case, function: str) -> tuple[Fault, ...]:
    """Steady faults that can make a function fail or work weakly."""
    setting = function_setting(case.harness, case.harness.functions[function])
    posterior = case.assess([Seen(function, setting, 0)]).posterior
    weak = case.assess([Seen(function, setting, 1)]).posterior
    found: dict[str, Fault] = {}
    for table in (posterior, weak):
        for row in table.table.rows if table is not None else ():
            if len(row.faults) == 1 and not row.faults[0].moves_at:
                found.setdefault(row.faults[0].id, row.faults[0])
    return tuple(found.values())


def rehearse_one(case: Case, wanted: Wanted) -> Rehearsed | None:
    """Rehearse one job.

    Parameters
    ----------
    case : Case
        The machine.
    wanted : Wanted
        What to plant.

    Returns
    -------
    Rehearsed or None
        None where the drawn severity does not make the complaint appear.
    """
    generator = np.random.default_rng(wanted.seed)
    fault = next(item for item in case.faults if item.id == wanted.fault)
    planted: PlantedFault = plant(fault, generator)
    machine = Planted(case.harness, [planted], meter=case.meter, generator=generator)
    setting = function_setting(case.harness, case.harness.functions[wanted.function])
    level = machine.level(wanted.function, setting)
    if level == WORKS:
        return None
    return _work(case, machine, wanted, planted, Seen(wanted.function, setting, level))


def _work(case: Case, machine: Planted, wanted: Wanted, planted: PlantedFault, complaint: Seen) -> Rehearsed:
    minutes, steps, mends = 0.0, 0, 0
    share, right, named, grouped = 0.0, False, False, False
    for action in follow(case, machine, complaint):
        minutes, steps = minutes + action.minutes, steps + 1
        step = action.proposal.step
        if step is None or step.mend is None:
            continue
        mends += 1
        if mends == 1 and action.assessment.posterior is not None:
            answers = action.assessment.posterior.answers
            share = next((item.share for item in answers if step.mend.id in item.mends), 0.0)
            right = step.mend.id == planted.fault.mend.id
            named, grouped = action.proposal.named is not None, bool(action.proposal.group)
    direct = minutes_of(case.harness, Step("mend", complaint.setting, mend=planted.fault.mend), Bench(Setting()))
    return Rehearsed(
        wanted, planted.severity, minutes, direct, steps, mends, share, right, named, grouped, not machine.faults
    )


_CASE: Case | None = None


def _begin(harness: Harness, year: int) -> None:
    """Prepare a worker process."""
    global _CASE  # one machine for each worker process, made once
    _CASE = Case(harness, year=year)


def _worked(wanted: Wanted) -> Rehearsed | None:
    assert _CASE is not None
    return rehearse_one(_CASE, wanted)


def rehearse(harness: Harness, wanted: Sequence[Wanted], *, year: int, jobs: int = 1) -> Iterator[Rehearsed | None]:
    """Rehearse many jobs, in their order.

    Parameters
    ----------
    harness : Harness
        The machine.
    wanted : sequence of Wanted
        What to plant.
    year : int
        For the age of leads and parts.
    jobs : int
        Processes.

    Yields
    ------
    Rehearsed or None
        None for what does not make its complaint appear.
    """
    if jobs <= 1:
        case = Case(harness, year=year)
        for item in wanted:
            yield rehearse_one(case, item)
        return
    with ProcessPoolExecutor(max_workers=jobs, initializer=_begin, initargs=(harness, year)) as pool:
        yield from pool.map(_worked, wanted, chunksize=2)


def summarise(done: Sequence[Rehearsed], *, seed: int = 1) -> Summary:
    """Put figures on many jobs.

    Parameters
    ----------
    done : sequence of Rehearsed
        At least one.
    seed : int
        Of the resampling.

    Returns
    -------
    Summary
        Means with 90 % intervals.
    """
    minutes = np.array([item.minutes for item in done])
    excess = np.array([item.minutes - item.direct for item in done])
    named = [item for item in done if item.named]
    return Summary(
        len(done),
        float(np.mean([item.named or item.grouped for item in done])),
        float(np.mean([item.first_right for item in named])) if named else float("nan"),
        float(np.mean([item.first_right for item in done])),
        float(np.mean([item.solved for item in done])),
        _interval(minutes, seed),
        _interval(excess, seed),
        float(np.median(minutes)),
        float(minutes.max()),
        float(np.mean([item.steps for item in done])),
        float(np.mean([item.mends for item in done])),
        _calibration(done),
    )


def _interval(values: Floats, seed: int) -> tuple[float, float, float]:
    generator = np.random.default_rng(seed)
    means = values[generator.integers(len(values), size=(RESAMPLES, len(values)))].mean(axis=1)
    low, high = np.quantile(means, [0.05, 0.95])
    return float(values.mean()), float(low), float(high)


def _calibration(done: Sequence[Rehearsed]) -> tuple[tuple[float, float, float, int], ...]:
    made = []
    for low, high in ((0.0, 0.5), (0.5, 0.8), (0.8, 0.95), (0.95, 0.99), (0.99, 1.01)):
        here = [item for item in done if low <= item.first_share < high and item.mends]
        if here:
            stated = float(np.mean([item.first_share for item in here]))
            made.append((low, stated, float(np.mean([item.first_right for item in here])), len(here)))
    return tuple(made)
