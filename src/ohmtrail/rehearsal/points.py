"""Which test point brought out, or connector put in, would have helped: counted over the jobs of a rehearsal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis.case import Case
from ohmtrail.diagnosis.proposal import Proposal
from ohmtrail.diagnosis.steps import Bench, Step, with_outer
from ohmtrail.harness.model import FRAME, Harness

__all__ = ["Helped", "Unsplit", "WayIn", "helpful", "unsplit_of", "ways_in"]


@dataclass(frozen=True)
class WayIn:
    """A place that was opened for a reading, and that the right mend does not need.

    Attributes
    ----------
    points : tuple of str
        Probe points of the reading that lie there.
    minutes : float
        What it took to get there.
    """

    points: tuple[str, ...]
    minutes: float


@dataclass(frozen=True)
class Unsplit:
    """Mends that nothing within reach tells apart.

    Attributes
    ----------
    mends : tuple of str
        Their ids, in order of the alphabet.
    would_split : tuple of str
        Probe points of a reading that would, if they could be got at; () where none would.
    """

    mends: tuple[str, ...]
    would_split: tuple[str, ...] = ()


@dataclass(frozen=True)
class Helped:
    """A test point, and what it would have saved.

    Attributes
    ----------
    point : str
        Terminal or lead end that would be brought out to where one can reach it.
    minutes : float
        What all jobs together would have saved at most, minute: the ways to it, the proposals left as they were.
    jobs : int
        In how many jobs.
    """

    point: str
    minutes: float
    jobs: int


def ways_in(case: Case, steps: Sequence[Step], right: Iterable[str]) -> tuple[WayIn, ...]:
    """Give what was opened for readings alone.

    Parameters
    ----------
    case : Case
        The machine.
    steps : sequence of Step
        What was done, in order, from a machine with everything shut.
    right : iterable of str
        Places that the right mends need.

    Returns
    -------
    tuple of WayIn
        In order.
    """
    harness, found = case.harness, list[WayIn]()
    bench = Bench(Setting())
    wanted = with_outer(harness, right)
    for step in steps:
        probed = [place for point in (step.red, step.black) if (place := _place(harness, point)) is not None]
        new = with_outer(harness, probed) - bench.opened - wanted
        if step.kind == "measure" and new:
            points = tuple(point for point in (step.red, step.black) if _there(harness, point, new))
            found.append(WayIn(points, sum(harness.places[place].reach for place in new)))
        bench = bench.after(harness, step)
    return tuple(item for item in found if item.points and item.minutes > 0)


def _there(harness: Harness, point: str, places: frozenset[str]) -> bool:
    return _place(harness, point) in places


def _place(harness: Harness, point: str) -> str | None:
    """Where a probe goes; None for the frame, for a lead that is clamped, and where there is no probe."""
    return harness.place_of(point) if point and point != FRAME and point not in harness.leads else None


def unsplit_of(proposal: Proposal) -> Unsplit | None:
    """Give the mends that a proposal could not tell apart.

    Parameters
    ----------
    proposal : Proposal
        Of the first mend.

    Returns
    -------
    Unsplit or None
        None where it was no group.
    """
    if len(proposal.group) < 2:
        return None
    split = proposal.would_split.step if proposal.would_split is not None else None
    points = tuple(point for point in (split.red, split.black) if point and point != FRAME) if split is not None else ()
    return Unsplit(tuple(sorted({mend for answer in proposal.group for mend in answer.mends})), points)


def helpful(jobs: Iterable[Sequence[WayIn]], most: int = 5) -> tuple[Helped, ...]:
    """Give the test points that would have saved most.

    Parameters
    ----------
    jobs : iterable of sequence of WayIn
        What was opened in each job.
    most : int
        How many at most.

    Returns
    -------
    tuple of Helped
        What saves most first.
    """
    minutes: dict[str, float] = {}
    times: Counter[str] = Counter()
    for job in jobs:
        for item in job:
            for point in item.points:
                minutes[point] = minutes.get(point, 0.0) + item.minutes
        times.update({point for item in job for point in item.points})
    ranked = sorted(minutes, key=lambda point: (-minutes[point], point))
    return tuple(Helped(point, minutes[point], times[point]) for point in ranked[:most])
