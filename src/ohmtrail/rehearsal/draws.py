"""Which jobs are rehearsed: faults drawn as the rates have them, every fault once, two faults at a time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ohmtrail.circuit import WORKS, function_setting
from ohmtrail.diagnosis.case import Case
from ohmtrail.diagnosis.evidence import Seen
from ohmtrail.diagnosis.planted import Planted, PlantedFault, plant
from ohmtrail.faults import Fault

__all__ = ["Wanted", "causes", "complaint_of", "drawn_by_rate", "drawn_pairs", "every_fault", "machine_of", "singles_of", "unnoticed"]

#: severities tried before a fault counts as one that does not show the complaint
TRIES = 12


@dataclass(frozen=True)
class Wanted:
    """One job to rehearse.

    Attributes
    ----------
    function : str
        What is complained of.
    faults : tuple of str
        Ids of what is planted.
    severities : tuple of float
        Ohm or factor, nought where a fault has none.
    seed : int
        Of the healthy parts, the noise and the slips.
    """

    function: str
    faults: tuple[str, ...]
    severities: tuple[float, ...]
    seed: int


def machine_of(case: Case, wanted: Wanted) -> Planted:
    """Make the machine of a job; it is the same machine each time.

    Parameters
    ----------
    case : Case
        The machine as described.
    wanted : Wanted
        The job.

    Returns
    -------
    Planted
        With its faults.
    """
    known = _known(case)
    planted = [PlantedFault(known[name], value) for name, value in zip(wanted.faults, wanted.severities, strict=True)]
    return Planted(case.harness, planted, meter=case.meter, generator=np.random.default_rng(wanted.seed))


def complaint_of(case: Case, wanted: Wanted, machine: Planted) -> Seen | None:
    """What the customer says of a machine.

    Parameters
    ----------
    case : Case
        The machine as described.
    wanted : Wanted
        The job.
    machine : Planted
        Its machine.

    Returns
    -------
    Seen or None
        None where the function works for all that.
    """
    setting = function_setting(case.harness, case.harness.functions[wanted.function])
    level = machine.level(wanted.function, setting)
    return None if level == WORKS else Seen(wanted.function, setting, level)


def causes(case: Case, function: str) -> tuple[Fault, ...]:
    """Steady faults that can make a function fail or work weakly.

    Parameters
    ----------
    case : Case
        The machine.
    function : str
        Id of the function.

    Returns
    -------
    tuple of Fault
        In the order of the harness file.
    """
    setting = function_setting(case.harness, case.harness.functions[function])
    found: dict[str, Fault] = {}
    for level in (0, 1):
        posterior = case.assess([Seen(function, setting, level)]).posterior
        for row in posterior.table.rows if posterior is not None else ():
            if len(row.faults) == 1 and not row.faults[0].moves_at:
                found.setdefault(row.faults[0].id, row.faults[0])
    return tuple(fault for fault in case.faults if fault.id in found)


def drawn_by_rate(case: Case, functions: Sequence[str], count: int, seed: int) -> Iterator[Wanted]:
    """Draw jobs as the rates have them: more of what fails more often.

    Parameters
    ----------
    case : Case
        The machine.
    functions : sequence of str
        Complaints.
    count : int
        Jobs for each complaint.
    seed : int
        Of the draw.

    Yields
    ------
    Wanted
        Jobs whose complaint shows.
    """
    generator = np.random.default_rng([seed, 1])
    for function in functions:
        could = causes(case, function)
        made, tried = 0, 0
        while could and made < count and tried < TRIES * count:
            tried += 1
            job = _draw(case, function, [_by_rate(could, generator)], generator)
            if job is not None:
                made += 1
                yield job


def every_fault(case: Case, functions: Sequence[str], seed: int) -> Iterator[Wanted]:
    """Take every fault once, against one of the complaints it can cause.

    Parameters
    ----------
    case : Case
        The machine.
    functions : sequence of str
        Complaints.
    seed : int
        Of complaints, severities and noise.

    Yields
    ------
    Wanted
        In the order of the complaints; what shows no complaint at any severity drawn is left out.
    """
    generator = np.random.default_rng([seed, 2])
    can: dict[str, list[str]] = {}
    known: dict[str, Fault] = {}
    for function in functions:
        for fault in causes(case, function):
            can.setdefault(fault.id, []).append(function)
            known[fault.id] = fault
    chosen: dict[str, list[Fault]] = {}
    for name, shown in can.items():
        chosen.setdefault(shown[int(generator.integers(len(shown)))], []).append(known[name])
    for function in functions:
        for fault in chosen.get(function, ()):
            jobs = (_draw(case, function, [fault], generator) for _ in range(TRIES))
            job = next((item for item in jobs if item is not None), None)
            if job is not None:
                yield job


def unnoticed(case: Case, functions: Sequence[str]) -> tuple[str, ...]:
    """Give the steady faults that no complaint shows.

    Parameters
    ----------
    case : Case
        The machine.
    functions : sequence of str
        Complaints.

    Returns
    -------
    tuple of str
        Ids, in the order of the harness file.
    """
    shown = {fault.id for function in functions for fault in causes(case, function)}
    return tuple(fault.id for fault in case.faults if not fault.moves_at and fault.id not in shown)


def drawn_pairs(case: Case, functions: Sequence[str], count: int, seed: int) -> Iterator[Wanted]:
    """Draw two faults at a time, each of which shows the complaint by itself.

    Parameters
    ----------
    case : Case
        The machine.
    functions : sequence of str
        Complaints.
    count : int
        Pairs for each complaint.
    seed : int
        Of the draw.

    Yields
    ------
    Wanted
        Jobs with two faults on different elements, put right by different mends.
    """
    generator = np.random.default_rng([seed, 3])
    for function in functions:
        could = causes(case, function)
        made, tried = 0, 0
        while len(could) > 1 and made < count and tried < TRIES * count:
            tried += 1
            first, second = _by_rate(could, generator), _by_rate(could, generator)
            if first.mend.id == second.mend.id or first.element == second.element:
                continue
            job = _draw(case, function, [first, second], generator)
            if job is not None and all(_shows(case, single) for single in singles_of(job)):
                made += 1
                yield job


def singles_of(pair: Wanted) -> tuple[Wanted, ...]:
    """Give the faults of a job as jobs of their own, on the same machine.

    Parameters
    ----------
    pair : Wanted
        A job.

    Returns
    -------
    tuple of Wanted
        One for each fault.
    """
    both = zip(pair.faults, pair.severities, strict=True)
    return tuple(Wanted(pair.function, (name,), (value,), pair.seed) for name, value in both)


def _known(case: Case) -> dict[str, Fault]:
    return {fault.id: fault for fault in case.every_fault}


def _by_rate(could: Sequence[Fault], generator: np.random.Generator) -> Fault:
    rates = np.array([fault.rate for fault in could])
    return could[int(generator.choice(len(could), p=rates / rates.sum()))]


def _draw(case: Case, function: str, faults: Sequence[Fault], generator: np.random.Generator) -> Wanted | None:
    """A job with severities drawn; None where its complaint does not show."""
    drawn = [plant(fault, generator).severity for fault in faults]
    job = Wanted(function, tuple(fault.id for fault in faults), tuple(drawn), int(generator.integers(2**31)))
    return job if _shows(case, job) else None


def _shows(case: Case, wanted: Wanted) -> bool:
    return complaint_of(case, wanted, machine_of(case, wanted)) is not None
