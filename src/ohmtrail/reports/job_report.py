"""The report of a job, as values: what was found, in order, and what proves the mend."""

from __future__ import annotations

from dataclasses import dataclass

from ohmtrail.diagnosis import Answer, Caution, Evidence, Expected, Measured, Posterior, Seen
from ohmtrail.drawing import Highlights
from ohmtrail.job import Event
from ohmtrail.reports.results import Standing

__all__ = ["Compared", "JobReport", "Taken"]


@dataclass(frozen=True)
class Taken:
    """One thing done, and what followed from it.

    Attributes
    ----------
    event : Event
        The thing, struck ones included.
    sound : Expected or None
        What a sound machine shows; None for a mend.
    leading : tuple of (Posterior, Answer) or None
        The likeliest suspect after it; None where nothing is in question.
    proves : bool
        Whether every complaint works again after it.
    """

    event: Event
    sound: Expected | None
    leading: tuple[Posterior, Answer] | None
    proves: bool = False


@dataclass(frozen=True)
class Compared:
    """The same reading before and after a mend.

    Attributes
    ----------
    number, again : int
        Of the two readings.
    before, after : Measured or Seen
        What they showed.
    sound : Expected
        What a sound machine shows.
    """

    number: int
    again: int
    before: Measured | Seen
    after: Evidence
    sound: Expected


@dataclass(frozen=True)
class JobReport:
    """A whole job.

    Attributes
    ----------
    standing : Standing
        How it stands.
    taken : tuple of Taken
        Everything done, in order.
    proofs : tuple of Compared
        Readings taken both before and after the last mend.
    function : str
        What the complaint is about.
    marks : Highlights
        What is marked in the picture.
    path, ladder : str
        The picture, wide and for a phone.
    cautions : tuple of Caution
        What was to be careful of.
    """

    standing: Standing
    taken: tuple[Taken, ...]
    proofs: tuple[Compared, ...]
    function: str
    marks: Highlights
    path: str
    ladder: str
    cautions: tuple[Caution, ...]
