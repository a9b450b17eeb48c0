"""What the verbs give back: values only, ready to be written as text or as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from ohmtrail.circuit import Setting
from ohmtrail.circuit.astray import Astray
from ohmtrail.circuit.steps import Trace
from ohmtrail.diagnosis import (
    Action,
    Answer,
    Assessment,
    Case,
    Caution,
    Expected,
    Measured,
    Mended,
    OddReading,
    Outcome,
    PlantedFault,
    Posterior,
    Proposal,
    RuledOut,
    Seen,
    Weight,
    odd_reading,
)
from ohmtrail.harness import Harness
from ohmtrail.harness.findings import Finding
from ohmtrail.job import Doing, Event, JobState
from ohmtrail.survey import Advice, Coverage, Planned, Survey

__all__ = [
    "Blank",
    "Checked",
    "Demo",
    "Explained",
    "Netlisted",
    "Next",
    "OfferedHarness",
    "OfferedJob",
    "Played",
    "Proof",
    "Recorded",
    "SchemaOf",
    "Standing",
    "Surveyed",
    "Traced",
    "Turn",
    "Undone",
    "Why",
]


@dataclass(frozen=True)
class Checked:
    """Findings about a usable harness, each with its line and column in the file."""

    file: str
    harness: Harness
    findings: tuple[tuple[Finding, int, int], ...]

    @property
    def serious(self) -> int:
        """How many findings are serious."""
        return sum(item.serious for item, _, _ in self.findings)


@dataclass(frozen=True)
class Blank:
    """A harness file to begin with; ``out`` is empty where it was not written."""

    text: str
    out: str


@dataclass(frozen=True)
class SchemaOf:
    """The JSON Schema of harness files."""

    schema: dict[str, Any]


@dataclass(frozen=True)
class Standing:
    """A job as it stands: its case, what follows from its readings, and the file's state."""

    job: JobState
    case: Case
    assessment: Assessment

    @property
    def posterior(self) -> Posterior | None:
        """The suspects; None while nothing is known to be wrong."""
        return self.assessment.posterior

    @cached_property
    def odd(self) -> OddReading | None:
        """The reading that the others contradict, if there is one."""
        return None if self.posterior is None else odd_reading(self.posterior, self.assessment.complaints)

    @property
    def mended(self) -> bool:
        """Whether anything was mended."""
        return any(isinstance(event.what, Mended) for event in self.job.counted)

    @cached_property
    def astray(self) -> Astray | None:
        """What does not work by the file although everything is sound; None where all does, or nothing is complained of."""
        return self.case.astray(self.assessment.complaints) if self.assessment.complaints else None

    @property
    def lost(self) -> bool:
        """Whether nothing that is listed explains the readings."""
        return self.posterior is not None and self.posterior.unlisted > 0.5

    @property
    def dropped(self) -> frozenset[int]:
        """Numbers of events that a later mend may have changed, so that they no longer count."""
        counted = self.job.counted
        return frozenset(counted[place].number for place in self.assessment.dropped)

    def number_of(self, item: object) -> int | None:
        """Give the number of the event that is this, or else of the last one that counts and says the same."""
        itself = next((event.number for event in self.job.counted if event.what is item), None)
        return itself or next((event.number for event in reversed(self.job.counted) if event.what == item), None)


@dataclass(frozen=True)
class Next:
    """What to do next, with all that goes with it.

    Attributes
    ----------
    standing : Standing
        The job.
    number : int
        The number its answer will have.
    proposal : Proposal
        The step and why.
    opens : tuple of str
        Places still to be opened for it, in order.
    outcomes : tuple of Outcome
        What each outcome would mean.
    cautions : tuple of Caution
        What to be careful of.
    kept : bool
        Whether the job file holds the proposal, so that a bare value answers it.
    planned : Planned or None
        The reading of the survey that it is, if it is one.
    record : int
        The record of the job file that holds it; 0 where none does.
    """

    standing: Standing
    number: int
    proposal: Proposal
    opens: tuple[str, ...] = ()
    outcomes: tuple[Outcome, ...] = ()
    cautions: tuple[Caution, ...] = ()
    kept: bool = True
    planned: Planned | None = None
    record: int = 0


@dataclass(frozen=True)
class Explained:
    """An answer, and how every reading bears on it."""

    answer: Answer
    weights: tuple[Weight, ...]


