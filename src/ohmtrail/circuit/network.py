"""The circuit as arrays: nodes, branches, and what each branch conducts in a setting and a regime."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branch_kinds import HIDDEN, PLAIN, WIRING
from ohmtrail.circuit.branches import Branch, branches_of
from ohmtrail.circuit.draws import Draw
from ohmtrail.circuit.setting import Setting, switch_position
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Earth, Metal, Points

__all__ = ["Network", "Regime", "closed_branches", "highest_hertz", "law_values"]

Regime = Literal["dc", "ac", "pulse", "ohms"]
Floats = NDArray[np.float64]

#: what an ignition coil's inductance adds to its ohms against a pulse; order of magnitude from memory
SURGE_OHM = 15.0
Ints = NDArray[np.int64]



@dataclass(frozen=True)
class Network:
    """Nodes and branches of one machine; nothing here depends on the setting.

    Attributes
    ----------
    harness : Harness
        The machine.
    branches : tuple of Branch
        Its branches.
    """

    harness: Harness
    branches: tuple[Branch, ...]

    @classmethod
    def of(cls, harness: Harness) -> Network:
        """Build the network of a machine."""
        return cls(harness, branches_of(harness))

    @cached_property
    def nodes(self) -> tuple[str, ...]:
        """Every node but the frame, in first-met order."""
        met = dict.fromkeys(point for point in self.harness.points if point != FRAME)
        for branch in self.branches:
            met.setdefault(branch.a)
            met.setdefault(branch.b)
        met.pop(FRAME, None)
        return tuple(met)

    @cached_property
    def node_index(self) -> dict[str, int]:
        """Node -> index; the frame is -1."""
        return {FRAME: -1, **{name: index for index, name in enumerate(self.nodes)}}

    @cached_property
    def index(self) -> dict[str, int]:
        """Branch id -> index."""
        return {branch.id: index for index, branch in enumerate(self.branches)}

    @cached_property
    def ends(self) -> Ints:
        """(n_branches, 2) node indices, the frame at -1."""
        of = self.node_index
        return np.array([(of[branch.a], of[branch.b]) for branch in self.branches], dtype=np.int64).reshape(-1, 2)

    @cached_property
    def kinds(self) -> NDArray[np.str_]:
        """(n_branches,) kind of every branch."""
        return np.array([branch.kind for branch in self.branches])

    @cached_property
    def resting(self) -> NDArray[np.bool_]:
        """(n_branches,) relay contacts that conduct while nothing pulls them."""
        return np.array([branch.kind == "relay-contact" and branch.rests_closed for branch in self.branches], dtype=bool)

    @cached_property
    def uptakes(self) -> dict[str, int]:
        """Battery -> index of the branch for what it does not take on charge."""
        return {branch.follows: index for index, branch in enumerate(self.branches) if branch.kind == "uptake"}

    @cached_property
    def owned(self) -> dict[str, tuple[int, ...]]:
        """Lead or part -> indices of its branches, a battery's uptake left out: it is never changed by itself."""
        found: dict[str, list[int]] = {}
        for index, branch in enumerate(self.branches):
            if branch.kind != "uptake":
                found.setdefault(branch.owner, []).append(index)
        return {owner: tuple(items) for owner, items in found.items()}

    @cached_property
    def wiring(self) -> nx.Graph[str]:
        """Leads with their joints, connectors and fuses as a graph, all mated: what is one wire by its metal."""
        graph: nx.Graph[str] = nx.Graph()
        graph.add_edges_from((item.a, item.b) for item in self.branches if item.kind in WIRING and FRAME not in (item.a, item.b))
        return graph

    @cached_property
    def chopped(self) -> frozenset[str]:
        """What is one wire with the live side of a contact breaker: while the engine turns it jumps, and the coil kicks there."""
        found: set[str] = set()
        for name, part in self.harness.parts.items():
            for terminal in part.terminals() if isinstance(part, Points) else ():
                start = f"{name}.{terminal}"
                wire = nx.node_connected_component(self.wiring, start) if start in self.wiring else {start}
                met = {self.harness.terminals[node][0] for node in wire if node in self.harness.terminals}
                if terminal not in part.mounts and not any(isinstance(self.harness.parts.get(item), Earth | Metal) for item in met):
                    found |= wire
        return frozenset(found)

    def graph(self, setting: Setting) -> nx.MultiGraph[str]:
        """Give the circuit in a setting as a multigraph: isolated nodes first, edges keyed by branch id.

        Parameters
        ----------
        setting : Setting
            State of the machine.

        Returns
        -------
        networkx.MultiGraph
            Nodes are terminals and lead ends; only branches that conduct are edges.
        """
        graph: nx.MultiGraph[str] = nx.MultiGraph()
        graph.add_node(FRAME)
        graph.add_nodes_from(self.nodes)
        closed = closed_branches(self, setting)
        for branch, on in zip(self.branches, closed, strict=True):
            if on and branch.kind not in HIDDEN:
                graph.add_edge(branch.a, branch.b, key=branch.id, kind=branch.kind, owner=branch.owner)
        return graph


def closed_branches(network: Network, setting: Setting) -> NDArray[np.bool_]:
    """Say which branches are there in a setting, whatever they conduct.

    Parameters
    ----------
    network : Network
        The circuit.
    setting : Setting
        State of the machine.

    Returns
    -------
    array of bool, (n_branches,)
        False for a lifted joint, a parted contact, an open switch contact, a removed fuse or bulb, a
        battery that is off. A relay contact counts as it rests.
    """
    return np.array([_closed(network.harness, branch, setting) for branch in network.branches], dtype=bool)


