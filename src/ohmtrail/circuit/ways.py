"""Ways through a circuit: where current runs, or would run if what is open were closed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import networkx as nx

from ohmtrail.circuit.branch_kinds import NO_METAL, VALVES
from ohmtrail.circuit.branches import Branch
from ohmtrail.circuit.flows import Flow
from ohmtrail.circuit.kinds import SOURCES, earthed, is_load
from ohmtrail.circuit.setting import switch_position
from ohmtrail.harness.model import FRAME

__all__ = ["Cost", "Hop", "Ways", "why_open"]

#: a point, and the index of the branch that leads on from it; -1 at the end of a way
Hop = tuple[str, int]
#: what it costs to go through a branch, by index
Cost = Callable[[int], float]

#: what carries most of the current is gone along first, then what carries some, then what could carry it;
#: an open contact, and a load that gets nothing, come last
_MOST, _SOME, _NONE, _CONSUMER, _OPEN = 1.0, 3.0, 10.0, 20.0, 300.0
_IDLE_CONSUMER = 3000.0
_LEAST_A = 1e-6


def why_open(flow: Flow, branch: Branch) -> str:
    """Say in short words why a branch lets no current pass.

    Parameters
    ----------
    flow : Flow
        The solved machine.
    branch : Branch
        One that does not conduct.

    Returns
    -------
    str
        Such as ``stop-switch at run``, ``head-plug parted``, ``start-relay not pulled in``.
    """
    setting = flow.setting
    match branch.kind:
        case "switch":
            return f"{branch.owner} at {switch_position(flow.network.harness, setting, branch.owner)}"
        case "contact" if branch.owner in setting.parted:
            return f"{branch.owner} parted"
        case "joint" if branch.id in setting.lifted:
            return f"{branch.id} lifted"
        case "fuse" | "filament" if branch.owner in setting.out:
            return f"{branch.owner} out"
        case "relay-contact":
            return f"{branch.owner} {'pulled in' if branch.rests_closed else 'not pulled in'}"
        case "diode" | "clamp":
            return f"{branch.owner} does not conduct"
        case "battery" if not setting.battery:
            return "battery off"
        case _:
            return f"{branch.owner} open"


@dataclass(frozen=True)
class Ways:
    """The branches of a solved machine as a graph to find ways in.

    Attributes
    ----------
    flow : Flow
        Volts, amps and what conducts.
    """

    flow: Flow

    @cached_property
    def graph(self) -> nx.MultiGraph[str]:
        """Every branch that can be a way, open ones included; the regime's sources are left out."""
        graph: nx.MultiGraph[str] = nx.MultiGraph()
        graph.add_nodes_from((FRAME, *self.flow.network.nodes))
        for index, branch in enumerate(self.flow.network.branches):
            if branch.kind not in NO_METAL and branch.kind not in SOURCES[self.flow.regime]:
                graph.add_edge(branch.a, branch.b, key=index)
        return graph

    @cached_property
    def earthed(self) -> frozenset[str]:
        """The frame, masses of metal, and what is bolted or mounted to them."""
        return earthed(self.flow.network)

    def by_current(self, amps: float) -> Cost:
        """Cost that keeps to where a load's current runs.

        Parameters
        ----------
        amps : float
            Current of the load, ampere.

        Returns
        -------
        callable
            Branch index -> cost.
        """
        return lambda index: self._current_cost(index, amps)

    def _current_cost(self, index: int, amps: float) -> float:
        branch, mine = self.flow.network.branches[index], abs(self.flow.amps[index])
        # where nothing runs, what runs elsewhere says nothing about the way
        carrying = amps >= _LEAST_A and mine >= 0.02 * amps
        if is_load(self.flow.network, branch) or branch.kind in ("winding", "battery"):
            return _CONSUMER if carrying else _IDLE_CONSUMER
        if not self.flow.conducts[index]:
            return _OPEN
        return _NONE if not carrying else _MOST if mine >= 0.5 * amps else _SOME

    def by_ohms(self, open_ohm: float) -> Cost:
        """Cost in ohms; what is open counts ``open_ohm`` more, valves that block are no way.

        Parameters
        ----------
        open_ohm : float
            Ohm.

        Returns
        -------
        callable
            Branch index -> ohm.
        """
        return lambda index: self._ohms(index, open_ohm)

    def _ohms(self, index: int, open_ohm: float) -> float:
        branch, on = self.flow.network.branches[index], bool(self.flow.conducts[index])
        if branch.kind in VALVES and not on:
            return float("inf")
        return branch.ohm + (0.0 if on else open_ohm)

    def reach(
        self, start: str, cost: Cost, *, avoid: frozenset[str] = frozenset(), without: int = -1
    ) -> tuple[dict[str, float], dict[str, list[str]]]:
        """Give the cheapest cost and way from a point to every other.

        Parameters
        ----------
        start : str
            Where to begin.
        cost : callable
            Branch index -> cost, in its own unit.
        avoid : frozenset of str
            Points not to be passed.
        without : int
            A branch that is no way, by index; -1 for none.

        Returns
        -------
        tuple of dict
            Point -> cost, and point -> points on the way there.
        """

        def weight(_: str, to: str, edges: Any) -> float | None:
            if to in avoid:
                return None
            least = min((cost(index) for index in edges if index != without), default=float("inf"))
            return None if least == float("inf") else least

        found: Any = nx.single_source_dijkstra(self.graph, start, weight=weight)
        costs, paths = found
        return costs, paths

    def edges_at(self, point: str) -> list[tuple[str, str, int]]:
        """The branches at a point: the point, the point across, branch index; in file order."""
        edges: Any = self.graph.edges(point, keys=True)
        return sorted(edges, key=lambda edge: int(edge[2]))

    def hops(self, points: list[str], cost: Cost, *, without: int = -1) -> list[Hop]:
        """Give the points of a way with the branch that leads on from each.

        Parameters
        ----------
        points : list of str
            Neighbours in order.
        cost : callable
            Branch index -> cost; the cheapest of parallel branches is taken.
        without : int
            A branch that is no way.

        Returns
        -------
        list of (str, int)
            The last with branch -1.
        """
        found: list[Hop] = []
        for here, there in pairwise(points):
            parallel: Any = self.graph[here][there]
            choices = [index for index in parallel if index != without]
            found.append((here, min(choices, key=lambda index: (cost(index), index))))
        return [*found, (points[-1], -1)]
