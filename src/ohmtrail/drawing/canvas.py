"""A picture being made: what is drawn, and what it covers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from ohmtrail.drawing.style import screen_of
from ohmtrail.drawing.svg import group, num, path, polyline, text_element
from ohmtrail.drawing.text import Text

__all__ = ["Box", "Canvas", "Point"]

Box = tuple[float, float, float, float]
Point = tuple[float, float]


@dataclass
class Canvas:
    """Layers of a picture, and the boxes and stretches that marks must keep clear of.

    Attributes
    ----------
    ground, leads, symbols, marks : list of str
        SVG, from the back to the front.
    boxes : list of Box
        Left, top, right, bottom of every text, px.
    shapes : list of Box
        The same of every symbol, its terminals included.
    stretches : list of (Point, Point)
        Straight stretches of the leads.
    """

    ground: list[str] = field(default_factory=list)
    leads: list[str] = field(default_factory=list)
    symbols: list[str] = field(default_factory=list)
    marks: list[str] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)
    shapes: list[Box] = field(default_factory=list)
    stretches: list[tuple[Point, Point]] = field(default_factory=list)

    def text(self, text: Text) -> str:
        """Note the room of a text and write it."""
        self.boxes.append(text.box)
        return text_element(text)

    def lead(self, lead_id: str, colour: str, route: Sequence[Point], *, title: str, state: str, kind: str = "", net: str = "", ends: str = "") -> None:
        """Draw one lead: casing, colour, tracer."""
        data = polyline(route)
        base, tracer = screen_of(colour)
        strokes = [path(data, kind="c"), path(data, kind="l", stroke=base)]
        if tracer is not None:
            strokes.append(path(data, kind="t", stroke=tracer))
        classes = " ".join(word for word in ("lead", state or "live", kind) if word)
        self.leads.append(group(strokes, title=title, class_=classes, data_id=lead_id, data_net=net, data_ends=ends))
        self.stretches += list(pairwise(route))

    def symbol(self, part: str, shapes: Sequence[tuple[str, Box]], words: Sequence[Text], *, title: str, kind: str) -> None:
        """Draw one symbol, shape by shape with its declared box, and its words."""
        inner = []
        for body, box in shapes:
            self.shapes.append(box)
            inner.append(group([body], class_="symbol", data_box=" ".join(num(value) for value in box)))
        self.symbols.append(group([*inner, *(self.text(text) for text in words)], title=title, class_=f"part {kind}", data_id=part))

    def body(self) -> str:
        """Everything from back to front."""
        return "".join((*self.ground, *self.leads, *self.symbols, *self.marks))
