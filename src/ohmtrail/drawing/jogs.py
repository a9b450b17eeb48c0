"""Leads that miss the straight by a few px: a symbol is widened until they are straight."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from ohmtrail.drawing.cells import Cell
from ohmtrail.drawing.channels import BESIDE
from ohmtrail.drawing.elements import BOXES

__all__ = ["unjogged"]

#: lead, what it leaves, what it reaches a row further down
Link = tuple[str, str, str]
T = TypeVar("T")
Stand = Callable[[dict[str, Cell], Mapping[str, float]], tuple[dict[str, float], T]]


def _miss(link: Link, cells: Mapping[str, Cell], x: Mapping[str, float]) -> float:
    """How far to the right a lead ends of where it starts, px."""
    lead, a, b = link
    start = x[a] + (cells[a].stub_x(lead, top=False) if a in cells else 0.0)
    return x[b] + (cells[b].stub_x(lead, top=True) if b in cells else 0.0) - start


def unjogged(links: Sequence[Link], cells: Mapping[str, Cell], stand: Stand[T]) -> tuple[dict[str, Cell], dict[str, float], T]:
    """Straighten the leads that step aside by less than two leads stand apart.

    Parameters
    ----------
    links : sequence of (str, str, str)
        Lead, what it leaves, what it reaches a row further down.
    cells : mapping of str to Cell
        Symbols; what has none is the lane of a lead.
    stand : callable
        Symbols, and for some names more room at the left in px -> where each stands, and what comes with it.

    Returns
    -------
    tuple
        Symbols, where each stands in px, and what came with it. What saves no such step is not done.
    """
    now, room = dict(cells), dict[str, float]()
    x, more = stand(now, room)
    for link in _jogs(links, now, x):
        miss = _miss(link, now, x)
        moved = link[1] if miss > 0 else link[2]
        for tried, wide in ((_stretched(link, now, miss), room), (now, {**room, moved: room.get(moved, 0.0) + abs(miss)})):
            other, others = stand(tried, wide)
            if len(_jogs(links, tried, other)) < len(_jogs(links, now, x)):
                now, room, x, more = tried, dict(wide), other, others
                break
    return now, x, more


def _jogs(links: Sequence[Link], cells: Mapping[str, Cell], x: Mapping[str, float]) -> list[Link]:
    return [link for link in links if 0.0 < abs(_miss(link, cells, x)) < BESIDE]


def _stretched(link: Link, cells: dict[str, Cell], miss: float) -> dict[str, Cell]:
    """Widen the symbol at which a lead steps aside, between that lead and its neighbour, where it has one there."""
    lead, a, b = link
    for name, top, way in ((a, False, miss), (b, True, -miss)):
        if name not in cells:
            continue
        stubs = [slot.top if top else slot.bottom for slot in cells[name].slots]
        own = next(number for number, stub in enumerate(stubs) if stub is not None and stub.lead == lead)
        first = own if way > 0 else own + 1
        if 0 < first < len(stubs):
            return {**cells, name: _wider(cells[name], first, abs(miss))}
    return cells


def _wider(cell: Cell, first: int, more: float) -> Cell:
    """The same symbol with its slots from one on farther to the right."""
    slots = tuple(replace(slot, x=slot.x + more) if number >= first else slot for number, slot in enumerate(cell.slots))
    name = round(cell.name_x + (more / 2.0 if cell.item.kind in BOXES else more))
    return replace(cell, slots=slots, right=cell.right + more, name_x=name, frame=(cell.frame[0], cell.frame[1] + more))
