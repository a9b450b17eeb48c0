"""Where things stand in a picture, and where the leaders of their marks may start."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ohmtrail.drawing.canvas import Box, Point
from ohmtrail.drawing.cores import cell_cores
from ohmtrail.drawing.layout import Layout
from ohmtrail.drawing.symbols import cell_box

__all__ = ["Anchors", "Target", "anchors_of", "spot"]

#: points, stretches or boxes at any of which a leader may start
Target = tuple[Box, ...]
#: how much of a lead's ends its marks leave to those of its terminals, px
_END = 14.0


@dataclass(frozen=True)
class Anchors:
    """Where things stand in a picture.

    Attributes
    ----------
    points : dict of str to Point
        Terminal or lead end -> its ring.
    routes : dict of str to tuple of Point
        Lead -> corners.
    shapes : dict of str to tuple of Box
        Part, or ``plug.cavity`` -> boxes of its symbols.
    cores : dict of str to tuple of Box
        The same -> the middles of what is drawn in its first symbol, where a leader is seen to end.
    frames : tuple of Point
        Tops of the earth symbols, for a probe on the frame.
    """

    points: dict[str, Point]
    routes: dict[str, tuple[Point, ...]]
    shapes: dict[str, tuple[Box, ...]]
    cores: dict[str, tuple[Box, ...]]
    frames: tuple[Point, ...]

    def point(self, name: str, near: Point | None = None) -> Point | None:
        """Where a probe point is; for the frame the earth symbol nearest to ``near``."""
        if name in self.points:
            return self.points[name]
        if name == "frame" and self.frames:
            x, y = near or self.frames[0]
            return min(self.frames, key=lambda point: (abs(point[0] - x) + abs(point[1] - y), point))
        return None

    def element(self, name: str) -> Target:
        """Where the leader of a mark on a lead, a joint or a part may start; nowhere where it is not drawn."""
        if name in self.routes:
            return _trimmed(self.routes[name])
        if name in self.points:
            return spot(self.points[name])
        for key in (name, name.rpartition(".")[0], name.partition(".")[0]):
            if key in self.cores:
                return self.cores[key]
        return ()


def anchors_of(layout: Layout, left: float, top: float) -> Anchors:
    """Give where everything of a layout stands in its picture.

    Parameters
    ----------
    layout : Layout
        Coordinates.
    left : float
        Margin beside it, px.
    top : float
        Room above it, px.

    Returns
    -------
    Anchors
        Points and boxes, px.
    """
    points: dict[str, Point] = {}
    shapes: dict[str, list[Box]] = {}
    cores: dict[str, tuple[Box, ...]] = {}
    frames = []
    for name, (x, y) in layout.at.items():
        cell = layout.cells[name]
        at = (x + left, y + top)
        for key in dict.fromkeys((name.partition("|")[0], cell.item.part)):
            shapes.setdefault(key, []).append(cell_box(cell, *at))
            cores.setdefault(key, cell_cores(cell, *at))
        if cell.item.kind in ("earth", "metal", "frame"):
            frames.append(at)
            points.setdefault(cell.item.part, at)
        for slot in cell.slots:
            for stub, level in ((slot.top, at[1]), (slot.bottom, at[1] + cell.body)):
                if stub is not None:
                    points.setdefault(stub.terminal, (at[0] + slot.x, level))
    for wire in layout.wires:
        route = layout.routes[wire.lead]
        for end, (x, y) in zip(("to", "from") if wire.turned else ("from", "to"), (route[0], route[-1]), strict=True):
            points[f"{wire.lead}.{end}"] = (x + left, y + top)
    routes = {lead: tuple((x + left, y + top) for x, y in route) for lead, route in layout.routes.items()}
    return Anchors(points, routes, {key: tuple(boxes) for key, boxes in shapes.items()}, cores, tuple(frames))


def spot(point: Point) -> Target:
    """Give a point as the only place where a leader may start.

    Parameters
    ----------
    point : Point
        Across and down, px.

    Returns
    -------
    Target
        A box without width or height.
    """
    return ((*point, *point),)


def _trimmed(route: tuple[Point, ...]) -> Target:
    """A lead's stretches without its ends, where its terminals are."""
    left = cut = min(_END, sum(abs(x1 - x2) + abs(y1 - y2) for (x1, y1), (x2, y2) in pairwise(route)) / 3.0)
    whole = list(route)
    for _ in range(2):
        whole.reverse()
        left = cut
        while left > 0.0:
            (x1, y1), (x2, y2) = whole[-2:]
            far = abs(x1 - x2) + abs(y1 - y2)
            if far > left:
                whole[-1] = (x2 + (x1 - x2) * left / far, y2 + (y1 - y2) * left / far)
            else:
                whole.pop()
            left -= far
    return tuple((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)) for (x1, y1), (x2, y2) in pairwise(whole))