def _closed(harness: Harness, branch: Branch, setting: Setting) -> bool:
    match branch.kind:
        case "joint":
            return branch.id not in setting.lifted
        case "contact":
            return branch.owner not in setting.parted
        case "switch":
            return switch_position(harness, setting, branch.owner) in branch.positions
        case "fuse" | "filament":
            return branch.owner not in setting.out
        case "battery" | "uptake":
            return setting.battery
        case "relay-contact":
            return branch.rests_closed
        case _:
            return True


def law_values(network: Network, draw: Draw, at: Ints) -> tuple[Floats, Floats]:
    """Give the two parameters that the law of each branch takes, for one drawn machine.

    Parameters
    ----------
    network : Network
        The circuit.
    draw : Draw
        One healthy machine within its tolerances.
    at : array of int, (n,)
        Nonlinear branches.

    Returns
    -------
    tuple of array, (n,)
        Ohm and volts, as `circuit.laws` takes them.
    """
    items = [network.branches[index] for index in at]
    ohm = np.array([item.ohm for item in items]) * draw.live[at]
    volts = np.array([item.volts for item in items])
    for place, item in enumerate(items):
        if item.kind == "uptake":
            delivers = item.ohm * draw.live[network.index[item.follows]]
            takes = delivers * max(item.factor * draw.live[at[place]], 2.0)
            ohm[place], volts[place] = 1.0 / (1.0 / delivers - 1.0 / takes), item.volts + draw.battery_v
    return ohm, volts


def _lookup(pairs: tuple[tuple[str, float], ...], engine: str) -> float:
    return dict(pairs).get(engine, 0.0)


def linear_values(network: Network, setting: Setting, regime: Regime, draw: Draw) -> tuple[NDArray[np.complex128], Floats]:
    """Give every branch's conductance and the volts in series with it, for one drawn machine.

    Parameters
    ----------
    network : Network
        The circuit.
    setting : Setting
        State of the machine.
    regime : str
        ``dc``, ``ac``, ``pulse`` or ``ohms``.
    draw : Draw
        One healthy machine within its tolerances.

    Returns
    -------
    tuple
        Conductance (admittance in ``ac``), siemens, (n_branches,); volts, (n_branches,). Nonlinear
        branches get the conductance of a first guess.
    """
    conductance = np.zeros(len(network.branches), dtype=np.complex128)
    volts = np.zeros(len(network.branches))
    there = closed_branches(network, setting)
    for index, branch in enumerate(network.branches):
        if there[index] or branch.kind == "relay-contact":
            conductance[index], volts[index] = _value(branch, setting, regime, draw, index)
    if regime == "ac":
        omega = 2.0 * np.pi * highest_hertz(network, setting)
        for index, branch in enumerate(network.branches):
            if branch.kind == "capacitor":
                conductance[index] = 1j * omega * branch.farad
    return conductance, volts


def highest_hertz(network: Network, setting: Setting) -> float:
    """Give the frequency at which capacitances are reckoned.

    Parameters
    ----------
    network : Network
        The circuit.
    setting : Setting
        State of the machine.

    Returns
    -------
    float
        Hertz: the highest of any winding that turns; nought where none does.
    """
    hertz = (_lookup(branch.hertz, setting.engine) for branch in network.branches if branch.kind == "winding")
    return max(hertz, default=0.0)


def _value(branch: Branch, setting: Setting, regime: Regime, draw: Draw, index: int) -> tuple[complex, float]:
    """Conductance and series volts of one branch that is there."""
    live, dead = draw.live[index], draw.dead[index]
    kind = branch.kind
    if kind in PLAIN:
        surge = SURGE_OHM if kind == "coil" and regime == "pulse" else 0.0
        return 1.0 / (branch.ohm * live + surge), 0.0
    if regime == "ohms":
        return (0.0 if np.isinf(branch.dead_ohm) or kind == "battery" else 1.0 / (branch.dead_ohm * dead)), 0.0
    match kind:
        case "battery":
            return 1.0 / (branch.ohm * live), branch.volts + draw.battery_v if regime == "dc" else 0.0
        case "inside":
            return 1.0 / (branch.ohm * live), 0.0
        case "winding":
            return _winding(branch, setting, regime, draw, live)
        case "load":
            return (1.0 / (branch.ohm * live) if regime == "ac" else 0.0), 0.0
        case "delivers":
            # the pulse itself is injected per row, so that a dead module can deliver none
            return (1.0 / (branch.ohm * live) if regime == "pulse" else 0.0), 0.0
        case "relay-contact":
            return (1.0 / (branch.ohm * live) if branch.rests_closed else 0.0), 0.0
        case "filament":
            return 2.0 / (branch.ohm * live), 0.0
        case "diode" | "clamp":
            return 1.0 / (branch.dead_ohm * dead), 0.0
        case _:
            return 0.0, 0.0


def _winding(branch: Branch, setting: Setting, regime: Regime, draw: Draw, live: float) -> tuple[complex, float]:
    if regime != "ac":
        return 1.0 / (branch.ohm * live), 0.0
    omega = 2.0 * np.pi * _lookup(branch.hertz, setting.engine)
    volts = _lookup(branch.turning, setting.engine) * draw.engine.get(setting.engine, 1.0)
    return 1.0 / complex(branch.ohm * live, omega * branch.henry), volts


def nodes_of(network: Network, points: Iterable[str]) -> Ints:
    """Give node indices of probe points, the frame at -1."""
    return np.array([network.node_index[point] for point in points], dtype=np.int64)
