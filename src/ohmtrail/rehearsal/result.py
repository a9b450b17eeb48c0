"""What a rehearsal found, as data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ohmtrail.harness.model import Harness
from ohmtrail.rehearsal.campaign import Set, Worked
from ohmtrail.rehearsal.points import Helped, Unsplit, helpful
from ohmtrail.rehearsal.reduced import Reduced
from ohmtrail.rehearsal.summary import Calibration, Compared, Summary, calibrate, compare, summarise
from ohmtrail.rehearsal.work import Rehearsed, Way

__all__ = ["Group", "Pairs", "Rehearsal"]


@dataclass(frozen=True)
class Group:
    """Figures of one set of jobs, for one complaint or all.

    Attributes
    ----------
    function : str
        The complaint; "" for all together.
    figures : dict of way to Summary
        Each way on the same jobs.
    against : dict of way to Compared
        The search over each other way.
    calibration : Calibration
        Of the search.
    """

    function: str
    figures: dict[Way, Summary]
    against: dict[Way, Compared]
    calibration: Calibration


@dataclass(frozen=True)
class Pairs:
    """Two faults at once.

    Attributes
    ----------
    jobs : int
        How many.
    solved : float
        Share with both faults gone at the end.
    wrong_first : float
        Share whose first mend put neither right.
    minutes, singles_min : float
        Mean minutes, and of the two faults as jobs of their own, added up.
    """

    jobs: int
    solved: float
    wrong_first: float
    minutes: float
    singles_min: float

    @property
    def ratio(self) -> float:
        """Minutes over those of the two single jobs."""
        return self.minutes / self.singles_min if self.singles_min > 0 else float("nan")


@dataclass(frozen=True)
class Rehearsal:
    """A machine rehearsed.

    Attributes
    ----------
    harness : Harness
        The machine.
    functions : tuple of str
        Complaints.
    seed : int
        Of every draw.
    barred : tuple of str
        Places that could not be reached.
    worked : tuple of Worked
        Every job.
    reduced : tuple of Reduced
        Small problems without doubt, against the least possible.
    unnoticed : tuple of str
        Faults that none of the complaints shows; () where every fault was not asked for.
    """

    harness: Harness
    functions: tuple[str, ...]
    seed: int
    barred: tuple[str, ...]
    worked: tuple[Worked, ...]
    reduced: tuple[Reduced, ...] = ()
    unnoticed: tuple[str, ...] = ()

    def of(self, kind: Set, function: str = "") -> tuple[Worked, ...]:
        """Jobs of one set, of one complaint or all."""
        return tuple(w for w in self.worked if w.task.kind == kind and w.done and function in ("", w.task.wanted.function))

    def group(self, kind: Set, function: str = "") -> Group | None:
        """Figures of one set; None where it has no job."""
        here = self.of(kind, function)
        if not here:
            return None
        ways = here[0].task.ways
        by_way = {way: tuple(w.done[index] for w in here) for index, way in enumerate(ways)}
        figures = {way: summarise(done, seed=self.seed) for way, done in by_way.items()}
        ours = by_way.get("search", ())
        against: dict[Way, Compared] = {way: compare(ours, done, seed=self.seed) for way, done in by_way.items() if way != "search"}
        return Group(function, figures, against, calibrate(ours))

    @property
    def pairs(self) -> Pairs | None:
        """Figures of two faults at once; None where there was no such job."""
        both, apart = _ours(self.of("pairs")), _ours(self.of("singles"))
        if not both:
            return None
        count = len(both)
        return Pairs(
            count,
            sum(item.solved for item in both) / count,
            sum(not item.right for item in both) / count,
            sum(item.minutes for item in both) / count,
            sum(item.minutes for item in apart) / count,
        )

    @property
    def unsplit(self) -> tuple[tuple[Unsplit, int], ...]:
        """Mends that could not be told apart in single jobs, and in how many, the most frequent first."""
        found = Counter(item.unsplit for item in self._singles() if item.unsplit is not None)
        return tuple(sorted(found.items(), key=lambda pair: (-pair[1], pair[0].mends)))

    @property
    def helpful(self) -> tuple[Helped, ...]:
        """Test points that would have saved most in single jobs."""
        return helpful(item.ways_in for item in self._singles())

    @property
    def wrong(self) -> tuple[Rehearsed, ...]:
        """Single jobs that the search named wrongly or did not solve."""
        return tuple(item for item in self._singles() if (item.named and not item.right) or not item.solved)

    def _singles(self) -> tuple[Rehearsed, ...]:
        return _ours((*self.of("rates"), *self.of("every")))


def _ours(worked: Sequence[Worked]) -> tuple[Rehearsed, ...]:
    return tuple(w.done[w.task.ways.index("search")] for w in worked if w.done)
