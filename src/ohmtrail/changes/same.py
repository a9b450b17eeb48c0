"""Whether two harnesses are the same circuit under other names: a labelled graph of each, refined and matched."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable

import networkx as nx

from ohmtrail.circuit.branches import Branch
from ohmtrail.circuit.network import Network
from ohmtrail.errors import QuantityError
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Need, Points, Switch
from ohmtrail.units import quantity

__all__ = ["same_circuit"]

Node = tuple[str, ...]
Graph = nx.Graph

#: kinds with a plus and a minus; all others let current pass either way alike
_POLED = frozenset({"battery", "winding", "diode", "charger", "delivers", "clamp", "uptake"})
#: kinds that say nothing about how a machine is wired
_LEFT_OUT = frozenset({"insulation"})
_DIGITS = 6


def same_circuit(old: Harness, new: Harness) -> dict[str, str] | None:
    """Match two harnesses by electricity alone.

    Parameters
    ----------
    old, new : Harness
        Two descriptions.

    Returns
    -------
    dict or None
        Lead, part or function of the first -> of the second, where every branch, switch position and condition
        of the one has its like in the other; None where they are not the same circuit. Names, colours,
        coverings, looms and places do not count.

    Notes
    -----
    Colour refinement on both graphs together, then VF2++ within the classes that are left. Cost grows with
    the branches, a little faster than in line where many parts are alike.

    References
    ----------
    Jüttner and Madarasi, VF2++: an improved subgraph isomorphism algorithm, 2018 (as in networkx).
    """
    one, other = _graph(old), _graph(new)
    if one.number_of_nodes() != other.number_of_nodes() or one.number_of_edges() != other.number_of_edges():
        return None
    if not _refine(one, other):
        return None
    found = _kept_names(one, other) or nx.vf2pp_isomorphism(one, other, node_label="colour")
    if found is None:
        return None
    return {a[1]: b[1] for a, b in sorted(found.items()) if a[0] in ("lead", "part", "function")}


def _kept_names(one: Graph[Node], other: Graph[Node]) -> dict[Node, Node] | None:
    """A match in which what has the same name in both, and could match, does: parts that are alike swap no names."""
    pinned = (one.copy(), other.copy())
    for node, colour in one.nodes(data="colour"):
        if node[0] in ("lead", "part", "function") and node in other and other.nodes[node]["colour"] == colour:
            for graph in pinned:
                graph.nodes[node]["colour"] = (colour, node)
    if not _refine(*pinned):
        return None
    found: dict[Node, Node] | None = nx.vf2pp_isomorphism(*pinned, node_label="colour")
    return found


def _graph(harness: Harness) -> Graph[Node]:
    """Everything that decides how current runs, as nodes with labels."""
    network = Network.of(harness)
    graph: Graph[Node] = nx.Graph()
    for point in (FRAME, *network.nodes):
        graph.add_node(("node", point), colour=(point == FRAME,))
    for name, part in harness.parts.items():
        graph.add_node(("part", name), colour=("part", part.kind, str(getattr(part, "rating", ""))))
        _positions(graph, name, part)
    for name in harness.leads:
        graph.add_node(("lead", name), colour=("lead",))
    for branch in network.branches:
        if branch.kind not in _LEFT_OUT:
            _branch(graph, harness, branch)
    for name in harness.functions:
        _function(graph, harness, network, name)
    return graph


def _positions(graph: Graph[Node], name: str, part: object) -> None:
    if isinstance(part, Switch | Points):
        for position in part.positions:
            graph.add_node(("position", name, position), colour=("position", position == part.rests))
            graph.add_edge(("position", name, position), ("part", name))


def _branch(graph: Graph[Node], harness: Harness, branch: Branch) -> None:
    """One branch, its ends, its owner and what it follows."""
    numbers = (branch.ohm, branch.dead_ohm, branch.volts, branch.henry, branch.farad, branch.factor)
    label = (branch.kind, *(_rounded(item) for item in numbers), branch.turning, branch.hertz, branch.rests_closed)
    here: Node = ("branch", branch.id)
    graph.add_node(here, colour=label)
    for name, point in (("a", branch.a), ("b", branch.b)):
        _tie(graph, here, ("node", point), name if branch.kind in _POLED else "")
    graph.add_edge(here, ("lead" if branch.owner in harness.leads else "part", branch.owner))
    for position in branch.positions:
        graph.add_edge(here, ("position", branch.owner, position))
    if branch.follows:
        _tie(graph, here, ("branch", branch.follows), "follows")


def _tie(graph: Graph[Node], here: Node, there: Node, label: str) -> None:
    """An edge; where it says more than that, by way of a node of its own."""
    if not label:
        graph.add_edge(here, there)
        return
    between: Node = ("tie", label, *here, *there)
    graph.add_node(between, colour=("tie", label))
    graph.add_edges_from([(here, between), (between, there)])


def _function(graph: Graph[Node], harness: Harness, network: Network, name: str) -> None:
    function = harness.functions[name]
    graph.add_node(("function", name), colour=("function",))
    _when(graph, ("function", name), function.when)
    for index, need in enumerate(function.needs):
        here: Node = ("need", name, str(index))
        graph.add_node(here, colour=("need", need.quantity, *(_limit(need, key) for key in ("at_least", "at_most", "weak"))))
        graph.add_edge(here, ("function", name))
        _when(graph, here, need.when)
        for end, point in zip(("red", "black"), need.dc or need.ac or need.pulse or need.ohms or (), strict=False):
            _tie(graph, here, ("node", point), end)
        about = need.lit or need.works or need.sound
        if about is not None:
            graph.add_edge(here, ("branch", about) if need.lit and about in network.index else ("part", about))


def _when(graph: Graph[Node], here: Node, when: dict[str, str]) -> None:
    for switch, position in when.items():
        if switch in ("engine", "battery"):
            state: Node = ("state", switch, position)
            graph.add_node(state, colour=state)
            graph.add_edge(here, state)
        else:
            graph.add_edge(here, ("position", switch, position))


def _limit(need: Need, key: str) -> float | None:
    text = getattr(need, key)
    try:
        return None if text is None else _rounded(quantity(text, "ohm" if need.quantity == "ohms" else "volt"))
    except QuantityError:
        return None


def _rounded(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}") if not math.isnan(value) else -1.0


def _refine(one: Graph[Node], other: Graph[Node]) -> bool:
    """Refine the colours of both graphs together; False as soon as they cannot match."""
    graphs = (one, other)
    count = 0
    while True:
        names: dict[Hashable, int] = {}
        fresh = [
            {
                node: names.setdefault((graph.nodes[node]["colour"], tuple(sorted(str(graph.nodes[item]["colour"]) for item in graph[node]))), len(names))
                for node in graph
            }
            for graph in graphs
        ]
        if Counter(fresh[0].values()) != Counter(fresh[1].values()):
            return False
        for graph, colours in zip(graphs, fresh, strict=True):
            nx.set_node_attributes(graph, colours, "colour")
        if len(names) == count:
            return True
        count = len(names)
