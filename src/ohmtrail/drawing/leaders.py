"""Leader lines of marks: from where they start to where they end, and what they would pass over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ohmtrail.drawing.canvas import Box

__all__ = ["Ground", "joined", "length_inside", "rows_of"]

Points = NDArray[np.float64]

#: half the width of a lead, and the longest stretch of a leader on it, px: it crosses at 37 degrees or more
_CASING, _ON = 3.0, 10.0
#: how near the middle of a lead a leader is beside it, px
_LEAD = 9.0
#: how far around a leader's start symbols and leads count as its own, px: across, down; a lead
_OWN_ACROSS, _OWN_DOWN, _OWN_LEAD = 1.0, 6.0, 7.0
#: longest stretch of a leader beside a lead that costs nothing, px: it crosses at 44 degrees or more
_ALONG = 26.0
#: longest stretch of a leader over the symbol at which it starts, px
_LEAVING = 30.0
#: what a leader costs for each lead that it crosses, for each px over its own symbol, and along a lead; own choice
_CROSSED, _OVER, _BESIDE = 200.0, 1.5, 4.0
#: room between a leader and words, marks or other leaders, px
_CLEAR = 1.5


def rows_of(boxes: Sequence[Box]) -> Points:
    """Give boxes, or any rows of four numbers, as an array.

    Parameters
    ----------
    boxes : sequence of Box
        Four numbers each, px.

    Returns
    -------
    array
        One row for each; none of them give an array of no rows.
    """
    return np.array(boxes, dtype=np.float64).reshape(-1, 4)


def joined(start: Box, boxes: Points, inset: float) -> tuple[Points, Points]:
    """Give the shortest line from a point, a stretch or a box to each of many boxes.

    Parameters
    ----------
    start : Box
        Left, top, right, bottom, px; a point or a stretch is a box without width or height.
    boxes : array
        Boxes, one a row.
    inset : float
        How far each line reaches into its box, px.

    Returns
    -------
    tuple of array
        Where each line starts and ends: x, y in a row. Where start and box lie beside each other, in the
        middle of what they share.
    """
    starts, ends = np.empty((len(boxes), 2)), np.empty((len(boxes), 2))
    for axis in (0, 1):
        low, high = start[axis], start[axis + 2]
        first, last = boxes[:, axis] + inset, boxes[:, axis + 2] - inset
        middle = (np.maximum(first, low) + np.minimum(last, high)) / 2.0
        after, before = first > high, last < low
        starts[:, axis] = np.where(after, high, np.where(before, low, middle))
        ends[:, axis] = np.where(after, first, np.where(before, last, middle))
    return starts, ends


def length_inside(starts: Points, ends: Points, boxes: Points) -> Points:
    """Give the length of each line inside each box.

    Parameters
    ----------
    starts, ends : array
        x, y in a row for each line, px.
    boxes : array
        Boxes, one a row, px.

    Returns
    -------
    array
        Px: a row for each line, a column for each box.
    """
    enter: Points | float = 0.0
    leave: Points | float = 1.0
    for axis in (0, 1):
        at, way = starts[:, axis, None], ends[:, axis, None] - starts[:, axis, None]
        one = 1.0 / np.where(np.abs(way) < 1e-9, 1e-9, way)
        low, high = (boxes[:, axis] - at) * one, (boxes[:, axis + 2] - at) * one
        enter = np.maximum(enter, np.minimum(low, high))
        leave = np.minimum(leave, np.maximum(low, high))
    length = np.hypot(ends[:, 0] - starts[:, 0], ends[:, 1] - starts[:, 1])[:, None]
    return np.asarray(np.maximum(leave - enter, 0.0) * length, dtype=np.float64)


def _grown(*blocks: tuple[Points, float]) -> Points:
    """Boxes with room around them, block after block."""
    return np.concatenate([rows + np.array((-room, -room, room, room)) for rows, room in blocks])


def _holds(boxes: Points, points: Points, across: float, down: float) -> NDArray[np.bool_]:
    """Whether each box holds each point, with some room around it: a row for each point."""
    x, y = points[:, 0, None], points[:, 1, None]
    return (boxes[None, :, 0] - across <= x) & (x <= boxes[None, :, 2] + across) & (boxes[None, :, 1] - down <= y) & (y <= boxes[None, :, 3] + down)


def _crossing(starts: Points, ends: Points, lines: Points) -> NDArray[np.bool_]:
    """Whether each line crosses any of some others; lines that start at one point do not cross."""

    def turn(ax: Points, ay: Points, bx: Points, by: Points, cx: Points, cy: Points) -> Points:
        return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)

    p, q = (starts[:, 0, None], starts[:, 1, None]), (ends[:, 0, None], ends[:, 1, None])
    r, s = (lines[None, :, 0], lines[None, :, 1]), (lines[None, :, 2], lines[None, :, 3])
    apart = np.hypot(p[0] - r[0], p[1] - r[1]) > 1.0
    meet = (turn(*p, *q, *r) * turn(*p, *q, *s) <= 1e-9) & (turn(*r, *s, *p) * turn(*r, *s, *q) <= 1e-9)
    return np.asarray((meet & apart).any(1), dtype=np.bool_)


@dataclass
class Ground:
    """What leaders must keep off, and what they had better not cross.

    Attributes
    ----------
    words, symbols : array
        Texts, and symbols with their terminals, a box in each row; a leader may leave the symbol at which
        it starts.
    leads : array
        Straight stretches of leads, boxes without width.
    marks : array
        Marks placed so far.
    lines : array
        Leaders drawn so far, stretch by stretch: x, y, x, y.
    """

    words: Points
    symbols: Points
    leads: Points
    marks: Points = field(default_factory=lambda: rows_of(()))
    lines: Points = field(default_factory=lambda: rows_of(()))

    def near(self, box: Box) -> Ground:
        """Give the same without what lies outside a box."""

        def within(rows: Points) -> Points:
            low, high = np.minimum(rows[:, :2], rows[:, 2:]), np.maximum(rows[:, :2], rows[:, 2:])
            return rows[(low[:, 0] <= box[2]) & (high[:, 0] >= box[0]) & (low[:, 1] <= box[3]) & (high[:, 1] >= box[1])]

        return Ground(within(self.words), within(self.symbols), within(self.leads), within(self.marks), within(self.lines))

    def cost(self, starts: Points, ends: Points, *, first: bool = True) -> Points:
        """What leaders cost beyond their length, px; infinite where they pass over something.

        Parameters
        ----------
        starts, ends : array
            x, y in a row for each leader.
        first : bool
            Whether they start at the thing itself, not at a bend.

        Returns
        -------
        array
            A number for each.
        """
        cost = np.full(len(starts), math.inf)
        free = np.nonzero((length_inside(starts, ends, _grown((self.words, _CLEAR), (self.marks, _CLEAR))) == 0.0).all(1))[0]
        if len(self.lines) and len(free):
            free = free[~_crossing(starts[free], ends[free], self.lines)]
        if not len(free):
            return cost
        many, starts, ends = len(self.leads), starts[free], ends[free]
        inside = length_inside(starts, ends, _grown((self.leads, _CASING), (self.leads, _LEAD), (self.symbols, 0.5)))
        on, beside, over = inside[:, :many], inside[:, many : 2 * many], inside[:, 2 * many :]
        own = _holds(self.symbols, starts, _OWN_ACROSS, _OWN_DOWN) & first
        hit = (over > np.where(own, _LEAVING, 0.0)).any(1) | (on > _ON).any(1)
        new = (beside > 0.0) & ~(_holds(self.leads, starts, _OWN_LEAD, _OWN_LEAD) & first)
        more = _OVER * over.sum(1) + _CROSSED * new.sum(1) + _BESIDE * np.maximum(beside - _ALONG, 0.0).sum(1)
        cost[free] = np.where(hit, math.inf, more)
        return cost
