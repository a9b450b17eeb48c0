"""Which leads and parts belong to the path of a function."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import networkx as nx

from ohmtrail.circuit import Electrics, Setting, function_setting, put
from ohmtrail.circuit.needs import load_branch
from ohmtrail.circuit.network import closed_branches
from ohmtrail.errors import UnknownName
from ohmtrail.harness import FRAME, Function, Harness
from ohmtrail.harness.parts import Module, Need, Relay, SparkPlug

__all__ = ["Chosen", "choose_all", "choose_path"]

#: kinds of branch that carry a current without being what it is for
_CONDUCTORS = frozenset({"lead", "joint", "contact", "earth", "switch", "fuse", "diode"})
#: what a way costs that must use an open contact or a load in series; own choice
_OPEN_COST, _LOAD_COST, _SHUT_OUT_COST = 20.0, 60.0, 400.0
_LOADS = frozenset({"filament", "resistor", "coil", "inside"})
#: a sealed module's inside below this hands its terminal's volts on, ohm; own choice
HANDS_ON_OHM = 1000.0


@dataclass(frozen=True)
class Chosen:
    """A part of the harness to draw.

    Attributes
    ----------
    leads, parts : frozenset of str
        Ids.
    terminals : frozenset of str
        Terminals of those parts that take part, leads or not.
    """

    leads: frozenset[str]
    parts: frozenset[str]
    terminals: frozenset[str] = field(default_factory=frozenset)


def choose_all(harness: Harness) -> Chosen:
    """Choose everything there is.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    Chosen
        Every part and lead.
    """
    return Chosen(frozenset(harness.leads), frozenset(harness.parts), frozenset(harness.terminals))


def choose_path(electrics: Electrics, name: str) -> Chosen:
    """Choose what a function works through, with the side branches that could spoil it.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    name : str
        Id of the function.

    Returns
    -------
    Chosen
        The rings from source through each of the function's needs and back, in the function's own
        setting: a switch moved for a reading changes the picture's states, not its parts. Open contacts
        that would short a need away are in it too.

    Raises
    ------
    UnknownName
        No such function.
    """
    harness = electrics.harness
    if name not in harness.functions:
        raise UnknownName("function", name, harness.functions)
    return _Path(electrics, harness.functions[name]).chosen()


class _Path:
    """The search for one function."""

    def __init__(self, electrics: Electrics, function: Function) -> None:
        self.function, self.harness = function, electrics.harness
        self.network = electrics.network
        self.branches = self.network.branches
        self.taken: set[int] = set()
        self.parts: set[str] = set()
        self.asked: set[tuple[str, str]] = set()

    @cached_property
    def net(self) -> dict[str, str]:
        """Node -> itself; a lead's end -> its terminal; the frame where bolts alone join it to the frame."""
        earthed: nx.Graph[str] = nx.Graph()
        earthed.add_node(FRAME)
        earthed.add_edges_from((branch.a, branch.b) for branch in self.branches if branch.kind == "earth")
        bolted = nx.node_connected_component(earthed, FRAME)
        fixed = {end: terminal for end, (_, terminal) in self.harness.lead_ends.items()}
        return {node: FRAME if (at := fixed.get(node, node)) in bolted else at for node in self.network.node_index}

    def chosen(self) -> Chosen:
        """Follow every need, then give what was met."""
        base = function_setting(self.harness, self.function)
        if self.function.seen_at:
            self.parts.add(self.harness.terminals.get(self.function.seen_at, (self.function.seen_at, ""))[0])
        for need in self.function.needs:
            self._need(need, put(self.harness, base, positions=need.when) if need.when else base)
        for part in sorted(self.parts):
            if isinstance(self.harness.parts.get(part), SparkPlug):
                self._spark(part)
        return self._met()

    def _met(self) -> Chosen:
        branches = [self.branches[index] for index in sorted(self.taken)]
        leads = {branch.owner for branch in branches if branch.owner in self.harness.leads}
        terminals = {node for branch in branches for node in (branch.a, branch.b) if node in self.harness.terminals}
        for lead in leads:
            terminals |= {self.harness.leads[lead].from_, self.harness.leads[lead].to}
        terminals.discard(FRAME)
        metals = {name for name, part in self.harness.parts.items() if part.kind in ("metal", "earth")}
        used = {end for lead in leads for end in (self.harness.leads[lead].from_, self.harness.leads[lead].to)}
        terminals -= metals - used
        parts = {self.harness.terminals[terminal][0] for terminal in terminals} | self.parts
        return Chosen(frozenset(leads), frozenset(parts), frozenset(terminals))

    def _need(self, need: Need, setting: Setting) -> None:
        pair = need.dc or need.ac or need.pulse or need.ohms
        if need.sound is not None:
            self.parts.add(need.sound)
            self._module(need.sound, setting)
        elif pair is not None:
            self._ring(pair, setting, away=need.at_most is not None)
        else:
            self._load(need.lit or need.works or "", setting, away=need.at_most is not None)

    def _load(self, name: str, setting: Setting, *, away: bool = False) -> None:
        """The ring through a lamp, motor or other load."""
        index = load_branch(self.network, name)
        self.taken.add(index)
        branch = self.branches[index]
        self._ring((branch.a, branch.b), setting, away=away)

    def _module(self, name: str, setting: Setting) -> None:
        part = self.harness.parts[name]
        if isinstance(part, Module) and (name, "needs") not in self.asked:
            self.asked.add((name, "needs"))
            for need in part.needs:
                self._need(need, setting)

    def _spark(self, plug: str) -> None:
        """The high-tension way from a coil to a plug."""
        graph = self._graph({i: 1.0 for i, b in enumerate(self.branches) if b.kind in (*_CONDUCTORS, "resistor") and b.kind != "earth"})
        start = f"{plug}.HT"
        coils = [f"{name}.{part.secondary.between[0]}" for name, part in self.harness.parts.items() if part.kind == "coil"]
        ways = [nx.shortest_path(graph, start, coil) for coil in coils if _joined(graph, start, coil)]
        if ways:
            self.taken |= _along(graph, min(ways, key=len))

    def _ring(self, pair: tuple[str, str], setting: Setting, *, away: bool = False) -> None:
        """Everything on a way from one point through a source to the other, and what could short it.

        ``away``: the need is that the volts go away, so the short is what it works through.
        """
        if pair in self.asked or pair[0] == pair[1]:
            return
        self.asked.add(pair)
        edges = [i for i, on in enumerate(closed_branches(self.network, setting)) if self._hands_on(i, bool(on), setting)]
        ends = {self.net[point] for point in pair}
        edges = [i for i in edges if {self.net[self.branches[i].a], self.net[self.branches[i].b]} != ends or self._plain(i)]
        found = self._block(edges, pair) or self._nearest(edges, pair, away=away)
        if away:
            found |= self._block([*edges, *self._insides()], pair)
        self.taken |= found | self._shorts(edges, found)
        self._behind(found, setting)

    def _plain(self, index: int) -> bool:
        return self.branches[index].kind in ("lead", "joint", "contact", "switch")

    def _insides(self) -> list[int]:
        return [i for i, branch in enumerate(self.branches) if branch.kind == "inside" and branch.ohm < HANDS_ON_OHM]

    def _hands_on(self, index: int, there: bool, setting: Setting) -> bool:
        """Whether a branch hands current on in the setting: conductors, and sources that are at work."""
        branch = self.branches[index]
        turning = setting.engine != "still"
        kind = self.harness.parts[branch.owner].kind if branch.owner in self.harness.parts else ""
        if branch.kind == "relay-contact":
            return True
        if not there:
            return False
        if branch.kind in _CONDUCTORS:
            return branch.kind != "diode" or turning or kind == "diode"
        if branch.kind in ("winding", "delivers"):
            return turning
        if branch.kind == "charger":
            return turning and kind in ("alternator", "dynamo")
        return branch.kind == "battery" or kind == "flasher"

    def _graph(self, costs: dict[int, float]) -> nx.Graph[str]:
        """Branches as edges between nets, the cheapest of parallel ones."""
        graph: nx.Graph[str] = nx.Graph()
        for index, cost in costs.items():
            a, b = self.net[self.branches[index].a], self.net[self.branches[index].b]
            if a != b and not (graph.has_edge(a, b) and graph.edges[a, b]["weight"] <= cost):
                graph.add_edge(a, b, weight=cost, index=index)
        return graph

    def _nearest(self, edges: list[int], pair: tuple[str, str], *, away: bool) -> set[int]:
        """The shortest way from a source and back, through open contacts and other loads if need be."""
        costs = {i: _OPEN_COST if away else _SHUT_OUT_COST for i, branch in enumerate(self.branches) if branch.kind == "switch"}
        costs |= {i: _LOAD_COST for i, branch in enumerate(self.branches) if branch.kind in _LOADS}
        costs |= {i: 1.0 for i in edges if self.branches[i].kind not in ("battery", "winding", "delivers", "charger")}
        ends = {self.net[point] for point in pair}
        costs = {i: cost for i, cost in costs.items() if {self.net[self.branches[i].a], self.net[self.branches[i].b]} != ends or self._plain(i)}
        graph = self._graph(costs)
        sources = [i for i in edges if self.branches[i].kind in ("battery", "winding", "charger")]
        best: tuple[float, list[str], list[str], int] | None = None
        for source in sources:
            poles = (self.net[self.branches[source].a], self.net[self.branches[source].b])
            for first, second in (poles, poles[::-1]):
                a, b = self.net[pair[0]], self.net[pair[1]]
                if not (_joined(graph, a, first) and _joined(graph, b, second)):
                    continue
                way, back = nx.shortest_path(graph, a, first, "weight"), nx.shortest_path(graph, b, second, "weight")
                cost = sum(float(graph.edges[pair_]["weight"]) for leg in (way, back) for pair_ in pairwise(leg))
                if best is None or cost < best[0]:
                    best = (cost, way, back, source)
        if best is None:
            return set()
        return _along(graph, best[1]) | _along(graph, best[2]) | {best[3]}

    def _shorts(self, edges: list[int], found: set[int]) -> set[int]:
        """Ways through open contacts that would take a net of the ring to the frame."""
        nets = nx.utils.UnionFind(self.network.node_index)
        for index in edges:
            if self.branches[index].kind in _CONDUCTORS and self.branches[index].kind != "diode":
                nets.union(self.branches[index].a, self.branches[index].b)
        insides = self._insides()
        fed = {nets[node] for index in found for node in (self.branches[index].a, self.branches[index].b)}
        fed |= {nets[n] for i in insides for n in (self.branches[i].a, self.branches[i].b) if fed & {nets[self.branches[i].a], nets[self.branches[i].b]}}
        more: set[int] = set()
        for index, branch in enumerate(self.branches):
            ends = {nets[branch.a], nets[branch.b]}
            if branch.kind == "switch" and len(ends) == 2 and nets[FRAME] in ends and ends - {nets[FRAME]} <= fed:
                way = self._block([*edges, *insides, index], (branch.a, branch.b), skip=index)
                if way & found:
                    more |= way | {index}
        return more

    def _behind(self, found: set[int], setting: Setting) -> None:
        """What the ring itself needs: coils of its relays, needs of its modules."""
        for index in sorted(found):
            branch = self.branches[index]
            part = self.harness.parts.get(branch.owner)
            if isinstance(part, Relay) and branch.kind == "relay-contact" and (branch.owner, "coil") not in self.asked:
                self.asked.add((branch.owner, "coil"))
                self._load(f"{branch.owner}.coil", setting)
            if isinstance(part, Module) and branch.kind == "delivers":
                self._module(branch.owner, setting)

    def _block(self, edges: Iterable[int], pair: tuple[str, str], *, skip: int = -1) -> set[int]:
        """Branches on a simple way between two points, empty where there is none."""
        graph: nx.Graph[str] = nx.Graph()
        held: dict[frozenset[str], list[int]] = {}
        for index in edges:
            a, b = self.net[self.branches[index].a], self.net[self.branches[index].b]
            if index != skip and a != b:
                graph.add_edge(a, b)
                held.setdefault(frozenset((a, b)), []).append(index)
        at = frozenset(self.net[point] for point in pair)
        if len(at) < 2:
            return set()
        graph.add_edge(*at)
        for block in nx.biconnected_component_edges(graph):
            if any(frozenset(edge) == at for edge in block):
                return {index for edge in block for index in held.get(frozenset(edge), ())}
        return set()


def _joined(graph: nx.Graph[str], a: str, b: str) -> bool:
    return a == b or (graph.has_node(a) and graph.has_node(b) and nx.has_path(graph, a, b))


def _along(graph: nx.Graph[str], way: list[str]) -> set[int]:
    return {graph.edges[a, b]["index"] for a, b in pairwise(way)}
