"""What a short does to the fuse before it: a hard leak on a fused lead and the blown fuse are one story.

A fuse that only looks broken and a fuse that something blew answer alike until the load side is measured
against the frame; without these rows a new fuse would be named, go in, and blow.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import networkx as nx

from ohmtrail.circuit import Network
from ohmtrail.diagnosis.table import Row, pair_row
from ohmtrail.faults import Fault
from ohmtrail.harness.model import FRAME
from ohmtrail.harness.parts import Fuse

__all__ = ["with_blown_fuses"]

#: a fuse at 135 % of its rating opens within the hour (UL 248-14); below that it may hold
BLOWS_AT = 1.35
#: share of such shorts that are found with the fuse blown
BLOWN = 0.9
#: kinds of branch through which a feed goes on to the next lead
_CARRIES = frozenset({"lead", "joint", "contact", "switch"})


def with_blown_fuses(network: Network, rows: Sequence[Row]) -> tuple[Row, ...]:
    """Split hard leaks on fused leads into those that blew their fuse and those that did not yet.

    Parameters
    ----------
    network : Network
        The circuit.
    rows : sequence of Row
        Single faults at every severity.

    Returns
    -------
    tuple of Row
        The rows in their order, the split ones with less weight, then the pairs leak and blown fuse.
    """
    fed, fuses = _fed_by(network), _fuses(network)
    blown = {fault.element: row for row in rows for fault in row.faults if fault.kind == "open" and fault.element in fuses}
    kept: list[Row] = []
    pairs: list[Row] = []
    for row in rows:
        fuse = _fuse_of(network, row, fed)
        if fuse is None or fuse not in blown:
            kept.append(row)
            continue
        hard, soft = _split(row, _limit(network, fuse))
        kept += [*soft, replace(hard, weight=hard.weight * (1.0 - BLOWN))]
        pairs.append(pair_row(hard, blown[fuse], hard.weight * BLOWN))
    return (*kept, *pairs)


def _fuses(network: Network) -> dict[str, Fuse]:
    return {name: part for name, part in network.harness.parts.items() if isinstance(part, Fuse)}


def _fuse_of(network: Network, row: Row, fed: dict[str, str]) -> str | None:
    """The fuse that a row's leak blows, where it draws enough."""
    if len(row.faults) != 1 or not _leaks(row.faults[0]):
        return None
    fuse = fed.get(row.faults[0].changes[0].a)
    return fuse if fuse is not None and row.bounds[0][0] < _limit(network, fuse) else None


def _limit(network: Network, fuse: str) -> float:
    """Ohms to frame below which a leak blows a fuse in time."""
    part = network.harness.parts[fuse]
    assert isinstance(part, Fuse)
    return network.harness.supply.nominal / (BLOWS_AT * part.rating)


def _split(row: Row, limit: float) -> tuple[Row, tuple[Row, ...]]:
    """The part of a row's severities that blows the fuse, and the part that does not."""
    low, high = row.bounds[0]
    if high <= limit:
        return row, ()
    share = math.log(limit / low) / math.log(high / low)
    hard = replace(row, bounds=((low, limit),), weight=row.weight * share)
    return hard, (replace(row, bounds=((limit, high),), weight=row.weight * (1.0 - share)),)


def _leaks(fault: Fault) -> bool:
    return fault.kind == "leak" and len(fault.changes) == 1 and fault.changes[0].b == FRAME and not fault.moves_at


def _fed_by(network: Network) -> dict[str, str]:
    """Node -> the fuse whose load side feeds it, every switch closed, no load passed through."""
    graph: nx.Graph[str] = nx.Graph()
    earthed = _earth_nodes(network)
    for branch in network.branches:
        if branch.kind in _CARRIES and not {branch.a, branch.b} & earthed:
            graph.add_edge(branch.a, branch.b)
    live = {f"{name}.+" for name, part in network.harness.parts.items() if part.kind == "battery"}
    found: dict[str, str] = {}
    fuses = _fuses(network)
    waiting = [node for feed in live for node in sorted(_reach(graph, feed))]
    reached = set(waiting)
    while waiting:
        node = waiting.pop()
        fuse, _, terminal = node.rpartition(".")
        if fuse not in fuses:
            continue
        for beyond in sorted(_reach(graph, f"{fuse}.{'2' if terminal == '1' else '1'}") - reached):
            found[beyond] = fuse
            reached.add(beyond)
            waiting.append(beyond)
    return found


def _earth_nodes(network: Network) -> set[str]:
    """Earth points, metal and terminals mounted on it: feeds end there."""
    return {FRAME, *(node for branch in network.branches if branch.kind == "earth" for node in (branch.a, branch.b))}


def _reach(graph: nx.Graph[str], node: str) -> set[str]:
    return set(nx.node_connected_component(graph, node)) if node in graph else {node}
