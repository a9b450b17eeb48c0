"""What hangs on the live part of a main route: side ways that take the volts away, other loads."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from ohmtrail.circuit.routing import Plan, live_points
from ohmtrail.circuit.ways import Cost, Hop, Ways
from ohmtrail.harness.model import FRAME

__all__ = ["side_ways"]

#: ohms that a side way may have on top of its source's own and still take the volts away
_SIDE_OHM = 0.2
#: share of the source's current, and amps, from which another load on the feed is told
_SHARED, _SHARED_A = 0.02, 1e-3
#: what makes or breaks a side way
_CUTS = ("switch", "relay-contact", "clamp")


def side_ways(ways: Ways, drawn: Plan) -> Iterator[tuple[Literal["side", "shared"], tuple[Hop, ...]]]:
    """Find what hangs on the live part of a main route.

    Parameters
    ----------
    ways : Ways
        The solved machine.
    drawn : Plan
        Its main route.

    Yields
    ------
    tuple
        ``side`` for a way that takes the volts away when it conducts, ``shared`` for another load
        that gets current; and its hops, from the main route (or an earlier side way) to the frame.
    """
    if not drawn.source:
        return
    network = ways.flow.network
    source = network.branches[network.index[drawn.source]]
    taken = set(live_points(ways, (*drawn.feed, *drawn.middle)))
    least_a = max(_SHARED * abs(ways.flow.through(drawn.source)), _SHARED_A)
    used = {index for _, index in drawn.main}
    queue = [(point, 0.0) for point, _ in drawn.feed]
    while queue:
        here, before = queue.pop(0)
        found = _side(ways, here, (taken, used), source.ohm + _SIDE_OHM - before, least_a)
        if found is None:
            continue
        role, hops, ohms = found
        yield role, hops
        used |= {index for _, index in hops}
        queue.insert(0, (here, before))
        if role == "side":
            forks = _forks(ways, hops, ohms)
            taken |= {point for point, _ in forks}
            queue += [(point, before + ohm) for point, ohm in forks]


def _forks(ways: Ways, hops: tuple[Hop, ...], ohms: list[float]) -> list[tuple[str, float]]:
    """Points of a side way where another may leave: those before its switch; behind it all is earth."""
    branches = ways.flow.network.branches
    kinds = [branches[index].kind for _, index in hops[:-1]]
    upto = next((place for place, kind in enumerate(kinds) if kind in _CUTS), 0)
    return [(point, ohm) for (point, _), ohm in zip(hops[1 : upto + 1], ohms, strict=False)]


def _side(
    ways: Ways, here: str, done: tuple[set[str], set[int]], most_ohm: float, least_a: float
) -> tuple[Literal["side", "shared"], tuple[Hop, ...], list[float]] | None:
    """The first side way that leaves a point over branches and points not done yet."""
    avoid, used = frozenset(done[0]), done[1]
    firsts = [
        (there, index) for _, there, index in ways.edges_at(here) if there not in avoid and index not in used
    ]
    if not firsts or here == FRAME:
        return None
    closed = ways.by_ohms(0.0)
    near, paths = ways.reach(FRAME, closed, avoid=avoid)
    for there, first in firsts:
        if there not in near:
            continue
        if closed(first) + near[there] <= most_ohm:
            hops = ((here, first), *ways.hops(paths[there][::-1], closed))
            return "side", hops, _running(closed, hops)
        amps = float(abs(ways.flow.amps[first]))
        if amps >= least_a:
            cost = ways.by_current(amps)
            _, paths = ways.reach(FRAME, cost, avoid=avoid)
            return "shared", ((here, first), *ways.hops(paths[there][::-1], cost)), []
    return None


def _running(cost: Cost, hops: tuple[Hop, ...]) -> list[float]:
    """Ohms passed on arrival at each point behind the first."""
    total, found = 0.0, []
    for _, index in hops[:-1]:
        total += cost(index)
        found.append(total)
    return found
