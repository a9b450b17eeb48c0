"""The ladder's order: which symbol follows which, and the lane of every lead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ohmtrail.drawing.items import Wire

__all__ = ["Rung", "rungs"]


@dataclass(frozen=True)
class Rung:
    """One symbol of the ladder.

    Attributes
    ----------
    item : str
        Its id.
    lane : int
        Lane it stands on, 0 at the left.
    into, out : tuple of str
        Leads that end here, leads that begin here; those on the symbol's own lane first.
    """

    item: str
    lane: int
    into: tuple[str, ...]
    out: tuple[str, ...]


def rungs(items: Sequence[str], wires: Sequence[Wire]) -> tuple[tuple[Rung, ...], dict[str, int]]:
    """Put symbols in order of current and leads on lanes.

    Parameters
    ----------
    items : sequence of str
        Item ids, in a fixed order.
    wires : sequence of Wire
        Leads; no ring.

    Returns
    -------
    tuple
        Rungs from source to frame, short branches first; lead -> lane.
    """
    order = _order(items, wires)
    at = {item: index for index, item in enumerate(order)}
    into: dict[str, list[Wire]] = {item: [] for item in items}
    out: dict[str, list[Wire]] = {item: [] for item in items}
    for wire in wires:
        into[wire.lower].append(wire)
        out[wire.upper].append(wire)
    busy: dict[int, str] = {}
    lane: dict[str, int] = {}
    found = []
    for item in order:
        ending = sorted(into[item], key=lambda wire: lane[wire.lead])
        own = lane[ending[0].lead] if ending else _free(busy, 0)
        for wire in ending:
            del busy[lane[wire.lead]]
        starting = sorted(out[item], key=lambda wire: (-at[wire.lower], wire.lead))
        for number, wire in enumerate(starting):
            lane[wire.lead] = own if number == 0 else _free(busy, own)
            busy[lane[wire.lead]] = wire.lead
        found.append(Rung(item, own, tuple(wire.lead for wire in ending), tuple(wire.lead for wire in starting)))
    return tuple(found), lane


def _free(busy: Mapping[int, str], start: int) -> int:
    """The nearest free lane, from a lane to the right, else from the left."""
    lane = start
    while lane in busy:
        lane += 1
    for other in range(start):
        if other not in busy and start - other < lane - start:
            return other
    return lane


def _order(items: Sequence[str], wires: Sequence[Wire]) -> list[str]:
    """Every symbol after all that feed it; of several branches the shortest first."""
    below: dict[str, list[str]] = {item: [] for item in items}
    waiting = dict.fromkeys(items, 0)
    for wire in wires:
        below[wire.upper].append(wire.lower)
        waiting[wire.lower] += 1
    size = _sizes(items, below)
    number = {item: index for index, item in enumerate(items)}
    stack = sorted((item for item in items if not waiting[item]), key=lambda item: (size[item], number[item]), reverse=True)
    order: list[str] = []
    while stack:
        item = stack.pop()
        order.append(item)
        ready = []
        for other in below[item]:
            waiting[other] -= 1
            if not waiting[other]:
                ready.append(other)
        stack += sorted(dict.fromkeys(ready), key=lambda item: (size[item], number[item]), reverse=True)
    return order


def _sizes(items: Sequence[str], below: Mapping[str, Sequence[str]]) -> dict[str, int]:
    """How many symbols hang below each."""
    found: dict[str, frozenset[str]] = {}

    def reach(item: str) -> frozenset[str]:
        if item not in found:
            found[item] = frozenset().union(*({other} | reach(other) for other in below[item]))
        return found[item]

    return {item: len(reach(item)) for item in items}
