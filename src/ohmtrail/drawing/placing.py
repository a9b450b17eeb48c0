"""Room for marks: the nearest free rectangle on a grid."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from ohmtrail.drawing.canvas import Box

__all__ = ["Room"]

_GRID = 4.0
#: what a leader costs for each grid cell of a lead or mark that it passes, and of a text or symbol, px; own choice
_CROSSED, _STRUCK = 8.0, 40.0
#: places weighed in each direction
_WEIGHED = 3
#: how far from its point a mark is looked for, px, near first
_REACHES = (90.0, 240.0, 700.0, 6000.0)


class Room:
    """What is taken of a picture.

    Parameters
    ----------
    width, height : float
        Of the picture, px.
    boxes : iterable of Box
        Texts and symbols.
    stretches : iterable of ((x, y), (x, y))
        Straight stretches of leads.
    half : float
        Half the width that a lead takes, px.
    """

    def __init__(self, width: float, height: float, boxes: Iterable[Box], stretches: Iterable[tuple[tuple[float, float], tuple[float, float]]], *, half: float = 6.0) -> None:
        self.columns, self.rows = math.ceil(width / _GRID), math.ceil(height / _GRID)
        self.taken: NDArray[np.bool_] = np.zeros((self.rows, self.columns), dtype=bool)
        for box in boxes:
            self.take(box)
        self.words = self.taken.copy()
        for (x1, y1), (x2, y2) in stretches:
            self.take((min(x1, x2) - half, min(y1, y2) - half, max(x1, x2) + half, max(y1, y2) + half), clear=0.0)

    def take(self, box: Box, *, clear: float = 2.0) -> None:
        """Mark a box as taken, with some clearance."""
        left, top = max(0, math.floor((box[0] - clear) / _GRID)), max(0, math.floor((box[1] - clear) / _GRID))
        right, bottom = math.ceil((box[2] + clear) / _GRID), math.ceil((box[3] + clear) / _GRID)
        self.taken[top:bottom, left:right] = True

    def nearest(self, anchor: tuple[float, float], width: float, height: float) -> Box | None:
        """Give the free rectangle nearest to a point whose leader crosses least, and take it.

        Parameters
        ----------
        anchor : (float, float)
            What the mark belongs to, px.
        width, height : float
            Of the mark, px.

        Returns
        -------
        Box or None
            Left, top, right, bottom; None where the picture has no such room.
        """
        found: tuple[float, Box] | None = None
        for reach in _REACHES:
            better = self._within(anchor, width, height, reach)
            if better is not None and (found is None or better[0] < found[0]):
                found = better
            if found is not None and found[0] < reach:
                break  # farther away nothing costs less
        if found is None:
            return None
        self.take(found[1])
        return found[1]

    def _within(self, anchor: tuple[float, float], width: float, height: float, reach: float) -> tuple[float, Box] | None:
        """The best free rectangle not farther than ``reach`` from a point, after what it costs."""
        w, h = math.ceil(width / _GRID), math.ceil(height / _GRID)
        x, y = anchor
        left, top = max(0, int((x - reach - width) / _GRID)), max(0, int((y - reach - height) / _GRID))
        part = self.taken[top : int((y + reach + height) / _GRID) + 1, left : int((x + reach + width) / _GRID) + 1]
        if part.shape[0] <= h or part.shape[1] <= w:
            return None
        sums = np.zeros((part.shape[0] + 1, part.shape[1] + 1), dtype=np.int32)
        sums[1:, 1:] = part.cumsum(0, dtype=np.int32).cumsum(1, dtype=np.int32)
        tops, lefts = np.nonzero(sums[h:, w:] - sums[:-h, w:] - sums[h:, :-w] + sums[:-h, :-w] == 0)
        if not len(tops):
            return None
        xs, ys = (lefts + left) * _GRID, (tops + top) * _GRID
        dx = np.maximum(np.maximum(xs - x, x - (xs + width)), 0.0)
        dy = np.maximum(np.maximum(ys - y, y - (ys + height)), 0.0)
        far = np.hypot(dx, dy)
        # the nearest few in each of sixteen directions, then the one whose leader crosses least
        sector = ((np.arctan2(ys + height / 2 - y, xs + width / 2 - x) + math.pi) * (8.0 / math.pi)).astype(np.int64) % 16
        near = np.lexsort((xs, ys, np.round(far, 3)))
        by_sector = np.argsort(sector[near], kind="stable")
        starts = np.searchsorted(sector[near][by_sector], np.arange(16))
        ends = np.append(starts[1:], len(near))
        tried = [int(near[by_sector[index]]) for start, end in zip(starts, ends, strict=True) for index in range(start, min(start + _WEIGHED, end))]
        costs = [(float(far[i]) + self._crossed(anchor, float(xs[i]), float(ys[i]), (width, height)), i) for i in tried]
        cost, best = min(costs)
        return cost, (float(xs[best]), float(ys[best]), float(xs[best]) + width, float(ys[best]) + height)

    def _crossed(self, anchor: tuple[float, float], left: float, top: float, size: tuple[float, float]) -> float:
        """What the leader costs by what it crosses, beyond the first few px at the point itself."""
        end = touch(anchor, (left, top, left + size[0], top + size[1]))
        length = math.hypot(end[0] - anchor[0], end[1] - anchor[1])
        steps = int(length // _GRID)
        seen: set[tuple[int, int]] = set()
        for step in range(2, steps):
            share = step * _GRID / length
            cell = int((anchor[1] + (end[1] - anchor[1]) * share) // _GRID), int((anchor[0] + (end[0] - anchor[0]) * share) // _GRID)
            if 0 <= cell[0] < self.rows and 0 <= cell[1] < self.columns and self.taken[cell]:
                seen.add(cell)
        return sum(_STRUCK if self.words[cell] else _CROSSED for cell in seen)


def touch(point: Sequence[float], box: Box) -> tuple[float, float]:
    """Give the point of a box nearest to a point."""
    return min(max(point[0], box[0]), box[2]), min(max(point[1], box[1]), box[3])
