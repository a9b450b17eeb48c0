"""The printed chart to compare with: fixed half-splits along the function's path, with fair bands.

A manual's chart is drawn up beforehand and weighs nothing: at each box a point on the path is measured with
the machine as the function wants it, or the function is watched with a side lead off, and the answer is in
the band or out of it. The band is what sound machines within tolerance show on this meter, three sigma to
either side. Each box is the check after which, on average, the fewest mends are left, every mend counting
one; what takes long to get at comes last. What the harness cannot say (the ohms into a sealed module) makes a band so wide that the check splits
nothing, and the chart has no such box. A fault at a severity is struck only where it would hardly give the
answer: at the edges of a band both ways stay open. A mend is struck with the last of its faults.

Where the boxes end, the likeliest mend for its minutes is made first, then the next. An answer that rules
out everything is taken again. Where every mend of the last box was in vain, the technician starts the chart
again over the mends not made yet; where that ends wrong too, they are made in the order of their likelihood
for their minutes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from ohmtrail.circuit import WORKS
from ohmtrail.circuit.meter import Quantity, scale
from ohmtrail.circuit.setting import Setting, put
from ohmtrail.circuit.trace import trace_function
from ohmtrail.diagnosis.candidates import Surroundings, measurements, watches
from ohmtrail.diagnosis.case import Case
from ohmtrail.diagnosis.evidence import Measured, Seen
from ohmtrail.diagnosis.foreseen import Prediction
from ohmtrail.diagnosis.planted import Planted
from ohmtrail.diagnosis.steps import Bench, Step, mending_minutes, minutes_of
from ohmtrail.faults import Mend
from ohmtrail.harness.model import FRAME

__all__ = ["Chart", "ChartAction", "Check", "chart_of", "follow_chart"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: half the width of a band, sigma; an answer less likely than this under a fault is one it does not give
BAND_SIGMA, UNLIKELY = 3.0, 0.05
#: what takes longer than this to get at (a flywheel to pull) comes after every other box; common practice, no source
DEAR_MIN = 10.0
#: steps after which the chart's technician gives up
MOST_STEPS = 90


@dataclass(frozen=True)
class Check:
    """One box of the chart.

    Attributes
    ----------
    step : Step
        A measurement, or the function watched with something lifted or parted.
    low, high : float
        The band of a measurement on the meter's scale.
    inside : array, (n_rows,)
        Chance of an answer in the band, or of the function working, under every fault and severity.
    """

    step: Step
    low: float
    high: float
    inside: Floats

    @cached_property
    def good(self) -> Bools:
        """(n_rows,) which can give an answer in the band."""
        return self.inside > UNLIKELY

    @cached_property
    def bad(self) -> Bools:
        """(n_rows,) which can give one out of it."""
        return self.inside < 1.0 - UNLIKELY


@dataclass(frozen=True)
class Chart:
    """A chart for one complaint.

    Attributes
    ----------
    mends : tuple of Mend
        What it can end with.
    rate : array, (n_mends,)
        How often each is wanted.
    owner : array of int, (n_rows,)
        Which mend puts each fault at each severity right.
    checks : tuple of Check
        In the order of the path.
    """

    mends: tuple[Mend, ...]
    rate: Floats
    owner: Ints
    checks: tuple[Check, ...]

    def mends_of(self, rows: Bools) -> Bools:
        """(n_mends,) which mends put any of these rows right."""
        found = np.zeros(len(self.mends), dtype=bool)
        found[self.owner[rows]] = True
        return found

    def next_check(self, alive: Bools, done: set[int], bench: Bench, case: Case) -> int | None:
        """The check after which the fewest mends are left on average; None where none splits what is alive."""
        near = self._best(alive, done, bench, case, most=DEAR_MIN)
        return self._best(alive, done, bench, case, most=np.inf) if near is None else near

    def _best(self, alive: Bools, done: set[int], bench: Bench, case: Case, *, most: float) -> int | None:
        count = int(self.mends_of(alive).sum())
        each = 1.0 / np.bincount(self.owner[alive], minlength=len(self.mends))[self.owner[alive]]
        best, where = float(count), None
        for index, check in enumerate(self.checks):
            if index in done or not minutes_of(case.harness, check.step, bench) < most:
                continue
            good, bad = int(self.mends_of(alive & check.good).sum()), int(self.mends_of(alive & check.bad).sum())
            if max(good, bad) == count:
                continue  # a box splits only where either answer rules something out
            share = float((check.inside[alive] * each).sum() / count)
            left = share * good + (1.0 - share) * bad
            if left < best:
                best, where = left, index
        return where


@dataclass(frozen=True)
class ChartAction:
    """One step done by the chart.

    Attributes
    ----------
    step : Step
        What was done.
    minutes : float
        What it took.
    proof : bool
        Whether it was the try after a mend.
    """

    step: Step
    minutes: float
    proof: bool = False


def follow_chart(case: Case, machine: Planted, complaint: Seen, bench: Bench, chart: Chart) -> Iterator[ChartAction]:
    """Follow the chart from a complaint to the proof.

    Parameters
    ----------
    case : Case
        The machine as described.
    machine : Planted
        The machine on the bench.
    complaint : Seen
        What the customer says.
    bench : Bench
        Where it stands.
    chart : Chart
        For that complaint.

    Yields
    ------
    ChartAction
        One step after another.
    """
    left = np.ones(len(chart.owner), dtype=bool)
    alive, done, again, rounds = left.copy(), set[int](), -1, 1
    for _ in range(MOST_STEPS):
        index = chart.next_check(alive, done, bench, case) if again < 0 else again
        if index is not None:
            check = chart.checks[index]
            yield ChartAction(check.step, minutes_of(case.harness, check.step, bench))
            bench = bench.after(case.harness, check.step)
            found = alive & (check.good if _inside(case, check, machine) else check.bad)
            # an answer that nothing explains is taken again, once
            again = index if not found.any() and index not in done else -1
            done.add(index)
            alive = found if found.any() else alive
            continue
        mend = _next_mend(case, chart, chart.mends_of(alive), complaint, bench)
        if mend is None:
            return
        for action in _made(case, machine, chart.mends[mend], complaint, bench):
            yield action
            bench = bench.after(case.harness, action.step)
        if machine.level(complaint.function, complaint.setting) == WORKS:
            return
        left, alive = left & (chart.owner != mend), alive & (chart.owner != mend)
        if not alive.any():
            # every mend of the box was in vain: once more from the top, then one after the other
            alive, rounds = left, rounds + 1
            done = set() if rounds == 2 else set(range(len(chart.checks)))


def _made(case: Case, machine: Planted, mend: Mend, complaint: Seen, bench: Bench) -> Iterator[ChartAction]:
    """A mend and its proof."""
    step = Step("mend", complaint.setting, mend=mend)
    machine.mend(mend.id)
    yield ChartAction(step, mending_minutes(case.harness, mend, bench))
    proof = Step("watch", complaint.setting, function=complaint.function)
    yield ChartAction(proof, minutes_of(case.harness, proof, bench.after(case.harness, step)), proof=True)


def _next_mend(case: Case, chart: Chart, among: Bools, complaint: Seen, bench: Bench) -> int | None:
    """The likeliest mend for its minutes."""
    best, where = 0.0, None
    for index in np.flatnonzero(among):
        step = Step("mend", complaint.setting, mend=chart.mends[int(index)])
        value = float(chart.rate[index]) / max(minutes_of(case.harness, step, bench), 0.1)
        if value > best:
            best, where = value, int(index)
    return where


def _inside(case: Case, check: Check, machine: Planted) -> bool:
    found = machine.take(check.step)
    if isinstance(found, Seen):
        return found.level == WORKS
    assert isinstance(found, Measured)
    return check.low <= float(scale(found.quantity, found.value, case.meter)) <= check.high


def chart_of(case: Case, complaint: Seen) -> Chart:
    """Draw up the chart for a complaint.

    Parameters
    ----------
    case : Case
        The machine.
    complaint : Seen
        The function that fails, in its setting.

    Returns
    -------
    Chart
        The same for every machine of the kind.
    """
    return _Drafting(case, complaint).chart()


class _Drafting:
    """One chart in the making."""

    def __init__(self, case: Case, complaint: Seen) -> None:
        posterior = case.assess([complaint]).posterior
        assert posterior is not None
        self.case, self.complaint, self.table = case, complaint, posterior.table
        rows = [i for i, row in enumerate(self.table.rows) if len(row.faults) == 1 and not row.moves_at]
        self.rows = np.array(rows, dtype=np.int64)
        self.around = Surroundings(self.table.electrics, [self.table.rows[i] for i in rows])
        found: dict[str, Mend] = {}
        for index in rows:
            mend = self.table.rows[index].faults[0].mend
            found.setdefault(mend.id, mend)
        self.mends = tuple(found.values())
        place = {mend.id: index for index, mend in enumerate(self.mends)}
        self.owner = np.array([place[self.table.rows[i].faults[0].mend.id] for i in rows], dtype=np.int64)

    def chart(self) -> Chart:
        rate = np.zeros(len(self.mends))
        np.add.at(rate, self.owner, self.table.prior[self.rows])
        return Chart(self.mends, rate, self.owner, tuple(self._checks()))

    def _checks(self) -> Iterator[Check]:
        trace = trace_function(self.table.electrics, self.complaint.function, self.complaint.setting)
        ends = self.case.harness.lead_ends
        points = dict.fromkeys(
            ends[point][1] if point in ends else point for route in trace.routes if route.role != "shared" for point in route.points
        )
        live = self.complaint.setting
        dead = put(self.case.harness, live, battery=False, engine="still")
        regimes = {route.regime for route in trace.routes}
        for quantity in [q for q, r in (("ac", "ac"), ("volts", "dc")) if r in regimes]:
            if (quantity == "ac" and live.engine == "still") or (quantity == "volts" and not _fed(self.case)):
                continue
            yield from self._measured(quantity, live, tuple(points))  # type: ignore[arg-type]  # one of two
        yield from self._measured("ohms", dead, tuple(points))
        yield from self._watched({step.owner for route in trace.routes if route.role == "side" for step in route.steps})

    def _measured(self, quantity: Quantity, setting: Setting, points: tuple[str, ...]) -> Iterator[Check]:
        known = set(points) | {FRAME}
        pairs = [p for p in measurements(self.around, setting, quantity, self.table.meter) if set(p) <= known]
        first = {pair: pair[1] if pair[0] == FRAME else pair[0] for pair in pairs}
        pairs.sort(key=lambda pair: (points.index(first[pair]) if first[pair] in points else len(points), FRAME not in pair))
        for pair, found in zip(pairs, self.table.measured(quantity, setting, pairs), strict=True):
            low = float(found.mean[0] - BAND_SIGMA * found.spread[0])
            high = float(found.mean[0] + BAND_SIGMA * found.spread[0])
            inside = _chance_inside(found, low, high)[self.rows]
            step = Step("measure", setting, quantity, *pair)
            yield Check(step, low, high, inside)

    def _watched(self, owners: set[str]) -> Iterator[Check]:
        """The function watched with a side route lifted or parted, as manuals have it."""
        for step in watches(self.around, self.complaint.function, self.complaint.setting, self.table.works):
            changed = {end.rpartition(".")[0] for end in step.setting.lifted} | set(step.setting.parted)
            if step.function == self.complaint.function and changed and changed <= owners:
                yield Check(step, 0.0, 0.0, self.table.seen(step.function, step.setting)[self.rows, WORKS])


def _fed(case: Case) -> bool:
    return case.harness.has_battery


def _chance_inside(found: Prediction, low: float, high: float) -> Floats:
    """(n_rows,) chance that a reading falls into a band."""
    sigma = np.maximum(found.noise, 1e-9)[None]
    result: Floats = (ndtr((high - found.values) / sigma) - ndtr((low - found.values) / sigma)).mean(axis=0)
    return result

