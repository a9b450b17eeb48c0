"""The posterior a second time, by brute force: every row, every drawn machine, every set of slips on its own.

Nothing is shared with the first implementation but the harness model, the list of faults, the drawn machines and
the meter's own error: circuits are dense matrices solved one by one, slips are summed set by set, and each
density is that of the readings left, not a correction of the density of all.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import multivariate_normal, norm

from ohmtrail.circuit import Change, Electrics, Mode, Network, Setting, put
from ohmtrail.circuit.changes import OPEN_OHM
from ohmtrail.circuit.draws import draws, nominal
from ohmtrail.circuit.meter import Meter, noise
from ohmtrail.diagnosis import likelihood
from ohmtrail.diagnosis.evidence import Evidence, Looked, Measured, Seen
from ohmtrail.diagnosis.likelihood import log_likelihood
from ohmtrail.diagnosis.posterior import weigh
from ohmtrail.diagnosis.table import ANSWER_DRAWS, Row, SuspectTable, single_rows
from ohmtrail.faults import SEVERITY, Fault, faults_of
from ohmtrail.harness import parse_harness
from ohmtrail.harness.model import Harness
from ohmtrail.harness.text import read_tree

Floats = NDArray[np.float64]

HARNESS = """
harness: heated grips
places: {tray: {reach: 1 min}, bar: {reach: 3 min}}
parts:
  battery: {kind: battery, at: tray, volts: 12.6 V, resistance: 20 mΩ, mounts: {"-": frame}}
  switch: {kind: switch, at: bar, rests: off, positions: {off: [], on: [[1, 2]]}}
  plug: {kind: connector, at: tray, cavities: [1, 2]}
  grip: {kind: resistor, at: bar, resistance: 6 Ω ± 10 %}
  ground: {kind: earth, at: tray}
leads:
  feed: {from: battery.+, to: switch.1, size: 1 mm2, length: 1 m}
  hot: {from: switch.2, to: plug.1a, size: 0.75 mm2, length: 2 m}
  warm: {from: plug.1b, to: grip.1, size: 0.75 mm2, length: 1 m}
  back: {from: grip.2, to: plug.2b, size: 0.75 mm2, length: 1 m}
  home: {from: plug.2a, to: ground, size: 0.75 mm2, length: 1 m}
functions:
  warmth: {seen_at: grip, when: {switch: on}, needs: [{works: grip}]}
