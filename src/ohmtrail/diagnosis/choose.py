"""What to do next: the step with the least expected minutes to a proven mend."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.meter import Quantity, check_possible, scale
from ohmtrail.circuit.setting import Setting, put
from ohmtrail.diagnosis.candidates import (
    Surroundings,
    flexing,
    load_side,
    measurements,
    settings_to_measure,
    watches,
)
from ohmtrail.diagnosis.evidence import Complaint, Evidence, Looked, Measured, Seen
from ohmtrail.diagnosis.gain import entropy, gains
from ohmtrail.diagnosis.likelihood import discrete, joint_of, numeric, slip_density
from ohmtrail.diagnosis.outlook import Outlook
from ohmtrail.diagnosis.plan import Plan
from ohmtrail.diagnosis.posterior import Answer, Posterior, weigh
from ohmtrail.diagnosis.steps import Bench, Step, minutes_of, minutes_through, places_of, with_outer
from ohmtrail.diagnosis.table import SuspectTable
from ohmtrail.errors import ReadingError
from ohmtrail.harness.model import FRAME

__all__ = ["Proposal", "Scored", "foresee", "propose", "propose_by_rate"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: share of the chance whose rows shape the choice, and how many rows at most
SHAPING, MOST_ROWS = 0.985, 160
#: steps that go on from the first look to the plan
SHORTLIST = 14
#: steps of one kind in alike settings that are kept
FAMILY = 3
#: hypotheses and share of the weight in the plan's small table
MOST_HYPOTHESES, HELD = 14, 0.985
#: share of suspects that come and go from which on the meter is watched while wiring is moved
WORTH_MOVING = 0.05
#: where terminals tell less than this, lead and joint are to be told apart
CLOSE_BITS = 0.25
#: a step that tells less than this is not worth doing
LEAST_GAIN = 0.015
#: the same reading is taken at most so often, and again only where the mean misfit is beyond this
MOST_REPEATS, DOUBTFUL = 2, 4.0
#: an answer is named from here on
NAMED = 0.95
#: a reading that the answer takes for a slip with this chance is taken again before anything is named
SLIPPED = 0.5
#: and so is one without which the answer's share would fall below this
STANDS = 0.6
#: a mend that costs no more than this in vain (minute) may be tried on suspicion; one that costs more not
#: while some cheaper step tells this much (bit)
LITTLE_LOST, TELLING = 6.0, 0.1
#: before a mend that is not named comes a step that tells so much (bit per minute), or, from this share of the
#: mend on, one of so few minutes; the plan's small table does not see what tells only by odds
KEEN, NEARLY, SHORT_MIN = 0.25, 0.8, 3.0
#: predictions so many sigma apart count as different outcomes
APART = 2.5


@dataclass(frozen=True)
class Scored:
    """A step with what it costs and tells.

    Attributes
    ----------
    step : Step
        What to do.
    minutes : float
        What it costs from here.
    bits : float
        Information on the mend that is wanted.
    price : float
        Minutes less the chance that its openings are needed for the mend anyway.
    """

    step: Step
    minutes: float
    bits: float
    price: float

    @property
    def rate(self) -> float:
        """Bits per minute."""
        return self.bits / max(self.price, 0.05)


@dataclass(frozen=True)
class Proposal:
    """What to do next, and why.

    Attributes
    ----------
    step : Step or None
        None where nothing that can be reached tells more.
    minutes : float
        What the step costs.
    bits : float
        What it tells.
    named : Answer or None
        An answer that is likely enough and confirmed.
    group : tuple of Answer
        Answers that nothing within reach tells apart, the likeliest first; one answer is no group.
    confirms : bool
        Whether the step is aimed at the likeliest answer before it is named.
    others : tuple of Scored
        The next best steps.
    expected : float
        Expected minutes to a proven mend; nan where it was not reckoned.
    would_split : Scored or None
        For a group: the step that would tell its answers apart if its places could be reached.
    """

    step: Step | None
    minutes: float
    bits: float
    named: Answer | None
    group: tuple[Answer, ...]
    confirms: bool
    others: tuple[Scored, ...]
    expected: float = float("nan")
    would_split: Scored | None = None


def _heavy(chance: Floats) -> Ints:
    """Rows that hold nearly all of the chance, in table order."""
    order = np.argsort(-chance, kind="stable")
    held = np.cumsum(chance[order])
    if held[-1] <= 0:
        return np.zeros(0, dtype=np.int64)
    count = min(int(np.searchsorted(held, SHAPING * held[-1])) + 1, MOST_ROWS)
    rows = np.sort(order[:count])
    kept: Ints = rows[(rows > 0) & (chance[rows] > 0)]
    return kept


class _Chooser:
    """One choice: the posterior, the bench, and scratch results."""

    def __init__(self, posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> None:
        self.posterior, self.bench, self.complaints = posterior, bench, complaints
        self.table: SuspectTable = posterior.table
        self.harness = self.table.electrics.harness
        self.electrics = self.table.electrics
        self.rows: Ints = _heavy(posterior.chance)
        self.weight: Floats = posterior.chance[self.rows]
        names = [self.table.rows[i].mends for i in self.rows]
        order = {mends: index for index, mends in enumerate(dict.fromkeys(names))}
        self.groups = tuple(order)
        self.group: Ints = np.array([order[name] for name in names], dtype=np.int64)
        self.around = Surroundings(self.electrics, [self.table.rows[i] for i in self.rows])
        self.outlook = Outlook(self.table, self.rows, self.weight)
        self.mend_places = self._mend_places()

    def _mend_places(self) -> dict[str, float]:
        """Chance that each place must be opened for the mend."""
        found: dict[str, float] = {}
        total = self.weight.sum() or 1.0
        for index, weight in zip(self.rows, self.weight, strict=True):
            places = {place for fault in self.table.rows[index].faults for place in fault.mend.places}
            for place in with_outer(self.harness, places):
                found[place] = found.get(place, 0.0) + float(weight / total)
        return found

    # ---- scoring ----

    def scored(self, step: Step, bits: float) -> Scored:
        places = places_of(self.harness, step, self.bench)
        minutes = minutes_through(self.harness, step, self.bench, places)
        back = sum(self.harness.places[p].reach * self.mend_places.get(p, 0.0) for p in places - self.bench.opened)
        return Scored(step, minutes, bits, minutes - back)

    def candidates(self) -> list[Scored]:
        """Every step within reach with a first estimate of its gain, the best rate first.

        Where no reading at a terminal tells enough, the crimps of the leads are probed as well.
        """
        others = [*self._watches(), *self._looks(), *self._wiggles()]
        found = self._worth([*self._measures(close=False), *others])
        if not found or found[0].bits < CLOSE_BITS:
            found = self._worth([*self._measures(close=True), *others])
        return found

    def _worth(self, found: Sequence[Scored]) -> list[Scored]:
        kept = [item for item in found if np.isfinite(item.minutes) and item.bits >= LEAST_GAIN and self._wanted(item.step)]
        kept.sort(key=lambda item: (-item.rate, item.minutes, repr(item.step)))
        return _unlike(kept)

    def _wanted(self, step: Step) -> bool:
        """Not skipped by the technician, and not done often enough already."""
        if step in self.bench.skipped:
            return False
        done = [index for index, item in enumerate(self.posterior.evidence) if _same(step, item)]
        return not done or (len(done) < MOST_REPEATS and self._doubtful(done[0]))

    def _doubtful(self, index: int) -> bool:
        """Whether a reading fits the likeliest answer so badly that it is worth taking again."""
        misfit, worst = self.posterior.misfit()
        return worst == index and misfit > DOUBTFUL

    def _measures(self, *, close: bool) -> Iterator[Scored]:
        for base in dict.fromkeys(item.setting for item in self.complaints):
            for setting in settings_to_measure(self.around, base):
                yield from self._measured("ohms", setting, close)
            live = replace(base, moved=None)
            for quantity in self._live_quantities(live):
                yield from self._measured(quantity, live, close)

    def _live_quantities(self, setting: Setting) -> tuple[Quantity, ...]:
        found: list[Quantity] = []
        battery = any(part.kind == "battery" for part in self.harness.parts.values()) and setting.battery
        if battery:
            found += ["volts", "lamp"] if self.table.meter.test_lamp_w else ["volts"]
        if setting.engine != "still":
            found += ["ac", "peak"] if self.table.meter.peak_adapter else ["ac"]
        return tuple(found)

    def _measured(self, quantity: Quantity, setting: Setting, close: bool) -> Iterator[Scored]:
        try:
            check_possible(quantity, setting, self.table.meter)
        except ReadingError:
            return
        pairs = measurements(self.around, setting, quantity, self.table.meter, close=close)
        priced = [self.scored(Step("measure", setting, quantity, red, black), 0.0) for red, black in pairs]
        near = [item for item in priced if np.isfinite(item.minutes)]
        if not near:
            return
        probes = [(item.step.red, item.step.black) for item in near]
        found = self.table.measured(quantity, setting, probes, scan=True, rows=self.outlook.asked)
        outcomes = self.outlook.lamps(found) if quantity == "lamp" else self.outlook.numbers(found, setting)
        for item, bits in zip(near, gains(outcomes, self.weight, self.group), strict=True):
            yield Scored(item.step, item.minutes, round(float(bits), 6), item.price)

    def _watches(self) -> Iterator[Scored]:
        for item in self.complaints:
            if item.setting.dead:
                # what shows on a dead machine is put right before anything is connected
                continue
            for step in watches(self.around, item.function if isinstance(item, Seen) else "", item.setting):
                if not np.isfinite(minutes_of(self.harness, step, self.bench)):
                    continue
                yield self.scored(step, float(gains(self.outlook.watched(step)[None], self.weight, self.group)[0]))

    def _looks(self) -> Iterator[Scored]:
        heavy = self.rows[np.argsort(-self.weight)][:30]
        for element in dict.fromkeys(fault.element for index in heavy for fault in self.table.rows[index].faults):
            step = Step("look", self.bench.setting, element=element)
            outcomes = self.outlook.looked(element)[None]
            yield self.scored(step, float(gains(outcomes, self.weight, self.group)[0]))

    def _wiggles(self) -> Iterator[Scored]:
        """Move the wiring where suspects come and go: watch the complaint, and the meter on the points near."""
        for place in flexing(self.harness, (self.table.rows[i] for i in self.rows)):
            for item in (item for item in self.complaints if isinstance(item, Seen)):
                step = Step("watch", replace(item.setting, moved=place), function=item.function)
                yield self.scored(step, float(gains(self.outlook.watched(step)[None], self.weight, self.group)[0]))
            if self._share_moving() < WORTH_MOVING:
                continue
            for base in dict.fromkeys(item.setting for item in self.complaints):
                for setting in settings_to_measure(self.around, base):
                    yield from self._measured("ohms", replace(setting, moved=place), False)

    def _share_moving(self) -> float:
        moving = np.array([bool(self.table.moves_at[i]) for i in self.rows])
        return float(self.weight[moving].sum() / (self.weight.sum() or 1.0))

    # ---- a closer look at the best ----

    def refined(self, shortlist: Sequence[Scored]) -> list[tuple[Scored, Floats]]:
        """Price the best steps again, given what was read already; outcomes are (n_rows, n_outcomes)."""
        numbers = [item for item in self.posterior.evidence if isinstance(item, Measured) and numeric(item)]
        joint = joint_of(self.table, numbers)
        found: list[tuple[Scored, Floats]] = []
        patterns: set[bytes] = set()
        for item in shortlist:
            outcomes = self.outlook.closer(item.step, joint)
            bits = float(gains(outcomes[None], self.weight, self.group)[0])
            pattern = _crisp(outcomes, self.weight).tobytes()
            if bits >= LEAST_GAIN and pattern not in patterns:
                patterns.add(pattern)
                found.append((replace(item, bits=bits), outcomes))
        return sorted(found, key=lambda pair: (-pair[0].rate, pair[0].minutes, repr(pair[0].step)))

    # ---- the plan ----

    def plan(self, refined: Sequence[tuple[Scored, Floats]]) -> tuple[Plan, list[Scored], list[int]]:
        """The small table: heavy rows, merged where no step on the list tells them apart."""
        order = np.argsort(-self.weight, kind="stable")
        held = np.cumsum(self.weight[order]) / self.weight.sum()
        heavy = order[: int(np.searchsorted(held, HELD)) + 1]
        steps = [item for item, _ in refined]
        labels = np.array([_crisp(outcomes[heavy], self.weight[heavy]) for _, outcomes in refined]).reshape(len(steps), len(heavy))
        merged: dict[tuple[int, ...], float] = {}
        for column, row in enumerate(heavy):
            key = (int(self.group[row]), *(int(v) for v in labels[:, column]))
            merged[key] = merged.get(key, 0.0) + float(self.weight[row])
        kept = sorted(merged.items(), key=lambda item: (-item[1], item[0]))[:MOST_HYPOTHESES]
        answers = list(dict.fromkeys(key[0] for key, _ in kept))
        outcome = [[key[1 + step] for key, _ in kept] for step in range(len(steps))]
        made = Plan(
            [weight for _, weight in kept],
            [answers.index(key[0]) for key, _ in kept],
            outcome,
            [max(item.price, 0.1) for item in steps],
            [self.mend_minutes(answer) for answer in answers],
            [sum(step.mend.vain for step in self.mend_steps(answer) if step.mend) for answer in answers],
        )
        return made, steps, answers

    def mend_minutes(self, group: int) -> float:
        return sum(minutes_of(self.harness, step, self.bench) for step in self.mend_steps(group))

    def shares(self) -> list[tuple[int, float]]:
        """Mend groups within reach, and their chances."""
        every = [(group, self.share(group)) for group in range(len(self.groups))]
        return [(group, p) for group, p in every if np.isfinite(self.mend_minutes(group))] or every

    def lost(self, group: int, share: float) -> float:
        """Minutes a trial of a mend costs: its own, and what it costs in vain where it is the wrong one."""
        vain = sum(step.mend.vain for step in self.mend_steps(group) if step.mend is not None)
        return self.mend_minutes(group) + (1.0 - share) * vain

    def share(self, group: int) -> float:
        """Chance of a mend group among all suspects."""
        mends = self.groups[group]
        return next((item.share for item in self.posterior.answers if item.mends == mends), 0.0)

    def mend_steps(self, group: int) -> tuple[Step, ...]:
        row = self.table.rows[int(self.rows[int(np.flatnonzero(self.group == group)[0])])]
        mends = {fault.mend.id: fault.mend for fault in row.faults}
        return tuple(Step("mend", self.complaints[0].setting, mend=mend) for mend in mends.values())

    def confirmed(self, answer: Answer) -> bool:
        """Whether some reading beside the complaint speaks for the answer against a sound machine."""
        row = answer.rows[0]
        for item in self.posterior.evidence:
            if isinstance(item, Measured) and numeric(item):
                prediction = self.table.measured(item.quantity, item.setting, [(item.red, item.black)])[0]
                seen = float(scale(item.quantity, item.value, self.table.meter))
                far = abs(prediction.mean[row] - prediction.mean[0]) > 3.0 * prediction.spread[0]
                if far and abs(seen - prediction.mean[row]) < abs(seen - prediction.mean[0]):
                    return True
            elif item not in self.complaints:
                chance = discrete(self.table, item)
                if chance[row] > 5.0 * chance[0]:
                    return True
        return False

    def confirming(self, answer: Answer, listed: Sequence[Scored]) -> Scored | None:
        """The cheapest step whose outcome the answer predicts unlike a sound machine."""
        row = answer.rows[0]
        best: Scored | None = None
        for item in listed:
            if best is not None and item.minutes >= best.minutes:
                continue
            if self._differs(item.step, row) and self._wanted(item.step):
                best = item
        return best

    def _differs(self, step: Step, row: int) -> bool:
        two = np.array([0, row])
        if step.kind == "measure" and step.quantity not in ("lamp", "beep"):
            found = self.table.measured(step.quantity, step.setting, [(step.red, step.black)], scan=True, rows=two)[0]
            return bool(abs(found.mean[row] - found.mean[0]) > 4.0 * max(found.spread[0], found.spread[row]))
        if step.kind == "watch" and not step.setting.moved:
            chance = self.table.seen(step.function, step.setting, scan=True, rows=two)
            return bool(np.abs(chance[row] - chance[0]).sum() > 1.5)
        return False

    def everything_near(self, answer: Answer) -> list[Scored]:
        """Steps around one answer, whatever they tell about the others."""
        near = _Chooser.__new__(_Chooser)
        near.__dict__.update(self.__dict__)
        near.around = Surroundings(self.electrics, [self.table.rows[i] for i in answer.rows[:1]])
        return [item for item in (*near._measures(close=True), *near._watches()) if np.isfinite(item.minutes)]


def _crisp(outcomes: Floats, weight: Floats) -> Ints:
    """Label rows by outcome: rows whose outcome distributions overlap share a label."""
    count = len(outcomes)
    centre = (outcomes * np.arange(outcomes.shape[1])).sum(axis=1)
    order = np.argsort(centre, kind="stable")
    labels = np.zeros(count, dtype=np.int64)
    label, anchor = 0, outcomes[order[0]]
    for before, here in pairwise(order):
        if np.minimum(anchor, outcomes[here]).sum() < 0.2 and np.minimum(outcomes[before], outcomes[here]).sum() < 0.5:
            label, anchor = label + 1, outcomes[here]
        labels[here] = label
    return labels


def _varied(steps: Sequence[Scored]) -> tuple[Scored, ...]:
    """The best step of each kind first, then the rest, each by bits per minute."""
    seen: set[tuple[str, str]] = set()
    first: list[Scored] = []
    rest: list[Scored] = []
    for item in sorted(steps, key=lambda item: -item.rate):
        kind = (item.step.kind, item.step.quantity if item.step.kind == "measure" else item.step.function)
        (rest if kind in seen else first).append(item)
        seen.add(kind)
    return (*first, *rest)


def _unlike(listed: Sequence[Scored]) -> list[Scored]:
    """Keep the best of steps that are much alike: one kind of reading, alike settings, alike gain."""
    kept: dict[tuple[object, ...], Scored] = {}
    crowd: Counter[tuple[object, ...]] = Counter()
    for item in listed:
        step = item.step
        what = step.quantity if step.kind == "measure" else step.function if step.kind == "watch" else step.element
        hands = (len(step.setting.lifted), len(step.setting.parted), step.setting.positions, step.setting.engine)
        key = (step.kind, what, hands, round(item.bits, 1))
        if key not in kept and crowd[key[:3]] < FAMILY:
            crowd[key[:3]] += 1
            kept[key] = item
    return list(kept.values())


def _same(step: Step, item: Evidence) -> bool:
    """Whether a piece of evidence is what a step would give again."""
    if step.kind == "measure" and isinstance(item, Measured):
        return (step.quantity, step.setting, {step.red, step.black}) == (item.quantity, item.setting, {item.red, item.black})
    if step.kind == "watch" and isinstance(item, Seen):
        return (step.function, step.setting) == (item.function, item.setting)
    return step.kind == "look" and isinstance(item, Looked) and step.element == item.element


def propose(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> Proposal:
    """Choose the next step.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    bench : Bench
        Where the machine stands.
    complaints : sequence of Seen or Measured
        What is wrong, at least one.

    Returns
    -------
    Proposal
        The step with the least expected minutes to a proven mend, with the reasons.
    """
    chooser = _Chooser(posterior, bench, complaints)
    best = posterior.best
    if best is None or not len(chooser.rows):
        return Proposal(None, 0.0, 0.0, None, (), False, ())
    listed = chooser.candidates()
    if best.share >= NAMED:
        done = _settled(chooser, best, listed)
        if done is not None:
            return done
    refined = chooser.refined(listed[:SHORTLIST])
    if not refined:
        return _grouped(chooser, listed)
    plan, steps, answers = chooser.plan(refined)
    by_step, by_mend = plan.values()
    others = _varied(steps)
    value, index = min(((v, i) for i, v in by_step.items()), default=(float("inf"), -1))
    mend_value, mend = min(((v, answers[a]) for a, v in by_mend.items()), default=(float("inf"), -1))
    if (mend_value <= value and _worth_trying(chooser, mend, steps)) or index < 0:
        first = _before_a_mend(chooser, mend, steps)
        if first is None:
            return _try_mend(chooser, mend, others, mend_value)
        index, value = first, mend_value
    chosen = steps[index]
    return Proposal(chosen.step, chosen.minutes, chosen.bits, None, (), False, tuple(i for i in others if i is not chosen)[:6], value)


def propose_by_rate(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> Proposal:
    """Choose the step that tells most for its minutes, and look no further: what `propose` is compared with.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    bench : Bench
        Where the machine stands.
    complaints : sequence of Seen or Measured
        What is wrong, at least one.

    Returns
    -------
    Proposal
        A reading, or a mend where trying it tells more for its minutes; an answer likely enough is
        confirmed and named as `propose` does it.
    """
    chooser = _Chooser(posterior, bench, complaints)
    best = posterior.best
    if best is None or not len(chooser.rows):
        return Proposal(None, 0.0, 0.0, None, (), False, ())
    listed = chooser.candidates()
    if best.share >= NAMED and (done := _settled(chooser, best, listed)) is not None:
        return done
    refined = chooser.refined(listed[:SHORTLIST])
    if not refined:
        return _grouped(chooser, listed)
    first = refined[0][0]
    others = tuple(item for item, _ in refined)
    rates = {group: entropy([p, 1.0 - p]) / max(chooser.lost(group, p), 0.1) for group, p in chooser.shares()}
    trial = max(rates, key=lambda group: rates[group])
    if rates[trial] > first.rate:
        return _try_mend(chooser, trial, others, float("nan"))
    return Proposal(first.step, first.minutes, first.bits, None, (), False, others[1:7])


def foresee(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> None:
    """Work out what every suspect would show in the steps that come into question now.

    A choice looks only at the suspects that shape it; after this the next ones find their numbers ready.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    bench : Bench
        Where the machine stands.
    complaints : sequence of Seen or Measured
        What is wrong, at least one.
    """
    chooser = _Chooser(posterior, bench, complaints)
    if len(chooser.rows):
        chooser.outlook.asked = np.arange(len(chooser.table), dtype=np.int64)
        chooser.candidates()


def _worth_trying(chooser: _Chooser, group: int, steps: Sequence[Scored]) -> bool:
    """Whether a mend may be tried before it is certain: little is lost, or nothing cheap tells more."""
    mends = [step.mend for step in chooser.mend_steps(group) if step.mend is not None]
    share = chooser.share(group)
    if share >= NAMED:
        return True
    if sum(mend.vain for mend in mends) <= LITTLE_LOST:
        return True
    lost = chooser.mend_minutes(group) + sum(mend.vain for mend in mends)
    return not any(item.bits >= TELLING and item.minutes < lost for item in steps)


def _before_a_mend(chooser: _Chooser, group: int, steps: Sequence[Scored]) -> int | None:
    """The step that is worth its minutes before a mend that is not named; None where there is none."""
    share = chooser.share(group)
    if share >= NAMED:
        return None
    for index, item in enumerate(steps):
        short = share >= NEARLY and item.minutes <= SHORT_MIN
        if item.bits >= TELLING and (short or item.rate >= KEEN):
            return index
    return None


def _take_again(chooser: _Chooser, best: Answer) -> Step | None:
    """A reading that the likeliest answer takes for a slip, or hangs on alone, where it was read only once."""
    numbers = [item for item in chooser.posterior.evidence if isinstance(item, Measured) and numeric(item)]
    if not numbers:
        return None
    nominal = chooser.harness.supply.nominal
    slip = np.array([slip_density(item, nominal) for item in numbers])
    chance = joint_of(chooser.table, numbers).slipped(slip)[best.rows[0]]
    for index in np.argsort(-chance):
        item = numbers[int(index)]
        step = Step("measure", item.setting, item.quantity, item.red, item.black)
        once = sum(_same(step, other) for other in numbers) == 1
        doubtful = chance[index] > SLIPPED or _hangs_on(chooser, best, item)
        if once and doubtful and step not in chooser.bench.skipped:
            return step
    return None


def _hangs_on(chooser: _Chooser, best: Answer, item: Measured) -> bool:
    """Whether an answer would not be likely without one reading, so that a single slip could have made it."""
    rest = [other for other in chooser.posterior.evidence if other is not item]
    without = weigh(chooser.table, rest)
    return sum(float(without.chance[row]) for row in best.rows) < STANDS


def _what_blew_it(chooser: _Chooser, best: Answer) -> Step | None:
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


def _settled(chooser: _Chooser, best: Answer, listed: Sequence[Scored]) -> Proposal | None:
    """An answer that is likely enough: confirm it once, then name it."""
    cause = _what_blew_it(chooser, best)
    if cause is not None and np.isfinite(minutes := minutes_of(chooser.harness, cause, chooser.bench)):
        return Proposal(cause, minutes, 0.0, None, (), True, tuple(listed[:6]))
    again = _take_again(chooser, best)
    if again is not None and np.isfinite(minutes := minutes_of(chooser.harness, again, chooser.bench)):
        return Proposal(again, minutes, 0.0, None, (), True, tuple(listed[:6]))
    if not chooser.confirmed(best):
        aimed = chooser.confirming(best, listed) or chooser.confirming(best, chooser.everything_near(best))
        if aimed is not None:
            return Proposal(aimed.step, aimed.minutes, aimed.bits, None, (), True, tuple(listed[:6]))
    group = chooser.groups.index(best.mends)
    step = chooser.mend_steps(group)[0]
    return Proposal(step, minutes_of(chooser.harness, step, chooser.bench), 0.0, best, (), False, tuple(listed[:6]))


def _try_mend(chooser: _Chooser, group: int, others: tuple[Scored, ...], value: float) -> Proposal:
    answer = next(item for item in chooser.posterior.answers if item.mends == chooser.groups[group])
    cause = _what_blew_it(chooser, answer)
    if cause is not None and np.isfinite(minutes := minutes_of(chooser.harness, cause, chooser.bench)):
        return Proposal(cause, minutes, 0.0, None, (), True, others[:6], value)
    step = chooser.mend_steps(group)[0]
    minutes = minutes_of(chooser.harness, step, chooser.bench)
    named = answer if answer.share >= NAMED else None
    telling = any(item.bits >= TELLING for item in others)
    unsplit = () if named is not None or telling else _group_of(chooser)
    return Proposal(step, minutes, 0.0, named, unsplit, False, others[:6], value)


def _group_of(chooser: _Chooser) -> tuple[Answer, ...]:
    """Answers that come into question beside the likeliest one, itself included."""
    top = chooser.posterior.answers[0].share
    return tuple(item for item in chooser.posterior.answers if item.share >= 0.05 * top)


def _grouped(chooser: _Chooser, listed: Sequence[Scored]) -> Proposal:
    """Nothing within reach tells more: the smallest group, and its cheapest likely mend to try."""
    group = _group_of(chooser)
    by_value = sorted(
        range(len(chooser.groups)),
        key=lambda index: -float(chooser.weight[chooser.group == index].sum()) / max(chooser.mend_minutes(index), 0.1),
    )
    reachable = [index for index in by_value if np.isfinite(chooser.mend_minutes(index))]
    splits = _would_split(chooser)
    if not reachable:
        return Proposal(None, 0.0, 0.0, None, group, False, tuple(listed[:6]), would_split=splits)
    step = chooser.mend_steps(reachable[0])[0]
    minutes = minutes_of(chooser.harness, step, chooser.bench)
    named = group[0] if len(group) == 1 else None
    return Proposal(step, minutes, 0.0, named, group, False, tuple(listed[:6]), would_split=splits)


def _would_split(chooser: _Chooser) -> Scored | None:
    """The best step if every place could be reached."""
    if not chooser.bench.barred and not chooser.bench.skipped:
        return None
    free = replace(chooser.bench, barred=frozenset(), skipped=frozenset())
    listed = _Chooser(chooser.posterior, free, chooser.complaints).candidates()
    return listed[0] if listed else None
