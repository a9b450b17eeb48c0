"""Room in a picture: the nearest free rectangle that a free leader reaches."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ohmtrail.drawing.anchors import Target
from ohmtrail.drawing.bends import bent
from ohmtrail.drawing.canvas import Box, Canvas, Point
from ohmtrail.drawing.leaders import Ground, joined, rows_of
from ohmtrail.drawing.signs import Form

__all__ = ["FAR", "Placed", "Room", "ground_of"]

_GRID = 2.0
#: how far from its point a mark is looked for, px, near first
_REACHES = (24.0, 60.0, 180.0, 500.0)
#: leaders weighed at once, at first and at most, and in all for one mark and reach
_CHUNK, _CHUNKS, _MOST = 64, 512, 8192
#: a sign whose words must go farther than this is drawn without them, px; own choice
FAR = 160.0


@dataclass(frozen=True)
class Placed:
    """Where a mark stands.

    Attributes
    ----------
    box : Box
        Left, top, right, bottom, px.
    leader : tuple of Point
        From the thing to the mark.
    cost : float
        Length of the leader and what it crosses, px.
    form : Form
        How it is drawn.
    """

    box: Box
    leader: tuple[Point, ...]
    cost: float
    form: Form


def ground_of(canvas: Canvas) -> Ground:
    """Give what the leaders in a picture must keep off.

    Parameters
    ----------
    canvas : Canvas
        The picture without marks.

    Returns
    -------
    Ground
        Its texts, symbols and leads.
    """
    leads = rows_of([(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)) for (x1, y1), (x2, y2) in canvas.stretches])
    return Ground(rows_of(canvas.boxes), rows_of(canvas.shapes), leads)


class Room:
    """What is taken of a picture.

    Parameters
    ----------
    bounds : Box
        The part of the picture that marks may use, px.
    ground : Ground
        Texts, symbols and leads.
    half : float
        Half the width that a lead takes, px.
    """

    def __init__(self, bounds: Box, ground: Ground, *, half: float) -> None:
        self.ground, self.bounds = ground, bounds
        self.taken: NDArray[np.bool_] = np.ones((int(bounds[3] / _GRID), int(bounds[2] / _GRID)), dtype=bool)
        self.taken[math.ceil(bounds[1] / _GRID) :, math.ceil(bounds[0] / _GRID) :] = False
        for rows, clear in ((ground.words, 2.0), (ground.symbols, 2.0), (ground.leads, half)):
            for left, top, right, bottom in rows.tolist():
                self.take((left, top, right, bottom), clear=clear)

    def copy(self) -> Room:
        """Give another that holds the same and then goes its own way."""
        other = Room.__new__(Room)
        other.ground, other.bounds, other.taken = replace(self.ground), self.bounds, self.taken.copy()
        return other

    def take(self, box: Box, *, clear: float = 2.0) -> None:
        """Mark a box as taken, with some clearance."""
        left, top = max(0, math.floor((box[0] - clear) / _GRID)), max(0, math.floor((box[1] - clear) / _GRID))
        right, bottom = math.ceil((box[2] + clear) / _GRID), math.ceil((box[3] + clear) / _GRID)
        self.taken[top:bottom, left:right] = True

    def ring(self, box: Box) -> None:
        """Keep marks and leaders off a ring around a terminal."""
        self.take(box)
        self.ground.symbols = np.concatenate((self.ground.symbols, rows_of([box])))

    def hold(self, placed: Placed) -> None:
        """Keep further marks and leaders off a mark and its leader."""
        self.take(placed.box)
        self.ground.marks = np.concatenate((self.ground.marks, rows_of([placed.box])))
        for (x1, y1), (x2, y2) in pairwise(placed.leader):
            self.ground.lines = np.concatenate((self.ground.lines, rows_of([(x1, y1, x2, y2)])))
            steps = int(math.hypot(x2 - x1, y2 - y1) / _GRID) + 1
            for step in range(steps + 1):
                x, y = x1 + (x2 - x1) * step / steps, y1 + (y2 - y1) * step / steps
                self.take((x, y, x, y))

    def nearest(self, target: Target, form: Form) -> Placed | None:
        """Give the free rectangle whose leader is shortest and passes over nothing.

        Parameters
        ----------
        target : Target
            Where the leader may start, px.
        form : Form
            Size of the mark.

        Returns
        -------
        Placed or None
            None where the picture has no such room.
        """
        found: Placed | None = None
        for reach in _REACHES:
            for part in target:
                found = self._within(part, form, reach, found.cost if found else math.inf) or found
            if found is not None and found.cost <= reach:
                break  # farther away nothing costs less
        if found is None or found.cost > FAR:
            found = self._bent(target, form, found.cost if found else math.inf) or found
        return found

    def beside(self, other: Placed, form: Form) -> Placed | None:
        """Give the nearest free rectangle beside a mark that belongs to the same point.

        Parameters
        ----------
        other : Placed
            That mark; the leader starts at it.
        form : Form
            Size of the mark.

        Returns
        -------
        Placed or None
            None where there is no room near it.
        """
        (left, top, right, bottom), inset = other.box, other.form.corner
        middle = (top + bottom) / 2.0
        sides = ((left + inset, top, right - inset, top), (left + inset, bottom, right - inset, bottom), (left, middle, left, middle), (right, middle, right, middle))
        marks, found = self.ground.marks, None
        self.ground.marks = marks[(marks != np.array(other.box)).any(1)]
        for side in sides:
            found = self._within(side, form, _REACHES[0], found.cost if found else math.inf) or found
        self.ground.marks = marks
        return found

    def _bent(self, target: Target, form: Form, limit: float) -> Placed | None:
        """The best free rectangle that a leader with one bend reaches, if it costs less than ``limit``."""
        lefts, tops, rights, bottoms = zip(*target, strict=True)
        hull = min(lefts), min(tops), max(rights), max(bottoms)
        ground = self.ground.near((hull[0] - 2 * FAR, hull[1] - 2 * FAR, hull[2] + 2 * FAR, hull[3] + 2 * FAR))
        found = bent(ground, target, self._free(hull, form, FAR), form.inset, self.bounds, limit)
        return None if found is None else Placed(found[2], found[1], found[0], form)

    def _within(self, part: Box, form: Form, reach: float, limit: float) -> Placed | None:
        """The best free rectangle not farther than ``reach``, if it costs less than ``limit``."""
        boxes = self._free(part, form, reach)
        starts, ends = joined(part, boxes, form.inset)
        far = np.round(np.hypot(ends[:, 0] - starts[:, 0], ends[:, 1] - starts[:, 1]), 3)
        near = np.nonzero((far <= reach + form.inset) & (far < limit))[0]
        order = near[np.argsort(far[near], kind="stable")][:_MOST]
        ground = self.ground.near((part[0] - reach, part[1] - reach, part[2] + reach, part[3] + reach))
        found: Placed | None = None
        first, many = 0, _CHUNK
        while first < len(order) and far[order[first]] < limit:
            some = order[first : first + many]
            first, many = first + many, min(2 * many, _CHUNKS)
            cost = np.round(ground.cost(starts[some], ends[some]) + far[some], 3)
            best = int(np.argmin(cost))
            if cost[best] < limit:
                limit = float(cost[best])
                start, end, box = starts[some[best]].tolist(), ends[some[best]].tolist(), boxes[some[best]].tolist()
                found = Placed(tuple(box), (tuple(start), tuple(end)), limit, form)
        return found

    def _free(self, part: Box, form: Form, reach: float) -> NDArray[np.float64]:
        """Free rectangles around a part of the picture, row by row."""
        w, h = math.ceil(form.width / _GRID), math.ceil(form.height / _GRID)
        left, top = max(0, int((part[0] - reach - form.width) / _GRID)), max(0, int((part[1] - reach - form.height) / _GRID))
        free = self.taken[top : int((part[3] + reach + form.height) / _GRID) + 1, left : int((part[2] + reach + form.width) / _GRID) + 1]
        if free.shape[0] < h or free.shape[1] < w:
            return rows_of(())
        sums = np.zeros((free.shape[0] + 1, free.shape[1] + 1), dtype=np.int32)
        sums[1:, 1:] = free.cumsum(0, dtype=np.int32).cumsum(1, dtype=np.int32)
        step = 1 if reach <= _REACHES[0] else 2  # farther away a coarser grid will do
        full = sums[h::step, w::step] - sums[:-h:step, w::step] - sums[h::step, :-w:step] + sums[:-h:step, :-w:step]
        tops, lefts = np.nonzero(full == 0)
        xs, ys = (lefts * step + left) * _GRID, (tops * step + top) * _GRID
        return np.stack((xs, ys, xs + form.width, ys + form.height), axis=1)
