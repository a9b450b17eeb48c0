"""Leaders with one bend, for marks that no straight one reaches."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ohmtrail.drawing.anchors import Target
from ohmtrail.drawing.canvas import Box, Point
from ohmtrail.drawing.leaders import Ground, joined, length_inside

__all__ = ["bent"]

Points = NDArray[np.float64]

#: length of the first stretch, px; what a bend costs, px; own choice
_STRETCHES, _BEND = tuple(range(12, 108, 8)), 20.0
#: room between a mark and the first stretch of its leader, px
_AROUND = np.array((-2.0, -2.0, 2.0, 2.0))
_WAYS = tuple((math.cos(turn * math.pi / 4.0), math.sin(turn * math.pi / 4.0)) for turn in range(8))
#: starts on each part of a target, bends weighed, rectangles weighed for each bend
_STARTS, _BENDS, _BOXES = 5, 48, 24


def bent(ground: Ground, target: Target, boxes: Points, inset: float, bounds: Box, limit: float) -> tuple[float, tuple[Point, ...], Box] | None:
    """Give the cheapest leader with one bend to any of many free rectangles.

    Parameters
    ----------
    ground : Ground
        What leaders must keep off.
    target : Target
        Where the leader may start.
    boxes : array
        Free rectangles, one a row.
    inset : float
        How far the leader reaches into its rectangle, px.
    bounds : Box
        Where the bend may be, px.
    limit : float
        What it may cost at most, px.

    Returns
    -------
    tuple or None
        Cost, the leader's three points, the rectangle.
    """
    starts, bends, before = _first(ground, target, bounds)
    found: list[tuple[Points, Points, Points, Points]] = []
    for start, bend, cost in zip(starts, bends, before, strict=True):
        _, ends = joined((bend[0], bend[1], bend[0], bend[1]), boxes, inset)
        far = np.hypot(ends[:, 0] - bend[0], ends[:, 1] - bend[1])
        near = np.sort(np.argpartition(far, _BOXES)[:_BOXES]) if len(far) > _BOXES else np.arange(len(far))
        near = near[(length_inside(start[None], bend[None], boxes[near] + _AROUND)[0] == 0.0) & (far[near] + cost < limit)]
        many = len(near)
        found.append((np.tile(np.concatenate((start, bend)), (many, 1)), ends[near], boxes[near], far[near] + cost))
    if not found:
        return None
    legs, ends, boxes, cost = (np.concatenate(parts) for parts in zip(*found, strict=True))
    cost = np.round(cost + ground.cost(legs[:, 2:], ends, first=False), 3)
    if not len(cost) or cost.min() >= limit:
        return None
    best = int(np.argmin(cost))
    x1, y1, x2, y2 = legs[best].tolist()
    x3, y3 = ends[best].tolist()
    left, top, right, bottom = boxes[best].tolist()
    return float(cost[best]), ((x1, y1), (x2, y2), (x3, y3)), (left, top, right, bottom)


def _first(ground: Ground, target: Target, bounds: Box) -> tuple[Points, Points, Points]:
    """First stretches that pass over nothing, the cheapest first: start, bend, cost with the bend's own."""
    starts = np.array([_along(part, share / (_STARTS - 1)) for part in target for share in range(_STARTS)])
    starts = np.unique(np.round(starts, 2), axis=0)
    ways = np.array([(x * far, y * far) for far in _STRETCHES for x, y in _WAYS])
    bends = (starts[:, None, :] + ways[None, :, :]).reshape(-1, 2)
    starts = np.repeat(starts, len(ways), axis=0)
    within = (bends > bounds[:2]).all(1) & (bends < bounds[2:]).all(1)
    starts, bends = starts[within], bends[within]
    cost = ground.cost(starts, bends) + np.hypot(bends[:, 0] - starts[:, 0], bends[:, 1] - starts[:, 1]) + _BEND
    order = np.argsort(np.round(cost, 3), kind="stable")[:_BENDS]
    order = order[np.isfinite(cost[order])]
    return starts[order], np.round(bends[order], 2), cost[order]


def _along(part: Box, share: float) -> Point:
    """A point from one corner of a part of a target to the other."""
    return part[0] + (part[2] - part[0]) * share, part[1] + (part[3] - part[1]) * share
