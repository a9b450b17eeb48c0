"""What drills give back: values only, ready to be written as text, as JSON or into the drill's own file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ohmtrail.errors import JobError
from ohmtrail.job.texts import amount, whole, word
from ohmtrail.journal import Value
from ohmtrail.training import Course, Done, Mark, Route

__all__ = ["DrillEnd", "DrillSummary", "Ended", "OpenDrill", "Summarised"]

OUTCOMES = ("right", "luck", "given-up")


@dataclass(frozen=True)
class Ended:
    """How a drill ended, as its file keeps it for the trainer.

    Attributes
    ----------
    points : int
        The mark, 0 to 100.
    outcome : str
        right, luck or given-up.
    fault : str
        What was planted, in words.
    mends : str
        What puts it right.
    minutes, best_minutes : float
        The learner's and the tool's own.
    readings, best_readings : int
        The learner's and the tool's own.
    vain, dangers, hints, nothing : int
        Mends made in vain, steps that were stopped, hints, and readings that told nothing.
    stopped : str
        Ids of the cautions that were broken, with blanks between.
    """

    points: int
    outcome: str
    fault: str
    mends: str
    minutes: float
    best_minutes: float
    readings: int
    best_readings: int
    vain: int
    dangers: int
    hints: int
    nothing: int
    stopped: str = ""

    def as_text(self) -> dict[str, str]:
        """Give every field as text."""
        return {name.replace("_", "-"): f"{value:.1f}" if isinstance(value, float) else str(value) for name, value in vars(self).items()}

    @staticmethod
    def of_text(data: Mapping[str, Value]) -> Ended:
        """Read the fields back.

        Raises
        ------
        JobError
            One is missing, or cannot be.
        """
        counted = {name: whole(data, name.replace("_", "-")) for name in ("points", "readings", "best_readings", "vain", "dangers", "hints", "nothing")}
        minutes = {name: amount(word(data, key), key, least=0.0) for name, key in (("minutes", "minutes"), ("best_minutes", "best-minutes"))}
        words = {name: word(data, name) for name in ("outcome", "fault", "mends", "stopped")}
        if words["outcome"] not in OUTCOMES:
            raise JobError(f"'outcome' is {words['outcome']!r}, none of {', '.join(OUTCOMES)}: it was not written by this program")
        return Ended(**counted, **minutes, **words)  # type: ignore[arg-type]  # by name


@dataclass
class OpenDrill:
    """A drill that is open.

    Attributes
    ----------
    path : str
        Its file.
    course : Course
        What was done.
    by : str
        Who practises, "" where that was not said.
    records : int
        How many records the file has.
    route : Route or None
        The tool's own way, where it is worked out already.
    ended : Ended or None
        Its result, once there is one.
    """

    path: str
    course: Course
    by: str = ""
    records: int = 1
    route: Route | None = None
    ended: Ended | None = None

    @property
    def last(self) -> Done | None:
        """What was done last."""
        return self.course.done[-1] if self.course.done else None


@dataclass(frozen=True)
class DrillEnd:
    """A drill that has ended, with all that its mark rests on."""

    opened: OpenDrill
    mark: Mark
    route: Route
    ended: Ended


@dataclass(frozen=True)
class Summarised:
    """One learner's drill in a summary; ``ended`` is None while it is open."""

    path: str
    by: str
    machine: str
    level: str
    seed: str
    complaint: str
    ended: Ended | None


@dataclass(frozen=True)
class DrillSummary:
    """Drills of several learners, in the order in which they were named."""

    drills: tuple[Summarised, ...]

    @property
    def ended(self) -> tuple[Ended, ...]:
        """Results of those that have ended."""
        return tuple(item.ended for item in self.drills if item.ended is not None)
