"""The mark of a drill: what was found, at what cost, on what grounds, and what each reading told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Bench, Evidence, Mended, Posterior, Step, after
from ohmtrail.diagnosis.gain import gains
from ohmtrail.diagnosis.outlook import Outlook
from ohmtrail.training.course import Course, Done
from ohmtrail.training.drill import Drill
from ohmtrail.training.route import Route, lost_in_vain, share_of

__all__ = ["DANGER", "GRACE_MIN", "HINT", "LUCK", "Mark", "Told", "mark_of"]

#: points off for a step that had to be stopped and for a hint, and the most that luck can earn; own choice
DANGER, HINT, LUCK = 10, 5, 30
#: minutes of search that make no difference, about two readings; own choice
GRACE_MIN = 2.0
#: a reading that moves less of the chance than this from one answer to others has told nothing
MOVED = 0.02
#: a step that can tell less than this (bit) reads the same for every suspect left
SAME_BITS = 0.02
#: suspects with less than this share of the likeliest one's chance are out of the question
LEFT = 1e-3


@dataclass(frozen=True)
class Told:
    """What one reading told.

    Attributes
    ----------
    number : int
        Of the reading among all that was done, from 1.
    evidence : Evidence
        The reading.
    before, after : float
        Share of the fault that was planted, or of what of it was left.
    moved : float
        Share of the chance that it moved from one answer to others.
    why : str
        Where it told nothing: ``again`` (asked before), ``same`` (it reads the same for every suspect left)
        or ``unlikely`` (only suspects that were all but out of the question read otherwise); else "".
    earlier : int
        For ``again``: the number of the first time.
    """

    number: int
    evidence: Evidence
    before: float
    after: float
    moved: float
    why: str = ""
    earlier: int = 0

    @property
    def bits(self) -> float:
        """How far it led towards the fault; below nought away from it."""
        return float(np.log2(max(self.after, 1e-9) / max(self.before, 1e-9)))


@dataclass(frozen=True)
class Mark:
    """How a drill went.

    Attributes
    ----------
    points : int
        0 to 100.
    right : bool
        Whether everything planted was mended.
    luck : bool
        Whether it was named without evidence.
    share : float
        What the readings made of the right mend when it was made, the least where there were two; nan where
        it was not made.
    minutes, best_minutes, direct_minutes : float
        The learner's, the tool's own, and straight to the right mend.
    lost, best_lost : float
        What mends in vain cost beside their minutes.
    readings, best_readings : int
        Readings, looks and functions watched.
    vain : tuple of str
        Mends made in vain.
    dangers : tuple of str
        Ids of the cautions that were broken.
    hints : int
        How many were taken.
    told : tuple of Told
        Every reading in order.
    """

    points: int
    right: bool
    luck: bool
    share: float
    minutes: float
    best_minutes: float
    direct_minutes: float
    lost: float
    best_lost: float
    readings: int
    best_readings: int
    vain: tuple[str, ...]
    dangers: tuple[str, ...]
    hints: int
    told: tuple[Told, ...]

    @property
    def told_most(self) -> Told | None:
        """The reading that led most towards the fault."""
        best = max(self.told, key=lambda item: item.bits, default=None)
        return best if best is not None and best.bits > 0.1 else None

    @property
    def told_nothing(self) -> tuple[Told, ...]:
        """The readings that told nothing."""
        return tuple(item for item in self.told if item.why)


def mark_of(course: Course, route: Route) -> Mark:
    """Mark a learner's way through a drill.

    Full marks are for a search that cost no more than the tool's own; minutes that nobody can save, those of
    the mend itself, do not count. Points come off for steps that had to be stopped and for hints.

    Parameters
    ----------
    course : Course
        What was done.
    route : Route
        The tool's own way from the same complaint.

    Returns
    -------
    Mark
        With what every reading told.
    """
    drill, done = course.drill, course.done
    told, shares = _told(course)
    vain = [item for item in done if item.kind == "mend" and not item.cured]
    lost = lost_in_vain(done)
    share = min(shares, default=float("nan"))
    right, direct = course.mended, _direct(drill)
    luck = right and _lucky(done, share, route)
    search = course.minutes + lost - direct
    best = route.minutes + route.lost - direct
    dangers = tuple(item.note for item in done if item.kind == "danger")
    hints = sum(item.kind == "hint" for item in done)
    return Mark(
        _points(right, luck, search, best, len(dangers), hints), right, luck, share,
        course.minutes, route.minutes, direct, lost, route.lost,
        len(told), route.readings, tuple(item.result.mend for item in vain if isinstance(item.result, Mended)), dangers, hints, told,
    )  # fmt: skip


def _points(right: bool, luck: bool, search: float, best: float, dangers: int, hints: int) -> int:
    if not right:
        return 0
    economy = min((max(best, 0.0) + GRACE_MIN) / (max(search, 0.0) + GRACE_MIN), 1.0)
    points = 100.0 * economy - DANGER * dangers - HINT * hints
    return max(round(min(points, LUCK if luck else 100.0)), 0)


def _lucky(done: Sequence[Done], share: float, route: Route) -> bool:
    """Whether the right mend came before any evidence that there was to be had, or against it."""
    first = next(index for index, item in enumerate(done) if item.cured)
    blind = not any(item.kind == "reading" or item.kind == "mend" for item in done[:first])
    return (blind and route.first_mend > 0) or share < 0.5 * route.share


def _direct(drill: Drill) -> float:
    """Minutes of walking straight to the right mends and trying the complaint after each."""
    harness, bench, total = drill.case.harness, Bench(Setting()), 0.0
    trial = Step("watch", drill.complaint.setting, function=drill.complaint.function)
    for item in drill.planted:
        for step in (Step("mend", bench.setting, mend=item.fault.mend), trial):
            bench, minutes = after(harness, bench, step)
            total += minutes
    return total


# ---- what each reading told ----


def _told(course: Course) -> tuple[tuple[Told, ...], list[float]]:
    """Every reading in order, and the share of each right mend when it was made."""
    case, history = course.drill.case, [course.drill.complaint]
    left = set(course.drill.mends)
    told: list[Told] = []
    shares: list[float] = []
    before = case.assess(history).posterior
    for number, item in enumerate(course.done, start=1):
        if item.result is None:
            continue
        if isinstance(item.result, Mended) and item.cured:
            shares.append(share_of(before, item.result.mend))
            left.discard(item.result.mend)
        history += [part for part in (item.result, item.tried) if part is not None]  # type: ignore[misc]  # events
        after_it = case.assess(history).posterior
        if not isinstance(item.result, Mended):
            told.append(_one(number, item, before, after_it, left, course.done))
        before = after_it
    return tuple(told), shares


def _one(number: int, item: Done, before: Posterior | None, later: Posterior | None, left: set[str], done: Sequence[Done]) -> Told:
    assert item.step is not None and item.result is not None and not isinstance(item.result, Mended)
    shares = [max((share_of(posterior, mend) for mend in left), default=0.0) for posterior in (before, later)]
    moved = _moved(before, later)
    why, earlier = "", 0
    if moved < MOVED and before is not None:
        first = next(index for index, other in enumerate(done, start=1) if _asks_the_same(other, item.step))
        mended = any(other.kind == "mend" for other in done[first:number])
        if first < number and not mended:
            why, earlier = "again", first
        else:
            why = "same" if _bits(before, item.step) < SAME_BITS else "unlikely"
    return Told(number, item.result, shares[0], shares[1], moved, why, earlier)


def _asks_the_same(other: Done, step: Step) -> bool:
    if other.kind != "reading" or other.step is None:
        return False
    return other.step == step or (step.kind == "look" and other.step.element == step.element)


def _moved(before: Posterior | None, later: Posterior | None) -> float:
    """Share of the chance that moved from one answer to others."""
    one, two = (({item.mends: item.share for item in p.answers} | {(): p.unlisted}) if p is not None else {} for p in (before, later))
    return 0.5 * sum(abs(one.get(key, 0.0) - two.get(key, 0.0)) for key in one.keys() | two.keys())


def _bits(posterior: Posterior, step: Step) -> float:
    """What a step can tell about the mend that is wanted, bit."""
    table = posterior.table
    rows = np.flatnonzero(posterior.chance > LEFT * posterior.chance.max(initial=0.0))
    rows = rows[rows > 0]
    if not len(rows):
        return 0.0
    weight = posterior.chance[rows]
    order = {mends: index for index, mends in enumerate(dict.fromkeys(table.rows[i].mends for i in rows))}
    group = np.array([order[table.rows[i].mends] for i in rows], dtype=np.int64)
    outlook = Outlook(table, rows, weight)
    if step.kind == "measure":
        found = table.measured(step.quantity, step.setting, [(step.red, step.black)])
        outcomes = outlook.lamps(found) if step.quantity == "lamp" else outlook.numbers(found, step.setting)
    else:
        outcomes = (outlook.watched(step) if step.kind == "watch" else outlook.looked(step.element))[None]
    return float(gains(outcomes, weight, group)[0])
