"""What a job's records come to: events in order, where the machine stands, minutes spent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import (
    Bench,
    Evidence,
    Looked,
    Measured,
    Mended,
    Seen,
    Step,
    after,
)
from ohmtrail.faults import Mend
from ohmtrail.harness.model import Harness
from ohmtrail.job.records import Start
from ohmtrail.job.surveyed import Progress, progress_of
from ohmtrail.survey import Planned

__all__ = ["Doing", "Event", "JobState", "after", "step_for"]


@dataclass(frozen=True)
class Event:
    """One thing done on the job.

    Attributes
    ----------
    number : int
        As people name it, from 1; the complaint comes first.
    what : Measured, Seen, Looked or Mended
        The thing.
    said : str
        As typed.
    at : str
        When, ISO 8601.
    minutes : float
        What it took, openings included.
    complaint : bool
        Whether it is what the customer says.
    struck : bool
        Whether it was struck; it stays in the file and no longer counts.
    token : str
        The mark of the request that added it; empty where there was none.
    """

    number: int
    what: Evidence | Mended
    said: str
    at: str
    minutes: float
    complaint: bool = False
    struck: bool = False
    token: str = ""


@dataclass(frozen=True)
class Doing:
    """Something that can be taken back: an event, a step not wanted, or a place out of reach.

    Attributes
    ----------
    number : int
        Of the event; 0 where it is none.
    step : Step or None
        What was not wanted.
    place : str
        What cannot be reached.
    """

    number: int = 0
    step: Step | None = None
    place: str = ""


@dataclass(frozen=True)
class JobState:
    """A job as it stands.

    Attributes
    ----------
    path : str
        The job file.
    start : Start
        Its first record, with the harness as it is now accepted.
    harness_path : str
        The harness file, from here.
    harness : Harness
        The machine.
    events : tuple of Event
        In order, struck ones included.
    bench : Bench
        Where the machine stands.
    proposed : Step or None
        What was proposed last and not answered yet.
    notes : tuple of str
        Notes.
    records : int
        How many records the file has.
    changed : bool
        Whether the harness file is not what it was when it was last accepted.
    doings : tuple of Doing
        What can be taken back, in order; the complaint cannot.
    tokens : frozenset of str
        Marks of the requests that added something.
    proposal : int
        The record of ``proposed``; 0 where there is none.
    asked : mapping of int to Step
        What was proposed, by the number of its record; mends are left out.
    planned : tuple of Planned
        The readings of its survey, where it began with one.
    """

    path: str
    start: Start
    harness_path: str
    harness: Harness
    events: tuple[Event, ...]
    bench: Bench
    proposed: Step | None
    notes: tuple[str, ...]
    records: int
    changed: bool = False
    doings: tuple[Doing, ...] = ()
    tokens: frozenset[str] = frozenset()
    proposal: int = 0
    asked: Mapping[int, Step] = field(default_factory=dict)
    planned: tuple[Planned, ...] = ()

    @property
    def progress(self) -> tuple[Progress, ...]:
        """How each reading of the survey stands."""
        return progress_of(self.start.meter, self.planned, self.history)

    @property
    def counted(self) -> tuple[Event, ...]:
        """Events that were not struck."""
        return tuple(item for item in self.events if not item.struck)

    @property
    def history(self) -> tuple[Evidence | Mended, ...]:
        """What a case is assessed by."""
        return tuple(item.what for item in self.counted)

    @property
    def minutes(self) -> float:
        """Minutes spent so far, struck readings included."""
        return sum(item.minutes for item in self.events)


def step_for(what: Evidence | Mended, now: Setting, mend: Mend | None = None) -> Step:
    """Give the step that a piece of evidence or a mend was.

    Parameters
    ----------
    what : Evidence or Mended
        What was done.
    now : Setting
        State of the machine, for what has no setting of its own.
    mend : Mend, optional
        Of a mend.

    Returns
    -------
    Step
        The step.
    """
    if isinstance(what, Measured):
        return Step("measure", what.setting, what.quantity, what.red, what.black)
    if isinstance(what, Seen):
        return Step("watch", what.setting, function=what.function)
    if isinstance(what, Looked):
        return Step("look", now, element=what.element)
    return Step("mend", now, mend=mend)
