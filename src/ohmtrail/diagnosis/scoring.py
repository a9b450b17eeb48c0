"""Every step within reach, priced: what it costs from here and what it tells about the mend."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.meter import Quantity, check_possible
from ohmtrail.circuit.setting import Setting
from ohmtrail.diagnosis.candidates import Surroundings, flexing, measurements, settings_to_measure, watches
from ohmtrail.diagnosis.evidence import Complaint, Measured, Seen
from ohmtrail.diagnosis.gain import crisp, gains
from ohmtrail.diagnosis.likelihood import joint_of, numeric
from ohmtrail.diagnosis.outlook import Outlook
from ohmtrail.diagnosis.posterior import Answer, Posterior
from ohmtrail.diagnosis.pricing import Prices
from ohmtrail.diagnosis.proposal import Scored
from ohmtrail.diagnosis.steps import (
    Bench,
    Step,
    mending_minutes,
    minutes_of,
    places_of,
    repeats,
)
from ohmtrail.diagnosis.table import Prediction, SuspectTable
from ohmtrail.errors import ReadingError
from ohmtrail.harness.parts import Fuse

__all__ = ["Chooser"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: share of the chance whose rows shape the choice, and how many rows at most
SHAPING, MOST_ROWS = 0.985, 160
#: steps of one kind in alike settings that are kept
FAMILY = 3
#: share of suspects that come and go from which on the meter is watched while wiring is moved
WORTH_MOVING = 0.05
#: where terminals tell less than this, lead and joint are to be told apart
CLOSE_BITS = 0.25
#: readings whose outcomes are worked out together
AT_ONCE = 48
#: a step that tells less than this is not worth doing
LEAST_GAIN = 0.015
#: the same reading is taken at most so often, and again only where the mean misfit is beyond this
MOST_REPEATS, DOUBTFUL = 2, 4.0


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


class Chooser:
    """One choice: the posterior, the bench, and scratch results.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    bench : Bench
        Where the machine stands.
    complaints : sequence of Seen or Measured
        What is wrong.
    """

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
        self.prices = Prices(self.harness, bench, self._mend_places())

    def _mend_places(self) -> dict[str, float]:
        """Chance that each place must be opened for the mend."""
        found: dict[str, float] = {}
        known: dict[str, frozenset[str]] = {}
        total = self.weight.sum() or 1.0
        for index, weight in zip(self.rows, self.weight, strict=True):
            mends = {fault.mend.id: fault.mend for fault in self.table.rows[index].faults}
            for name in mends.keys() - known.keys():
                known[name] = places_of(self.harness, Step("mend", self.bench.setting, mend=mends[name]), self.bench)
            for place in frozenset[str]().union(*(known[name] for name in mends)):
                found[place] = found.get(place, 0.0) + float(weight / total)
        return found

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
        kept = [item for item in found if np.isfinite(item.minutes) and item.bits >= LEAST_GAIN and self.wanted(item.step)]
        kept.sort(key=lambda item: (-item.rate, item.minutes, item.step.order))
        return _unlike(kept)

    def wanted(self, step: Step) -> bool:
        """Not skipped by the technician, and not done often enough already; what a mend may have changed is worth another go."""
        if step in self.bench.skipped:
            return False
        stale = self.posterior.stale
        done = [index for index, item in enumerate(self.posterior.evidence) if index not in stale and repeats(step, item)]
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
        if self.harness.has_battery and setting.battery:
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
        near = [item for item in self.prices.readings(quantity, setting, pairs) if math.isfinite(item[1])]
        if not near:
            return
        probes = [(step.red, step.black) for step, _, _ in near]
        found = self.table.measured(quantity, setting, probes, scan=True, rows=self.outlook.asked)
        for (step, minutes, price), bits in zip(near, self._told(quantity, setting, found), strict=True):
            yield Scored(step, minutes, round(float(bits), 6), price)

    def _told(self, quantity: Quantity, setting: Setting, found: Sequence[Prediction]) -> Iterator[float]:
        """Bits of readings, a few at a time: arrays that stay in the processor's own memory are worked through faster."""
        for first in range(0, len(found), AT_ONCE):
            part = found[first : first + AT_ONCE]
            if quantity == "lamp":
                yield from gains(self.outlook.lamps(part), self.weight, self.group)
            else:
                yield from self.outlook.told(part, setting, self.group)

    def _watches(self) -> Iterator[Scored]:
        for item in self.complaints:
            if item.setting.dead:
                # what shows on a dead machine is put right before anything is connected
                continue
            for step in watches(self.around, item.function if isinstance(item, Seen) else "", item.setting, self.table.works):
                if not np.isfinite(minutes_of(self.harness, step, self.bench)):
                    continue
                yield self.prices.scored(step, float(gains(self.outlook.watched(step)[None], self.weight, self.group)[0]))

    def _looks(self) -> Iterator[Scored]:
        heavy = self.rows[np.argsort(-self.weight)][:30]
        elements = dict.fromkeys(fault.element for index in heavy for fault in self.table.rows[index].faults)
        for element in (item for item in elements if item not in self.bench.renewed):
            step = Step("look", self.bench.setting, element=element)
            outcomes = self.outlook.looked(element)[None]
            yield self.prices.scored(step, float(gains(outcomes, self.weight, self.group)[0]))

    def _wiggles(self) -> Iterator[Scored]:
        """Move the wiring where suspects come and go: watch the complaint, and the meter on the points near."""
        for place in flexing(self.table.rows[i] for i in self.rows):
            for item in (item for item in self.complaints if isinstance(item, Seen)):
                step = Step("watch", replace(item.setting, moved=place), function=item.function)
                yield self.prices.scored(step, float(gains(self.outlook.watched(step)[None], self.weight, self.group)[0]))
            if self._share_moving() < WORTH_MOVING:
                continue
            for base in dict.fromkeys(item.setting for item in self.complaints):
                for setting in settings_to_measure(self.around, base):
                    yield from self._measured("ohms", replace(setting, moved=place), False)

    def _share_moving(self) -> float:
        moving = np.array([bool(self.table.moves_at[i]) for i in self.rows])
        return float(self.weight[moving].sum() / (self.weight.sum() or 1.0))

    def everything_near(self, answer: Answer) -> list[Scored]:
        """Steps around one answer, whatever they tell about the others."""
        near = Chooser.__new__(Chooser)
        near.__dict__.update(self.__dict__)
        near.around = Surroundings(self.electrics, [self.table.rows[i] for i in answer.rows[:1]])
        return [item for item in (*near._measures(close=True), *near._watches()) if np.isfinite(item.minutes)]

    def refined(self, shortlist: Sequence[Scored]) -> list[tuple[Scored, Floats]]:
        """Price the best steps again, given what was read already; outcomes are (n_rows, n_outcomes)."""
        numbers = [item for item in self.posterior.evidence if isinstance(item, Measured) and numeric(item)]
        joint = joint_of(self.table, numbers)
        found: list[tuple[Scored, Floats]] = []
        patterns: set[bytes] = set()
        for item in shortlist:
            outcomes = self.outlook.closer(item.step, joint)
            bits = round(float(gains(outcomes[None], self.weight, self.group)[0]), 6)
            pattern = crisp(outcomes).tobytes()
            if bits >= LEAST_GAIN and pattern not in patterns:
                patterns.add(pattern)
                found.append((replace(item, bits=bits), outcomes))
        return sorted(found, key=lambda pair: (-pair[0].rate, pair[0].minutes, pair[0].step.order))

    def mend_minutes(self, group: int) -> float:
        """Minutes of a group's mends, each with its try; infinite where one is out of reach."""
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

    def first_mend(self, group: int) -> tuple[Step, float]:
        """The mend of a group that comes first, and its minutes; the try that proves it is a step of its own."""
        step = self.mend_steps(group)[0]
        assert step.mend is not None
        return step, mending_minutes(self.harness, step.mend, self.bench)

    def mend_steps(self, group: int) -> tuple[Step, ...]:
        """The mends of a group as steps, in the setting of the first complaint.

        Of two, the one that more answers need comes first; a fuse comes after what blew it.
        """
        row = self.table.rows[int(self.rows[int(np.flatnonzero(self.group == group)[0])])]
        mends = list({fault.mend.id: fault.mend for fault in row.faults}.values())
        if len(mends) > 1:
            mends.sort(key=lambda mend: (isinstance(self.harness.parts.get(mend.element), Fuse), -self.posterior.needs([mend.id])))
        return tuple(Step("mend", self.complaints[0].setting, mend=mend) for mend in mends)


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
