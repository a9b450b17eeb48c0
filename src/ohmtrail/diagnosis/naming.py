"""From the likeliest answer to its mend: what is asked for before one is named, and before one is tried."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ohmtrail.circuit.meter import scale
from ohmtrail.circuit.setting import put
from ohmtrail.diagnosis.candidates import load_side
from ohmtrail.diagnosis.evidence import Measured
from ohmtrail.diagnosis.likelihood import discrete, joint_of, numeric, slip_density
from ohmtrail.diagnosis.posterior import Answer, weigh
from ohmtrail.diagnosis.proposal import TELLING, Proposal, Scored
from ohmtrail.diagnosis.rivals import alike_to, nameable, rivals_of, sets_apart, tells_apart
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.diagnosis.steps import Step, minutes_of, repeats
from ohmtrail.harness.model import FRAME

__all__ = ["grouped", "settled", "try_mend"]

#: a reading that the answer takes for a slip with this chance is taken again before anything is named
SLIPPED = 0.5
#: and so is one without which the answer's share would fall below this
STANDS = 0.6


def settled(chooser: Chooser, best: Answer, listed: Sequence[Scored]) -> Proposal | None:
    """An answer that is likely enough: confirm it once, then name it.

    Parameters
    ----------
    chooser : Chooser
        What the choice is made from.
    best : Answer
        The answer.
    listed : sequence of Scored
        Steps that were weighed, the best first.

    Returns
    -------
    Proposal or None
        A reading that confirms it, or the mend, named.
    """
    cause = _what_blew_it(chooser, best)
    if cause is not None and np.isfinite(minutes := minutes_of(chooser.harness, cause, chooser.bench)):
        return Proposal(cause, minutes, 0.0, None, (), True, tuple(listed[:6]))
    rivals = rivals_of(chooser.posterior, best)
    if rivals and (aimed := tells_apart(chooser, best, rivals)) is not None:
        names = tuple(item.element for item in rivals)
        return Proposal(aimed.step, aimed.minutes, aimed.bits, None, (), True, tuple(listed[:6]), against=names)
    alike = alike_to(chooser.posterior, best)
    if alike and (aimed := sets_apart(chooser, best, alike)) is not None:
        return Proposal(aimed.step, aimed.minutes, aimed.bits, None, (), True, tuple(listed[:6]), alike=alike)
    again = _take_again(chooser, best)
    if again is not None and np.isfinite(minutes := minutes_of(chooser.harness, again, chooser.bench)):
        return Proposal(again, minutes, 0.0, None, (), True, tuple(listed[:6]))
    if not _confirmed(chooser, best):
        telling = _confirming(chooser, best, listed) or _confirming(chooser, best, chooser.everything_near(best))
        if telling is not None:
            return Proposal(telling.step, telling.minutes, telling.bits, None, (), True, tuple(listed[:6]))
    group = chooser.groups.index(best.mends)
    step, minutes = chooser.first_mend(group)
    named, doubts = nameable(chooser.posterior, best, rivals)
    return Proposal(step, minutes, 0.0, named, (), False, tuple(listed[:6]), against=doubts)


def try_mend(chooser: Chooser, group: int, others: tuple[Scored, ...]) -> Proposal:
    """Propose a mend on suspicion, or, for a blown fuse, first what blew it.

    Parameters
    ----------
    chooser : Chooser
        What the choice is made from.
    group : int
        Which group of mends.
    others : tuple of Scored
        Other steps, the best first.

    Returns
    -------
    Proposal
        The mend, or what comes before it.
    """
    answer = next(item for item in chooser.posterior.answers if item.mends == chooser.groups[group])
    cause = _what_blew_it(chooser, answer)
    if cause is not None and np.isfinite(minutes := minutes_of(chooser.harness, cause, chooser.bench)):
        return Proposal(cause, minutes, 0.0, None, (), True, others[:6])
    step, minutes = chooser.first_mend(group)
    named, doubts = nameable(chooser.posterior, answer)
    telling = any(item.bits >= TELLING for item in others)
    unsplit = () if named is not None or telling else _group_of(chooser)
    return Proposal(step, minutes, 0.0, named, unsplit, False, others[:6], against=doubts)


def grouped(chooser: Chooser, listed: Sequence[Scored]) -> Proposal:
    """Nothing within reach tells more: the smallest group, and its cheapest likely mend to try.

    Parameters
    ----------
    chooser : Chooser
        What the choice is made from.
    listed : sequence of Scored
        Steps that were weighed, the best first.

    Returns
    -------
    Proposal
        Without a step where no mend is within reach.
    """
    group = _group_of(chooser)
    by_value = sorted(
        range(len(chooser.groups)),
        key=lambda index: -float(chooser.weight[chooser.group == index].sum()) / max(chooser.mend_minutes(index), 0.1),
    )
    reachable = [index for index in by_value if np.isfinite(chooser.mend_minutes(index))]
    splits = _would_split(chooser)
    if not reachable:
        return Proposal(None, 0.0, 0.0, None, group, False, tuple(listed[:6]), would_split=splits)
    step, minutes = chooser.first_mend(reachable[0])
    named, doubts = nameable(chooser.posterior, group[0]) if len(group) == 1 else (None, ())
    return Proposal(step, minutes, 0.0, named, group, False, tuple(listed[:6]), would_split=splits, against=doubts)


def _take_again(chooser: Chooser, best: Answer) -> Step | None:
    """A reading that the likeliest answer takes for a slip, or hangs on alone, where it was read only once.

    Of those that it hangs on one is taken again and no more: each costs a minute, and more of them made no mend righter.
    """
    numbers = [item for item in chooser.posterior.evidence if isinstance(item, Measured) and numeric(item)]
    if not numbers:
        return None
    nominal = chooser.harness.supply.nominal
    slip = np.array([slip_density(item, nominal) for item in numbers])
    chance = joint_of(chooser.table, numbers).slipped(slip)[best.rows[0]]
    steps = [Step("measure", item.setting, item.quantity, item.red, item.black) for item in numbers]
    times = [sum(repeats(step, other) for other in numbers) for step in steps]
    found: list[tuple[float, Step]] = []
    for slipped, item, step, count in zip(chance, numbers, steps, times, strict=True):
        if count > 1 or step in chooser.bench.skipped:
            continue
        if slipped > SLIPPED or (max(times) == 1 and _hangs_on(chooser, best, item)):
            found.append((minutes_of(chooser.harness, step, chooser.bench), step))
    # the one that costs least from here: commonly what the machine is still set for
    return min(found, key=lambda pair: (pair[0], pair[1].order))[1] if found else None


def _hangs_on(chooser: Chooser, best: Answer, item: Measured) -> bool:
    """Whether an answer would not be likely without one reading, so that a single slip could have made it."""
    rest = [other for other in chooser.posterior.evidence if other is not item]
    without = weigh(chooser.table, rest)
    return sum(float(without.chance[row]) for row in best.rows) < STANDS


def _what_blew_it(chooser: Chooser, best: Answer) -> Step | None:
    """For a blown fuse: ohms from its load side to the frame, fuse out, before a new one goes in.

    None for anything else, and where that was read already.
    """
    faults = chooser.table.rows[best.rows[0]].faults
    blown = [fault.element for fault in faults if fault.kind == "open" and fault.element in chooser.harness.parts]
    blown = [name for name in blown if chooser.harness.parts[name].kind == "fuse"]
    if not blown or len(faults) != 1:
        return None
    base = chooser.complaints[0].setting
    setting = put(chooser.harness, base, out=[*base.out, blown[0]], battery=False, engine="still", moved="")
    load = load_side(chooser.electrics.network, blown[0], setting)
    step = Step("measure", setting, "ohms", load, FRAME)
    read = [item for item in chooser.posterior.evidence if isinstance(item, Measured) and item.quantity == "ohms"]
    done = any({item.red, item.black} == {load, FRAME} and blown[0] in item.setting.out for item in read)
    return None if done or step in chooser.bench.skipped else step


def _confirmed(chooser: Chooser, answer: Answer) -> bool:
    """Whether some reading beside the complaint speaks for the answer against a sound machine."""
    row = answer.rows[0]
    for item in chooser.posterior.evidence:
        if isinstance(item, Measured) and numeric(item):
            prediction = chooser.table.measured(item.quantity, item.setting, [(item.red, item.black)])[0]
            seen = float(scale(item.quantity, item.value, chooser.table.meter))
            far = abs(prediction.mean[row] - prediction.mean[0]) > 3.0 * prediction.spread[0]
            if far and abs(seen - prediction.mean[row]) < abs(seen - prediction.mean[0]):
                return True
        elif item not in chooser.complaints:
            chance = discrete(chooser.table, item)
            if chance[row] > 5.0 * chance[0]:
                return True
    return False


def _confirming(chooser: Chooser, answer: Answer, listed: Sequence[Scored]) -> Scored | None:
    """The cheapest step whose outcome the answer predicts unlike a sound machine."""
    row = answer.rows[0]
    best: Scored | None = None
    for item in listed:
        if best is not None and item.minutes >= best.minutes:
            continue
        if _differs(chooser, item.step, row) and chooser.wanted(item.step):
            best = item
    return best


def _differs(chooser: Chooser, step: Step, row: int) -> bool:
    two = np.array([0, row])
    if step.kind == "measure" and step.quantity not in ("lamp", "beep"):
        found = chooser.table.measured(step.quantity, step.setting, [(step.red, step.black)], scan=True, rows=two)[0]
        return bool(abs(found.mean[row] - found.mean[0]) > 4.0 * max(found.spread[0], found.spread[row]))
    if step.kind == "watch" and not step.setting.moved:
        chance = chooser.table.seen(step.function, step.setting, scan=True, rows=two)
        return bool(np.abs(chance[row] - chance[0]).sum() > 1.5)
    return False


def _group_of(chooser: Chooser) -> tuple[Answer, ...]:
    """Answers that come into question beside the likeliest one, itself included."""
    top = chooser.posterior.answers[0].share
    return tuple(item for item in chooser.posterior.answers if item.share >= 0.05 * top)


def _would_split(chooser: Chooser) -> Scored | None:
    """The best step if every place could be reached."""
    if not chooser.bench.barred and not chooser.bench.skipped:
        return None
    free = replace(chooser.bench, barred=frozenset(), skipped=frozenset())
    listed = Chooser(chooser.posterior, free, chooser.complaints).candidates()
    return listed[0] if listed else None