"""
SUPPLY_V = 12.0
#: what the model says of people and meters, written down once more
SLIP, MISJUDGED, FALSE_LOOK, UNLISTED = 0.01, 0.005, 0.02, 0.02
RUNS, RUNS_POORLY = 0.70, 0.45
WIDTH = {"ohms": 8.2, "volts": 1.3 * SUPPLY_V}


def harness() -> Harness:
    """The machine."""
    return parse_harness(read_tree(HARNESS, file="grips.yaml"))


def table_of(harness: Harness) -> SuspectTable:
    """Every steady fault of it at every severity, with the machines that answers are drawn from."""
    network = Network.of(harness)
    electrics = Electrics(harness, machines=(nominal(network.branches), *draws(network.branches, ANSWER_DRAWS)))
    faults = [fault for fault in faults_of(network, year=2026) if not fault.moves_at]
    return SuspectTable(electrics, Meter(), single_rows(faults))


# ---- the second implementation ----


@dataclass(frozen=True)
class Brute:
    """The posterior of one table, row by row."""

    table: SuspectTable

    def chances(self, evidence: Sequence[Evidence]) -> Floats:
        """Chance of every row, and last that it is none of them."""
        prior = [row.weight for row in self.table.rows]
        likely = [self.likelihood(row, evidence) for row in self.table.rows]
        complaint = next(item for item in sorted(evidence, key=repr) if isinstance(item, Seen))
        reached = sum(p * self.seen(row, complaint) for p, row in zip(prior, self.table.rows, strict=True))
        other = UNLISTED * reached * math.prod(self.anything(item) for item in evidence if item != complaint)
        weights = np.array([*(p * like for p, like in zip(prior, likely, strict=True)), other])
        return weights / weights.sum()

    def likelihood(self, row: Row, evidence: Sequence[Evidence]) -> float:
        """Density of everything under one row."""
        numbers = [item for item in evidence if isinstance(item, Measured) and item.quantity != "beep"]
        words = [item for item in evidence if item not in numbers]
        return self.numbers(row, numbers) * math.prod(self.word(row, item) for item in words)

    def numbers(self, row: Row, items: Sequence[Measured]) -> float:
        """Joint density of the numbers: every set of at most two slips, one reading at least left."""
        if not items:
            return 1.0
        seen = np.array([as_scaled(item.quantity, item.value) for item in items])
        drawn, own = self.predicted(row, items)
        shared = np.cov(drawn.T, bias=True).reshape(len(items), len(items)) + np.diag(own**2)
        total = 0.0
        for size in range(min(2, len(items) - 1) + 1) if len(items) > 1 else (0, 1):
            for out in itertools.combinations(range(len(items)), size):
                left = [i for i in range(len(items)) if i not in out]
                density = SLIP**size * (1.0 - SLIP) ** len(left)
                density *= math.prod(1.0 / WIDTH[items[i].quantity] for i in out)
                if left:
                    there = multivariate_normal(drawn.mean(axis=0)[left], shared[np.ix_(left, left)])
                    density *= float(there.pdf(seen[left]))
                total += density
        return total

    def predicted(self, row: Row, items: Sequence[Measured]) -> tuple[Floats, Floats]:
        """Scaled values on every drawn machine (n_draws, n_items), and the meter's sigmas (n_items,)."""
        values, sigma = np.zeros((ANSWER_DRAWS, len(items))), np.zeros((ANSWER_DRAWS, len(items)))
        for draw in range(1, ANSWER_DRAWS + 1):
            for i, item in enumerate(items):
                shown, source = self.shown(row, draw, item)
                values[draw - 1, i] = as_scaled(item.quantity, shown)
                sigma[draw - 1, i] = float(noise(item.quantity, np.array(shown), np.array(source), self.table.meter))
        return values, np.sqrt((sigma**2).mean(axis=0))

    def shown(self, row: Row, draw: int, item: Measured) -> tuple[float, float]:
        """What an error-free meter shows on one drawn machine, and the ohms it is fed through."""
        meter = self.table.meter
        dense = self.dense(row, draw, item.setting, dead=item.quantity in ("ohms", "beep"))
        if item.quantity in ("ohms", "beep"):
            ohms = max(dense.ohms(item.red, item.black), 0.0) + meter.lead_ohm
            return (math.inf if ohms > meter.top_ohm else ohms), 0.0
        source = dense.ohms(item.red, item.black)
        return dense.volts(item.red, item.black) * meter.input_ohm / (meter.input_ohm + source), source

    def dense(self, row: Row, draw: int, setting: Setting, *, dead: bool) -> Dense:
        """The matrix of one row on one drawn machine."""
        changes = [change for fault in row.faults for change in fault.changes]
        values = self.table.cases.values
        assert values is not None
        at = next(i for i, other in enumerate(self.table.rows) if other is row)
        placed = [
            (change, float(values[draw, at, slot]) if change.value == SEVERITY else change.value)
            for slot, change in enumerate(changes)
        ]
        return Dense.of(self.table.electrics, setting, draw, placed, dead=dead)

    def word(self, row: Row, item: Evidence) -> float:
        """Chance of something that is no number."""
        if isinstance(item, Looked):
            shows = max((f.look for f in row.faults if self._lies_on(f, item.element)), default=0.0)
            found = shows + (1.0 - shows) * FALSE_LOOK
            return found if item.damaged else 1.0 - found
        return self.seen(row, item) if isinstance(item, Seen) else self.beep(row, item)

    @staticmethod
    def _lies_on(fault: Fault, element: str) -> bool:
        """A lead's joints and a part's contacts are looked at with it; two that touch are seen on either."""
        if fault.kind in ("neighbour", "crossed"):
            both = {word for word in fault.id.split() if word not in ("neighbour", "crossed", "at")}
            return any(element in (name, name.partition(".")[0]) for name in both)
        return element in (fault.element, fault.element.partition(".")[0])

    def beep(self, row: Row, item: Measured) -> float:
        """A beeper that begins somewhere between the least and the most, evenly on the log scale."""
        meter = self.table.meter
        low, high = (math.log10(edge + 0.5) for edge in (meter.beeper_least_ohm, meter.beeper_most_ohm))
        values, own = self.predicted(row, [item])
        spread = math.hypot(float(own[0]), (high - low) / 3.46)
        beeps = float(np.mean([norm.cdf(((low + high) / 2.0 - value) / spread) for value in values[:, 0]]))
        heard = min(max(beeps if item.value else 1.0 - beeps, 1e-9), 1.0)
        return (1.0 - SLIP) * heard + SLIP * 0.4

    def seen(self, row: Row, item: Seen) -> float:
        """A function watched: counted over the drawn machines, less surely where severities turn it."""
        rows = self.table.rows
        at = next(i for i, other in enumerate(rows) if other is row)
        counts = self.counts(at, item)
        beside = [i for i in (at - 1, at + 1) if 0 <= i < len(rows) and rows[i].faults == row.faults and row.faults]
        turns = max(counts) < ANSWER_DRAWS or any(first(self.counts(i, item)) != first(counts) for i in beside)
        share = (counts[item.level] + 0.5) / (ANSWER_DRAWS + 1.5) if turns else counts[item.level] / ANSWER_DRAWS
        return (1.0 - 3.0 * MISJUDGED) * share + MISJUDGED

    def counts(self, at: int, item: Seen) -> list[int]:
        """Drawn machines on which it fails, works weakly, works."""
        found = [0, 0, 0]
        for draw in range(1, ANSWER_DRAWS + 1):
            row = self.table.rows[at]
            dense = self.dense(row, draw, item.setting, dead=False)
            burnt = any(c.branch == "grip" and math.isinf(c.value) for fault in row.faults for c in fault.changes)
            share = 0.0 if burnt else abs(dense.volts("grip.1", "grip.2")) / SUPPLY_V
            found[2 if share >= RUNS else 1 if share >= RUNS_POORLY else 0] += 1
        return found

    def anything(self, item: Evidence) -> float:
        """What a fault in no table is said to answer: like a sound machine half the time, or anything."""
        sound = self.table.rows[0]
        if isinstance(item, Looked):
            return self.word(sound, item)
        if isinstance(item, Measured) and item.quantity != "beep":
            drawn, own = self.predicted(sound, [item])
            sigma = math.hypot(float(drawn.std()), float(own[0]))
            like = float(norm.pdf(as_scaled(item.quantity, item.value), drawn.mean(), sigma))
            return 0.5 * like + 0.5 / WIDTH[item.quantity]
        return 0.5 * self.word(sound, item) + 0.5 * 0.4


