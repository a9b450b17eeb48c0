"""The solver against arithmetic without rounding, and against networkx, on random networks.

The second implementation fills and solves nodal equations in fractions; it shares no line with the first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

import networkx as nx
import numpy as np
import pytest

from ohmtrail.circuit import Change, Electrics, Mode, Network, Setting
from ohmtrail.circuit.branches import Branch
from ohmtrail.circuit.changes import OPEN_OHM, Rows
from ohmtrail.circuit.draws import nominal
from ohmtrail.circuit.equations import STRAY_S, Equations
from ohmtrail.circuit.network import Regime, linear_values
from ohmtrail.circuit.response import Answer, respond
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree

SEEDS = range(12)
NODES = 8
#: what ordinary numbers may lose on networks of 1 Ω to 5 kΩ
CLOSE = 1e-10
#: what they may lose behind an open of 10 GΩ beside ohms, where ten of their sixteen digits are used up
CLOSE_OPEN = 1e-5


@dataclass(frozen=True)
class Web:
    """A random network of resistors and batteries, given to the solver as branches."""

    branches: tuple[Branch, ...]

    @classmethod
    def random(cls, seed: int, *, batteries: int = 2) -> Web:
        """A tree from the frame, as many chords again, some of them parallel, and batteries."""
        generator = np.random.default_rng(seed)
        names = ["frame", *(f"s{i}" for i in range(NODES))]
        pairs = [(names[int(generator.integers(0, i))], names[i]) for i in range(1, NODES + 1)]
        pairs += [tuple(names[i] for i in generator.choice(NODES + 1, 2, replace=False)) for _ in range(NODES)]  # type: ignore[misc]  # two names
        pairs.append(pairs[3])
        found = [
            Branch(f"r{i}", a, b, "resistor", "load", float(round(10 ** generator.uniform(0.0, 3.7), 2)))
            for i, (a, b) in enumerate(pairs)
        ]
        for i in range(batteries):
            a, b = (names[k] for k in generator.choice(NODES + 1, 2, replace=False))
            found.append(Branch(f"b{i}", a, b, "battery", "load", 0.25 * (i + 1), volts=6.5 * (i + 1)))
        return cls(tuple(found))

    @property
    def network(self) -> Network:
        """As the solver takes it."""
        parts = "\n".join(f"  s{i}: {{kind: splice, at: tray}}" for i in range(NODES))
        text = f"harness: web\nplaces: {{tray: {{reach: 1 min}}}}\nparts:\n{parts}\n"
        return Network(parse_harness(read_tree(text, file="web.yaml")), self.branches)

    def equations(self, regime: Regime) -> Equations:
        """Its equations in a regime."""
        setting = Setting(battery=regime != "ohms")
        return Equations(self.network, setting, regime, nominal(self.branches))

    def changed(self, change: Change) -> Web:
        """The network with a change built into its branches."""
        kept = list(self.branches)
        if change.mode == Mode.SHUNT:
            return Web((*kept, Branch("shunt", change.a, change.b, "resistor", "load", change.value)))
        place = next(i for i, branch in enumerate(kept) if branch.id == change.branch)
        branch = kept[place]
        if change.mode == Mode.KILL:
            del kept[place]
        elif change.mode == Mode.EMF:
            kept[place] = replace(branch, volts=change.value)
        elif change.mode == Mode.SCALE:
            kept[place] = replace(branch, ohm=branch.ohm * change.value, volts=branch.volts * change.value)
        else:
            value = OPEN_OHM if np.isinf(change.value) else change.value
            kept[place] = replace(branch, ohm=branch.ohm + value)
        return Web(tuple(kept))


@dataclass(frozen=True)
class Exact:
    """The same network in fractions; ``nodes`` gives the order of the unknowns."""

    web: Web
    nodes: tuple[str, ...]
    sources: bool

    def solve(self, into: dict[str, Fraction]) -> dict[str, Fraction]:
        """Volts of every node for amps put into some, batteries counted where there are sources."""
        order = {name: i for i, name in enumerate(self.nodes)}
        size = len(order)
        rows = [[Fraction(0)] * (size + 1) for _ in range(size)]
        for branch in self.web.branches:
            if branch.kind == "battery" and not self.sources:
                continue
            siemens = 1 / Fraction(branch.ohm)
            for here, there, sign in ((branch.a, branch.b, 1), (branch.b, branch.a, -1)):
                if here == "frame":
                    continue
                row = rows[order[here]]
                row[order[here]] += siemens
                row[size] += sign * siemens * Fraction(branch.volts)
                if there != "frame":
                    row[order[there]] -= siemens
        for name, amps in into.items():
            if name != "frame":
                rows[order[name]][size] += amps
        for name in self._loose():
            rows[order[name]][order[name]] += Fraction(STRAY_S)
        found = _eliminated(rows)
        return {"frame": Fraction(0), **{name: found[i] for name, i in order.items()}}

    def _loose(self) -> list[str]:
        """The first node of every group that nothing joins to the frame: a gigohm of surface holds it."""
        graph: nx.Graph[str] = nx.Graph([("frame", "frame")])
        graph.add_nodes_from(self.nodes)
        graph.add_edges_from((b.a, b.b) for b in self.web.branches if self.sources or b.kind != "battery")
        groups = nx.connected_components(graph)
        return [min(group, key=self.nodes.index) for group in groups if "frame" not in group]

    def volts(self) -> dict[str, float]:
        """Node volts."""
        return {name: float(value) for name, value in self.solve({}).items()}

    def ohms(self, red: str, black: str) -> float:
        """Two-point resistance: volts for an ampere put in here and taken out there, sources at nought."""
        with_, none = self.solve({red: Fraction(1), black: Fraction(-1)}), self.solve({})
        return float(with_[red] - none[red] - with_[black] + none[black])


def _eliminated(rows: list[list[Fraction]]) -> list[Fraction]:
    """Gauss and Jordan, without a rounding."""
    size = len(rows)
    for k in range(size):
        pivot = next(i for i in range(k, size) if rows[i][k])
        rows[k], rows[pivot] = rows[pivot], rows[k]
        rows[k] = [value / rows[k][k] for value in rows[k]]
        for i in range(size):
            if i != k and rows[i][k]:
                factor = rows[i][k]
                rows[i] = [a - factor * b for a, b in zip(rows[i], rows[k], strict=True)]
    return [row[size] for row in rows]


def exact(web: Web, *, sources: bool = True) -> Exact:
    """The network in fractions, its nodes in the solver's order."""
    return Exact(web, web.network.nodes, sources)


