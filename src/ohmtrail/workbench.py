"""The verbs as plain functions: what the command line and, later, the page call. Nothing here prints."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np

from ohmtrail.circuit import Electrics, Setting, function_setting
from ohmtrail.circuit.checks import check_circuit
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Action, Assessment, Case, Planted, Proposal, Seen, follow, plant
from ohmtrail.diagnosis.planted import PlantedFault
from ohmtrail.errors import InputError, UnknownName
from ohmtrail.grammar import Context, read_line
from ohmtrail.harness import Harness, load_harness, read_harness
from ohmtrail.harness.checks import check_harness
from ohmtrail.harness.findings import Finding
from ohmtrail.job import JobState, add_events, add_mend, add_note, add_proposal, add_strike, begin, read_job

__all__ = ["Checked", "Demo", "Standing", "check", "demo", "mend", "propose_next", "read", "stand", "start", "strike"]


@dataclass(frozen=True)
class Checked:
    """Findings about a usable harness, each with its place in the file."""

    harness: Harness
    findings: tuple[tuple[Finding, int, int], ...]


@dataclass(frozen=True)
class Standing:
    """A job as it stands: its case, what follows from its readings, and the file's state."""

    job: JobState
    case: Case
    assessment: Assessment


@dataclass(frozen=True)
class Demo:
    """A planted job: the machine, what is wrong with it, and the steps taken, as they are computed."""

    case: Case
    planted: PlantedFault
    complaint: Seen
    actions: Iterator[Action]


def check(path: Path) -> Checked:
    """Check a harness file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    Checked
        Findings, the serious ones first.

    Raises
    ------
    HarnessError
        The file cannot be used.
    """
    harness, tree = read_harness(path)
    found = [*check_harness(harness), *check_circuit(Electrics(harness))]
    placed = [(item, tree.where(item.path).line, tree.where(item.path).column) for item in found]
    return Checked(harness, tuple(sorted(placed, key=lambda item: (not item[0].serious, item[1], item[2]))))


def start(path: str, *, harness_path: str, complaint: str, now: datetime) -> Standing:
    """Begin a job.

    Parameters
    ----------
    path, harness_path : str
        The job file to make, and the harness file.
    complaint : str
        Such as ``spark absent``.
    now : datetime
        With its zone.

    Returns
    -------
    Standing
        The job as it stands.

    Raises
    ------
    InputError
        The complaint is no function that fails.
    """
    harness, meter = load_harness(harness_path), Meter()
    line = read_line(complaint, Context(harness, Setting(), meter))
    if not isinstance(line.evidence, Seen) or (line.evidence.level == 2 and not line.evidence.sometimes):
        names = ", ".join(harness.functions)
        raise InputError(f"{complaint!r} is no complaint: name a function and how it fails, as in 'spark absent'; there is {names}")
    begin(
        path,
        harness_path=harness_path,
        machine=harness.harness,
        complaint=complaint,
        seen=[line.evidence],
        meter=meter,
        year=now.year,
        now=now,
    )
    return stand(path)


def stand(path: str) -> Standing:
    """Say how a job stands.

    Parameters
    ----------
    path : str
        The job file.

    Returns
    -------
    Standing
        Suspects, counting readings, what is to be proven.
    """
    job = read_job(path)
    case = Case(job.harness, meter=job.start.meter, year=job.start.year)
    return Standing(job, case, case.assess(job.history))


def read(path: str, text: str, now: datetime) -> Standing:
    """Add one reading or note to a job.

    Parameters
    ----------
    path : str
        The job file.
    text : str
        One line; see `ohmtrail.grammar.GRAMMAR`.
    now : datetime
        With its zone.

    Returns
    -------
    Standing
        The job with the reading.
    """
    job = read_job(path)
    line = read_line(text, Context(job.harness, job.bench.setting, job.start.meter, job.proposed))
    if line.evidence is None:
        add_note(job, line.note, now)
    else:
        add_events(job, [(line.evidence, text)], now)
    return stand(path)


def propose_next(standing: Standing, now: datetime) -> Proposal:
    """Choose what to do next, and keep it in the job so that a bare answer can follow.

    Parameters
    ----------
    standing : Standing
        The job.
    now : datetime
        With its zone.

    Returns
    -------
    Proposal
        The step.
    """
    proposal = standing.case.next_step(standing.assessment, standing.job.bench)
    if proposal.step is not None and proposal.step != standing.job.proposed:
        add_proposal(standing.job, proposal.step, now)
    return proposal


def mend(path: str, name: str, now: datetime) -> Standing:
    """Record a mend.

    Parameters
    ----------
    path : str
        The job file.
    name : str
        Id of the mend, as ``suspects`` shows it.
    now : datetime
        With its zone.

    Returns
    -------
    Standing
        With the functions that are now to be proven.

    Raises
    ------
    UnknownName
        No fault of this machine has that mend.
    """
    standing = stand(path)
    if name not in standing.case.mends():
        raise UnknownName("mend", name, standing.case.mends())
    add_mend(standing.job, name, now)
    return stand(path)


def strike(path: str, number: int, why: str, now: datetime) -> Standing:
    """Strike a reading; it stays in the file and no longer counts.

    Parameters
    ----------
    path : str
        The job file.
    number : int
        As ``suspects`` numbers it.
    why : str
        The reason.
    now : datetime
        With its zone.

    Returns
    -------
    Standing
        The job without it.
    """
    add_strike(read_job(path), number, why, now)
    return stand(path)


def demo(path: str, *, function: str, fault: str, severity: float | None, seed: int, year: int) -> Demo:
    """Plant a fault and follow the proposals to the proof.

    Parameters
    ----------
    path : str
        Harness file.
    function, fault : str
        What is complained of, and id of the fault that is planted.
    severity : float or None
        Ohm or factor; drawn where not given.
    seed : int
        Of tolerances, noise and slips.
    year : int
        For the age of leads and parts.

    Returns
    -------
    Demo
        Its actions are computed as they are taken.

    Raises
    ------
    UnknownName
        No such fault or function.
    InputError
        The fault does not make the function fail.
    """
    case = Case(load_harness(path), year=year)
    faults = {item.id: item for item in case.faults}
    if fault not in faults:
        raise UnknownName("fault", fault, faults)
    if function not in case.harness.functions:
        raise UnknownName("function", function, case.harness.functions)
    generator = np.random.default_rng(seed)
    planted = plant(faults[fault], generator)
    if severity is not None and planted.fault.high:
        planted = PlantedFault(planted.fault, severity)
    machine = Planted(case.harness, [planted], meter=case.meter, generator=generator)
    setting = function_setting(case.harness, case.harness.functions[function])
    level = machine.level(function, setting)
    if level == 2:
        raise InputError(f"with {planted.fault.words!r} {function} still works: choose another --fault or --function")
    complaint = Seen(function, setting, level)
    return Demo(case, planted, complaint, follow(case, machine, complaint))