@dataclass(frozen=True)
class Dense:
    """One machine with its fault as a dense matrix."""

    order: dict[str, int]
    inverse: Floats
    into: Floats

    @classmethod
    def of(
        cls, electrics: Electrics, setting: Setting, draw: int, changes: Sequence[tuple[Change, float]], *, dead: bool
    ) -> Dense:
        """Fill it, branch by branch."""
        order = {name: i for i, name in enumerate(electrics.network.nodes)}
        matrix, into = np.zeros((len(order), len(order))), np.zeros(len(order))
        for a, b, ohm, volts in branches(electrics, setting, draw, changes, dead=dead):
            for here, there, sign in ((a, b, 1.0), (b, a, -1.0)):
                if here in order:
                    matrix[order[here], order[here]] += 1.0 / ohm
                    into[order[here]] += sign * volts / ohm
                    if there in order:
                        matrix[order[here], order[there]] -= 1.0 / ohm
        return cls(order, np.linalg.inv(matrix), into)

    def _pick(self, red: str, black: str) -> Floats:
        picked = np.zeros(len(self.order))
        for name, sign in ((red, 1.0), (black, -1.0)):
            if name in self.order:
                picked[self.order[name]] += sign
        return picked

    def volts(self, red: str, black: str) -> float:
        """Open-circuit volts."""
        return float(self._pick(red, black) @ self.inverse @ self.into)

    def ohms(self, red: str, black: str) -> float:
        """Ohms between two points, sources at nought."""
        picked = self._pick(red, black)
        return float(picked @ self.inverse @ picked)


def branches(
    electrics: Electrics, setting: Setting, draw: int, changes: Sequence[tuple[Change, float]], *, dead: bool
) -> Iterator[tuple[str, str, float, float]]:
    """Ends, ohms and volts of what is there on one drawn machine, its faults built in."""
    machine = electrics.draws[draw]
    for i, branch in enumerate(electrics.network.branches):
        if branch.kind == "uptake":
            # nothing charges this battery
            continue
        if (branch.kind == "battery" and (dead or not setting.battery)) or (
            branch.kind == "switch" and dict(setting.positions).get("switch", "off") not in branch.positions
        ):
            continue
        ohm, volts = branch.ohm * float(machine.live[i]), 0.0
        if branch.kind == "battery":
            volts = branch.volts + machine.battery_v
        for change, value in changes:
            if change.branch == branch.id and change.mode == Mode.SERIES:
                ohm += OPEN_OHM if math.isinf(value) else value
            elif change.branch == branch.id and change.mode == Mode.EMF:
                volts = value
        yield branch.a, branch.b, ohm, volts
    for change, value in changes:
        if change.mode == Mode.SHUNT:
            yield change.a, change.b, value, 0.0


