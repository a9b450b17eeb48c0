"""Where a contact breaker must stand for a reading with the engine still: nobody knows where the engine stopped."""

from __future__ import annotations

from collections.abc import Iterable

import networkx as nx

from ohmtrail.circuit.kinds import earthed
from ohmtrail.circuit.meter import breakers_of
from ohmtrail.circuit.network import Network
from ohmtrail.circuit.setting import Setting, switch_position
from ohmtrail.harness.model import Harness

__all__ = ["breaker_positions", "breakers_known"]


def breaker_positions(harness: Harness, setting: Setting, points: Iterable[str]) -> dict[str, str]:
    """Give the contact breakers that a reading may hang on, each with the position that it is meant for.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state; with the engine turning no breaker stands anywhere.
    points : iterable of str
        Where the probes are.

    Returns
    -------
    dict of str to str
        Id -> position; of a breaker that a wire, a contact or a load joins to a probe, or that the setting names.
    """
    return breakers_known(harness, [(setting, *points)])


def breakers_known(harness: Harness, stood: Iterable[tuple[Setting, *tuple[str, ...]]]) -> dict[str, str]:
    """Give the contact breakers that are known to stand, and where.

    Parameters
    ----------
    harness : Harness
        The machine.
    stood : iterable of (Setting, str, ...)
        Readings with the engine still since it last turned, with their probes.

    Returns
    -------
    dict of str to str
        Id -> the position that the last of them was meant for.
    """
    breakers = breakers_of(harness)
    network = Network.of(harness) if breakers else None
    known: dict[str, str] = {}
    for setting, *points in stood:
        if network is not None and setting.engine == "still":
            known |= _positions(network, breakers, setting, points)
    return known


def _positions(network: Network, breakers: Iterable[str], setting: Setting, points: Iterable[str]) -> dict[str, str]:
    """What hangs on the breakers in one reading; metal joins nothing here."""
    graph, harness = network.graph(setting), network.harness
    graph.remove_nodes_from(earthed(network))
    met: set[str] = set()
    for point in points:
        met |= nx.node_connected_component(graph, point) if point in graph else set()
    named = {name for name, _ in setting.positions}
    return {
        name: switch_position(harness, setting, name)
        for name in breakers
        if name in named or any(f"{name}.{terminal}" in met for terminal in harness.parts[name].terminals())
    }
