"""A place for every mark of a picture."""

from __future__ import annotations

from collections.abc import Sequence

from ohmtrail.drawing.room import FAR, Placed, Room
from ohmtrail.drawing.signs import RING, Sign

__all__ = ["place_all"]

#: a flag that is farther from its point had better stand beside another flag of that point, px; own choice
_NEAR = 40.0
#: a leader that costs more crosses several leads: it is tried anew, like one that found no room, px; own choice
_DEAR = 350.0
#: how often all are placed anew when one of them found no room
_TRIES = 4


def place_all(room: Room, signs: Sequence[Sign], *, compact: bool) -> list[tuple[Sign, Placed | None]]:
    """Find a place for each sign.

    Parameters
    ----------
    room : Room
        What is taken of the picture without them.
    signs : sequence of Sign
        What to place.
    compact : bool
        Whether each takes its smallest form.

    Returns
    -------
    list of (Sign, Placed or None)
        The largest first; one that finds no room, or only a far-fetched one, goes first in another try.
    """
    for sign in signs:
        if sign.ring:
            left, top, right, bottom = sign.target[0]
            room.ring((left - RING, top - RING, right + RING, bottom + RING))
    signs = sorted(signs, key=lambda sign: (-sign.forms[0].width * sign.forms[0].height, sign.target, sign.title))
    order = list(range(len(signs)))
    best: list[Placed | None] = []
    least = (0, 0)
    for _ in range(_TRIES):
        held = room.copy()
        tried: list[Placed | None] = [None] * len(signs)
        for index in order:
            before = [place for other, place in zip(signs, tried, strict=True) if place is not None and signs[index].stacks_on(other)]
            tried[index] = place = _one(held, signs[index], before, compact=compact)
            if place is not None:
                held.hold(place)
        lost = [index for index in order if (place := tried[index]) is None or place.cost > _DEAR]
        if not best or (tried.count(None), len(lost)) < least:
            best, least = tried, (tried.count(None), len(lost))
        if not lost:
            break
        order = [*lost, *(index for index in order if index not in lost)]
    return list(zip(signs, best, strict=True))


def _one(room: Room, sign: Sign, before: Sequence[Placed], *, compact: bool) -> Placed | None:
    """A place for one sign: in full, where that is near enough, else small."""
    found = None
    for form in sign.forms[-1:] if compact else sign.forms:
        found = room.nearest(sign.target, form) or found
        if before and (found is None or found.cost > _NEAR):
            stacked = [place for place in (room.beside(other, form) for other in before) if place is not None]
            found = min([*stacked, *([found] if found else [])], key=lambda place: place.cost, default=None)
        if found is not None and found.cost <= FAR:
            break
    return found
