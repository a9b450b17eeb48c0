"""Add to a job file: one record for each thing done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Literal

from ohmtrail import journal
from ohmtrail.diagnosis import Evidence, Step
from ohmtrail.errors import JobError
from ohmtrail.job.records import KIND, VERSION, evidence_data, step_data
from ohmtrail.job.state import JobState

__all__ = [
    "add_events",
    "add_harness",
    "add_mend",
    "add_note",
    "add_place",
    "add_proposal",
    "add_skip",
    "add_strike",
    "add_wanted",
]


def _add(
    job: JobState, record: str, data: Mapping[str, object], now: datetime, *, later: int = 0, token: str = ""
) -> None:
    """Add one record, sure that nobody else has added since the job was read."""
    seen = job.records + later
    journal.append(job.path, kind=KIND, version=VERSION, record=record, data=data, now=now, expect=seen, token=token)


def add_events(job: JobState, items: Sequence[tuple[Evidence, str]], now: datetime, *, token: str = "") -> None:
    """Add readings.

    Parameters
    ----------
    job : JobState
        As it was read.
    items : sequence of (evidence, text)
        What was read, and as it was typed.
    now : datetime
        With its zone.
    token : str
        A mark of the request, by which it adds nothing when it comes again.

    Raises
    ------
    BusyError
        The file was added to elsewhere, or is held.
    StorageError
        It cannot be written.
    """
    for later, (item, said) in enumerate(items):
        mark = f"{token}.{later}" if token and later else token
        _add(job, "reading", {"said": said, **evidence_data(item)}, now, later=later, token=mark)


def add_mend(job: JobState, mend: str, now: datetime, *, token: str = "") -> None:
    """Add a mend.

    Parameters
    ----------
    job : JobState
        As it was read.
    mend : str
        Its id.
    now : datetime
        With its zone.
    token : str
        A mark of the request, by which it adds nothing when it comes again.
    """
    _add(job, "mend", {"mend": mend}, now, token=token)


def add_note(job: JobState, text: str, now: datetime, *, token: str = "") -> None:
    """Add a note.

    Parameters
    ----------
    job : JobState
        As it was read.
    text : str
        The note.
    now : datetime
        With its zone.
    token : str
        A mark of the request, by which it adds nothing when it comes again.
    """
    _add(job, "note", {"text": text}, now, token=token)


def add_strike(job: JobState, number: int, why: str, now: datetime, *, token: str = "") -> None:
    """Strike a reading; it stays in the file.

    Parameters
    ----------
    job : JobState
        As it was read.
    number : int
        Of the event.
    why : str
        May be empty.
    now : datetime
        With its zone.
    token : str
        A mark of the request, by which it adds nothing when it comes again.

    Raises
    ------
    JobError
        There is no such event, or it is struck already.
    """
    if not 1 <= number <= len(job.events):
        raise JobError(f"there is no reading {number}: this job has 1 to {len(job.events)}")
    if job.events[number - 1].struck:
        raise JobError(f"reading {number} is struck already")
    _add(job, "strike", {"number": str(number), **({"why": why} if why else {})}, now, token=token)


def add_proposal(job: JobState, step: Step, now: datetime) -> None:
    """Add what was proposed, so that a bare value can answer it.

    Parameters
    ----------
    job : JobState
        As it was read.
    step : Step
        The proposal.
    now : datetime
        With its zone.
    """
    if step != job.proposed:
        _add(job, "proposal", step_data(step), now)


def add_skip(job: JobState, step: Step, now: datetime, *, token: str = "") -> None:
    """Add that a step is not wanted.

    Parameters
    ----------
    job : JobState
        As it was read.
    step : Step
        The step.
    now : datetime
        With its zone.
    token : str
        A mark of the request, by which it adds nothing when it comes again.
    """
    _add(job, "skip", step_data(step), now, token=token)


def add_wanted(job: JobState, step: Step, now: datetime, *, token: str = "") -> None:
    """Add that a step which was not wanted may be proposed again.

    Parameters
    ----------
    job : JobState
        As it was read.
    step : Step
        The step.
    now : datetime
        With its zone.
    token : str
        A mark of the request, by which it adds nothing when it comes again.
    """
    _add(job, "wanted", step_data(step), now, token=token)


def add_place(job: JobState, place: str, state: Literal["unreachable", "reachable"], now: datetime, *, token: str = "") -> None:
    """Add whether a place can be reached.

    Parameters
    ----------
    job : JobState
        As it was read.
    place : str
        Id of a place.
    state : str
        ``unreachable`` or ``reachable``.
    now : datetime
        With its zone.
    token : str
        A mark of the request, by which it adds nothing when it comes again.
    """
    _add(job, "place", {"place": place, "state": state}, now, token=token)


def add_harness(job: JobState, now: datetime) -> None:
    """Add that the harness as it is now was accepted.

    Parameters
    ----------
    job : JobState
        As it was read, with the harness as it is now.
    now : datetime
        With its zone.
    """
    _add(job, "harness", {"harness-sha256": job.start.sha256}, now)
