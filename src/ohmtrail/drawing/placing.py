"""Room for marks: the nearest free rectangle on a grid."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from ohmtrail.drawing.canvas import Box

__all__ = ["Room"]

_GRID = 4.0
#: what a leader costs for each grid cell of a text, symbol or lead that it passes, px; own choice
_CROSSED = 8.0
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
        for reach in _REACHES:
            box = self._within(anchor, width, height, reach)
            if box is not None:
                self.take(box)
                return box
        return None

    def _within(self, anchor: tuple[float, float], width: float, height: float, reach: float) -> Box | None:
        """The best free rectangle not farther than ``reach`` from a point."""
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
        # the nearest in each of sixteen directions, then the one whose leader crosses least
        sector = ((np.arctan2(ys + height / 2 - y, xs + width / 2 - x) + math.pi) * (8.0 / math.pi)).astype(np.int64) % 16
        near = np.lexsort((xs, ys, np.round(far, 3)))
        _, first = np.unique(sector[near], return_index=True)
        tried = [int(near[index]) for index in sorted(first)]
        best = min(tried, key=lambda i: (far[i] + _CROSSED * self._crossed(anchor, float(xs[i]), float(ys[i]), (width, height)), i))
        return float(xs[best]), float(ys[best]), float(xs[best]) + width, float(ys[best]) + height

    def _crossed(self, anchor: tuple[float, float], left: float, top: float, size: tuple[float, float]) -> int:
        """Taken cells under the leader, beyond the first few px at the point itself."""
        end = touch(anchor, (left, top, left + size[0], top + size[1]))
        length = math.hypot(end[0] - anchor[0], end[1] - anchor[1])
        steps = int(length // _GRID)
        seen: set[tuple[int, int]] = set()
        for step in range(3, steps):
            share = step * _GRID / length
            cell = int((anchor[1] + (end[1] - anchor[1]) * share) // _GRID), int((anchor[0] + (end[0] - anchor[0]) * share) // _GRID)
            if 0 <= cell[0] < self.rows and 0 <= cell[1] < self.columns and self.taken[cell]:
                seen.add(cell)
        return len(seen)


def touch(point: Sequence[float], box: Box) -> tuple[float, float]:
    """Give the point of a box nearest to a point."""
    return min(max(point[0], box[0]), box[2]), min(max(point[1], box[1]), box[3])