@dataclass(frozen=True)
class Why:
    """Why the suspects are what they are."""

    standing: Standing
    explained: tuple[Explained, ...]
    ruled_out: tuple[RuledOut, ...]


@dataclass(frozen=True)
class Proof:
    """A reading that proves a mend: the one that showed the fault, with what a sound machine shows.

    Attributes
    ----------
    number : int
        Of the reading that showed the fault.
    before : Measured or Seen
        That reading.
    sound : Expected
        What it must be now.
    """

    number: int
    before: Measured | Seen
    sound: Expected


@dataclass(frozen=True)
class Recorded:
    """Something was added to a job.

    Attributes
    ----------
    standing : Standing
        The job with it.
    verb : str
        ``start``, ``read``, ``strike``, ``mend``, ``skip`` or ``place``.
    events : tuple of Event
        What was added or, for a strike, struck.
    notes : tuple of str
        Notes added.
    proofs : tuple of Proof
        For a mend: the readings that prove it.
    """

    standing: Standing
    verb: Literal["start", "read", "strike", "mend"]
    events: tuple[Event, ...]
    notes: tuple[str, ...] = ()
    proofs: tuple[Proof, ...] = ()


@dataclass(frozen=True)
class Undone:
    """What was taken back; None where the same request had taken it back before."""

    standing: Standing
    doing: Doing | None


@dataclass(frozen=True)
class Turn:
    """What came of one line of a conversation about a job.

    Attributes
    ----------
    verb : str
        What was wanted: ``read``, ``mend``, ``strike``, ``skip``, ``bar``, ``unbar``, ``undo``; or what only
        asks: ``why``, ``again``, ``readings``, ``suspects``, ``help``, ``quit``.
    standing : Standing or None
        The job after it; None for what only asks for words.
    recorded : Recorded or None
        What a reading, mend or strike added.
    undone : Undone or None
        What was taken back.
    why : Why or None
        The explanation.
    place : str
        The place that can or cannot be reached.
    """

    verb: str
    standing: Standing | None = None
    recorded: Recorded | None = None
    undone: Undone | None = None
    why: Why | None = None
    place: str = ""

    @property
    def changes(self) -> bool:
        """Whether the job is another one after it."""
        return self.verb in ("read", "mend", "strike", "skip", "bar", "unbar", "undo")


@dataclass(frozen=True)
class OfferedHarness:
    """A harness file that a job can be begun on; ``example`` for one that comes with Ohmtrail."""

    path: str
    machine: str
    example: bool = False


@dataclass(frozen=True)
class OfferedJob:
    """A job that can be gone on with.

    Attributes
    ----------
    path : str
        The job file.
    machine, complaint, date : str
        As it began.
    events : int
        Readings and mends, complaint included.
    minutes : float
        Spent so far.
    trouble : str
        Why it cannot be read; "" where it can.
    """

    path: str
    machine: str = ""
    complaint: str = ""
    date: str = ""
    events: int = 0
    minutes: float = 0.0
    trouble: str = ""


@dataclass(frozen=True)
class Traced:
    """A function's path in a setting."""

    harness: Harness
    function: str
    setting: Setting
    trace: Trace


@dataclass(frozen=True)
class Netlisted:
    """A machine in one setting as a netlist: sound, or with one fault."""

    harness: Harness
    function: str
    setting: Setting
    planted: PlantedFault | None
    text: str


@dataclass(frozen=True)
class Demo:
    """A planted job: the machine, what is wrong with it, and the steps as they are taken."""

    case: Case
    planted: PlantedFault
    complaint: Seen
    seed: int
    actions: Iterator[Action]


@dataclass(frozen=True)
class Played:
    """One step of a planted job: the proposal in full, and what came of it."""

    shown: Next
    result: Measured | Seen | Mended | Any
    minutes: float
    proof: bool


@dataclass(frozen=True)
class Surveyed:
    """A survey and what it notices.

    Attributes
    ----------
    survey : Survey
        The plan.
    coverage : Coverage
        Counted on planted machines.
    advice : tuple of Advice
        What to renew and what to keep.
    taken : mapping of int to str
        Number of a reading -> what was read, where results were entered.
    checked : Coverage or None
        What the readings notice that were taken and found in their bands; None where there are none.
    notes : tuple of str
        Where it was written, and what to do next.
    """

    survey: Survey
    coverage: Coverage
    advice: tuple[Advice, ...]
    taken: Mapping[int, str] = field(default_factory=dict)
    checked: Coverage | None = None
    notes: tuple[str, ...] = ()