def answer(web: Web, sets: list[tuple[Change, ...]], regime: Regime = "dc") -> Answer:
    """What the solver makes of changes, at every node against the frame and at one pair."""
    network = web.network
    probes = np.array([[i, -1] for i in range(len(network.nodes))] + [[0, 5]])
    return respond(web.equations(regime), Rows.of(network, sets), probes)


def some_changes(web: Web, seed: int) -> list[Change]:
    """One of every kind, somewhere."""
    generator = np.random.default_rng(1000 + seed)
    resistors = [branch.id for branch in web.branches if branch.kind == "resistor"]
    batteries = [branch.id for branch in web.branches if branch.kind == "battery"]
    one, two, three, four = (str(name) for name in generator.choice(resistors, 4, replace=False))
    a, b = (str(name) for name in generator.choice(web.network.nodes, 2, replace=False))
    return [
        Change(Mode.SERIES, one, value=float(round(10 ** generator.uniform(-1, 5), 3))),
        Change(Mode.SERIES, batteries[0], value=1.75),
        Change(Mode.SHUNT, a=a, b=b, value=float(round(10 ** generator.uniform(-2, 5), 3))),
        Change(Mode.SHUNT, a=a, b="frame", value=0.125),
        Change(Mode.SCALE, two, value=0.375),
        Change(Mode.KILL, three),
        Change(Mode.EMF, batteries[1], value=9.25),
        Change(Mode.SERIES, four),
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_volts_are_those_of_exact_fractions(seed: int) -> None:
    """Every node of a random network with two batteries, to ten digits."""
    web = Web.random(seed)
    told, wanted = answer(web, [()]), exact(web).volts()
    volts = dict(zip(web.network.nodes, told.volts[0, : len(wanted) - 1], strict=True))
    assert volts == pytest.approx({name: wanted[name] for name in volts}, rel=CLOSE, abs=CLOSE)


@pytest.mark.parametrize("seed", SEEDS)
def test_ohms_are_those_of_exact_fractions_and_of_networkx(seed: int) -> None:
    """Two-point resistances, to ten digits of the exact ones and to nine of networkx's pseudo-inverse."""
    web = Web.random(seed)
    told = answer(web, [()], "ohms").resistance[0]
    ours = exact(web, sources=False)
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    graph.add_edges_from((item.a, item.b, {"ohm": item.ohm}) for item in web.branches if item.kind != "battery")
    for (red, black), value in zip([*((n, "frame") for n in ours.nodes), ("s0", "s5")], told, strict=True):
        assert value == pytest.approx(ours.ohms(red, black), rel=CLOSE)
        theirs = nx.resistance_distance(graph, red, black, weight="ohm", invert_weight=True)
        assert value == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_response_is_the_changed_network_solved_exactly(seed: int) -> None:
    """One factorisation and a small equation per change, against fractions of the changed network."""
    web = Web.random(seed)
    changes = some_changes(web, seed)
    told = answer(web, [(change,) for change in changes])
    volts, ohms = told.volts, told.resistance
    for row, change in enumerate(changes):
        close = CLOSE_OPEN if np.isinf(change.value) and change.mode == Mode.SERIES else 10 * CLOSE
        other = exact(web.changed(change))
        wanted = other.volts()
        probes = [*((name, "frame") for name in other.nodes), ("s0", "s5")]
        assert volts[row] == pytest.approx([wanted[a] - wanted[b] for a, b in probes], rel=close, abs=close), change
        assert ohms[row] == pytest.approx([other.ohms(a, b) for a, b in probes], rel=close), change


@pytest.mark.parametrize("seed", SEEDS)
def test_two_changes_at_once_are_both_in_the_exact_network(seed: int) -> None:
    """Pairs of changes, the same branch changed twice among them."""
    web = Web.random(seed)
    changes = some_changes(web, seed)
    twice = Change(Mode.SERIES, changes[0].branch, value=3.5)
    pairs = [(changes[0], twice), *pairwise(changes[:7])]
    told = answer(web, [tuple(pair) for pair in pairs]).volts[:, :NODES]
    for row, (one, two) in enumerate(pairs):
        wanted = exact(web.changed(one).changed(two)).volts()
        assert told[row] == pytest.approx([wanted[n] for n in web.network.nodes], rel=10 * CLOSE, abs=10 * CLOSE), (one, two)


HARNESS = """
harness: lantern on a long lead
places: {tray: {reach: 1 min}}
parts:
  battery: {kind: battery, at: tray, volts: 12.6 V, resistance: 20 mΩ, mounts: {"-": frame}}
  fuse: {kind: fuse, at: tray, rating: 10 A}
  switch: {kind: switch, at: tray, rests: off, positions: {off: [], on: [[1, 2]]}}
  plug: {kind: connector, at: tray, cavities: [1, 2]}
  heater: {kind: resistor, at: tray, resistance: 6 Ω}
  ground: {kind: earth, at: tray}
leads:
  feed: {from: battery.+, to: fuse.1, size: 1 mm2, length: 1 m}
  fused: {from: fuse.2, to: switch.1, size: 1 mm2, length: 2 m}
  hot: {from: switch.2, to: plug.1a, size: 0.75 mm2, length: 2 m}
  warm: {from: plug.1b, to: heater.1, size: 0.75 mm2, length: 1 m}
  back: {from: heater.2, to: plug.2b, size: 0.75 mm2, length: 1 m}
  home: {from: plug.2a, to: ground, size: 0.75 mm2, length: 1 m}
"""


def _as_web(electrics: Electrics, setting: Setting) -> Web:
    """The branches of a harness in a setting, as plain resistors and batteries."""
    conductance, emf = linear_values(electrics.network, setting, "dc", electrics.draws[0])
    return Web(
        tuple(
            replace(branch, kind="battery" if emf[i] else "resistor", ohm=float(1.0 / conductance[i].real))
            for i, branch in enumerate(electrics.network.branches)
            if conductance[i]
        )
    )


@pytest.mark.parametrize("position", ["off", "on"])
def test_a_harness_with_milliohms_and_gigohms_is_solved_as_exactly(position: str) -> None:
    """Leads, joints, contacts and insulation of one machine: a microvolt, whatever lies between."""
    electrics = Electrics(parse_harness(read_tree(HARNESS, file="lantern.yaml")), count=1)
    setting = Setting(positions=(("switch", position),))
    wanted = Exact(_as_web(electrics, setting), electrics.network.nodes, True).volts()
    points = list(electrics.network.nodes)
    told = electrics.read("dc", setting, [(point, "frame") for point in points]).value[0, 0]
    assert dict(zip(points, told, strict=True)) == pytest.approx({p: wanted[p] for p in points}, abs=1e-6)


@pytest.mark.parametrize("name", ["feed", "hot", "warm", "home"])
def test_opens_and_leaks_in_a_harness_are_those_of_the_exact_one(name: str) -> None:
    """An open and a leak of 3 Ω in each lead, against fractions: 0.1 mV where something holds the point."""
    electrics = Electrics(parse_harness(read_tree(HARNESS, file="lantern.yaml")), count=1)
    setting = Setting(positions=(("switch", "on"),))
    web, points = _as_web(electrics, setting), list(electrics.network.nodes)
    for change in (Change(Mode.SERIES, name), Change(Mode.SHUNT, a=f"{name}.from", b="frame", value=3.0)):
        wanted = Exact(web.changed(change), electrics.network.nodes, True).volts()
        pairs = [(point, "frame") for point in points]
        told = electrics.read("dc", setting, pairs, electrics.cases([(change,)])).value[0, 0]
        for point, value in zip(points, told, strict=True):
            assert value == pytest.approx(wanted[point], rel=1e-3, abs=1e-4), (change, point)
