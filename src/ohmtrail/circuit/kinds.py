"""What the kinds of branch are to a person who follows a current: source, way or load."""

from __future__ import annotations

import networkx as nx

from ohmtrail.circuit.branch_kinds import LOADS, PASSES
from ohmtrail.circuit.branches import Branch
from ohmtrail.circuit.network import Network, Regime
from ohmtrail.harness.model import FRAME

__all__ = ["SOURCES", "earthed", "fed_straight", "is_load", "passes"]

#: kinds that drive current, by regime
SOURCES: dict[Regime, tuple[str, ...]] = {
    "dc": ("battery", "charger"),
    "ac": ("winding",),
    "pulse": ("delivers",),
    "ohms": (),
}


def passes(network: Network, branch: Branch) -> bool:
    """Say whether a branch is a way for current rather than a load.

    Parameters
    ----------
    network : Network
        The circuit.
    branch : Branch
        One of its branches.

    Returns
    -------
    bool
        True for leads, joints, contacts of any kind, fuses, flashers and single diodes.
    """
    part = network.harness.parts.get(branch.owner)
    kind = part.kind if part is not None else ""
    return branch.kind in PASSES or kind in ("flasher", "diode")


def is_load(network: Network, branch: Branch) -> bool:
    """Say whether a branch is a load: lamps, horns, motors, coils, modules.

    Parameters
    ----------
    network : Network
        The circuit.
    branch : Branch
        One of its branches.

    Returns
    -------
    bool
        False for sources as well as for what merely conducts.
    """
    return branch.kind in LOADS and not passes(network, branch)


def earthed(network: Network) -> frozenset[str]:
    """Give the points that are the machine's metal: the frame, other masses, what is bolted to them.

    Parameters
    ----------
    network : Network
        The circuit.

    Returns
    -------
    frozenset of str
        Points; leads that run to them are not among them.
    """
    masses = [
        FRAME,
        *(name for name, part in network.harness.parts.items() if part.kind in ("metal", "earth")),
    ]
    bolts: nx.Graph[str] = nx.Graph()
    bolts.add_nodes_from(masses)
    bolts.add_edges_from((item.a, item.b) for item in network.branches if item.kind == "earth")
    return frozenset(point for mass in masses for point in nx.node_connected_component(bolts, mass))


def fed_straight(network: Network) -> frozenset[str]:
    """Give the points that a battery's live post reaches, whatever the switches, with no load before them.

    Parameters
    ----------
    network : Network
        The circuit.

    Returns
    -------
    frozenset of str
        Terminals and lead ends; what lies behind the frame is not among them.
    """
    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from((item.a, item.b) for item in network.branches if passes(network, item) and FRAME not in (item.a, item.b))
    live, _ = network.harness.supply.posts
    feeds = [f"{item.owner}.{live}" for item in network.branches if item.kind == "battery"]
    return frozenset(node for feed in feeds if feed in graph for node in nx.node_connected_component(graph, feed))