def as_scaled(quantity: str, shown: float) -> float:
    """The scale on which values are compared: log10 of half an ohm more, up to one and a half ranges."""
    return math.log10(min(shown, 1.5 * Meter().top_ohm) + 0.5) if quantity in ("ohms", "beep") else shown


def first(counts: Sequence[int]) -> int:
    """The level met most often."""
    return counts.index(max(counts))


# ---- the comparison ----


@pytest.fixture(scope="module")
def table() -> SuspectTable:
    """The suspects of the heated grips."""
    return table_of(harness())


def jobs(harness: Harness) -> dict[str, tuple[Evidence, ...]]:
    """A few jobs: clean ones, one with a reading that fits nothing, one with all kinds of evidence."""
    on, off = put(harness, Setting(), positions={"switch": "on"}), Setting(battery=False)
    cold = Seen("warmth", on, 0)
    fed = Measured("volts", "grip.1", "frame", on, 12.52)
    low = Measured("volts", "grip.1", "frame", on, 5.1)
    hot = Measured("volts", "plug.1a", "frame", on, 12.55)
    gone = Measured("ohms", "grip.2", "frame", off, math.inf)
    dirty = Measured("ohms", "plug.2b", "frame", off, 9.4)
    through = Measured("ohms", "grip.1", "grip.2", off, 6.2)
    return {
        "complaint alone": (cold,),
        "one reading": (cold, fed),
        "open behind the grip": (cold, fed, gone),
        "weak, resistance in the earth": (Seen("warmth", on, 1), dirty, through, hot),
        "a reading that fits nothing": (cold, hot, low, gone, through),
        "everything": (cold, fed, gone, through, Measured("beep", "grip.1", "plug.1b", off, 1.0), Looked("home", True)),
    }


JOBS = tuple(jobs(harness()))


@pytest.mark.parametrize("job", JOBS)
def test_the_posterior_is_that_of_brute_force(table: SuspectTable, job: str) -> None:
    """Every row's chance, and that of a fault in no table, to a ten-millionth: what two ways of solving cost."""
    evidence = jobs(table.electrics.harness)[job]
    found, wanted = weigh(table, evidence), Brute(table).chances(evidence)
    assert np.append(found.chance, found.unlisted) == pytest.approx(wanted, abs=1e-7)
    assert found.chance.max() > 0.01


@pytest.mark.parametrize("job", JOBS)
def test_the_likelihood_is_that_of_brute_force(table: SuspectTable, job: str) -> None:
    """Row by row, the logarithm to a millionth where it matters: within a factor e^30 of the best."""
    evidence = jobs(table.electrics.harness)[job]
    found = log_likelihood(table, evidence)
    brute = Brute(table)
    likely = np.flatnonzero(found > found.max() - 30.0)
    wanted = [math.log(brute.likelihood(table.rows[i], evidence)) for i in likely]
    assert found[likely] == pytest.approx(wanted, abs=1e-6)


def test_the_comparison_would_notice(table: SuspectTable, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fifth more slips in one of the two parts them by far more than the bound."""
    evidence = jobs(table.electrics.harness)["a reading that fits nothing"]
    found = weigh(table, evidence)
    monkeypatch.setattr(likelihood, "SLIP", 1.2 * SLIP)
    assert np.abs(weigh(table, evidence).chance - found.chance).max() > 1e-4


@pytest.mark.parametrize("job", JOBS)
def test_the_order_of_readings_does_not_matter(table: SuspectTable, job: str) -> None:
    """Likelihoods and chances of every order of the evidence agree to a thousand-millionth."""
    evidence = jobs(table.electrics.harness)[job]
    likely, chance = log_likelihood(table, evidence), weigh(table, evidence).chance
    for order in itertools.islice(itertools.permutations(evidence), 1, 40):
        assert log_likelihood(table, order) == pytest.approx(likely, rel=1e-9, abs=1e-9)
        assert weigh(table, order).chance == pytest.approx(chance, abs=1e-9)
