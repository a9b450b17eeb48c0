"""The signs that a job lays over a picture: cards, flags, probes and ticks, each also in a small form."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ohmtrail.drawing.anchors import Target, spot
from ohmtrail.drawing.canvas import Box, Point
from ohmtrail.drawing.highlights import MendMark, ReadingMark, SuspectMark
from ohmtrail.drawing.svg import num, path, polyline, rect, text_element
from ohmtrail.drawing.text import Text, measured, wrapped

__all__ = ["RING", "Form", "Sign", "black", "card", "flag", "mend", "probe", "tick"]

#: radius of the ring around the point of a probe, its stroke included, px
RING = 7.2
READING = "leader reading"
_WIDEST_CARD = 170.0
_SIZE, _SHARE, _SMALL = 11.5, 13.0, 10.5


@dataclass(frozen=True)
class Form:
    """One way to draw a sign.

    Attributes
    ----------
    width, height : float
        Room that it takes, px.
    draw : callable
        Box -> SVG.
    corner : float
        Radius of its corners, px.
    """

    width: float
    height: float
    draw: Callable[[Box], str]
    corner: float

    @property
    def inset(self) -> float:
        """How far a leader reaches under the sign, px, so that no round corner leaves a gap."""
        return self.corner + 1.0


@dataclass(frozen=True)
class Sign:
    """What is to be placed near a thing.

    Attributes
    ----------
    target : Target
        Where its leader may start.
    title : str
        All that it says.
    kind : str
        Class of its leader.
    forms : tuple of Form
        The fullest first.
    ring : str
        Drawn where the leader starts.
    """

    target: Target
    title: str
    kind: str
    forms: tuple[Form, ...]
    ring: str = ""

    def stacks_on(self, other: Sign) -> bool:
        """Whether this flag may stand beside another of the same point, its leader starting there."""
        return self.kind == other.kind == READING and self.target == other.target and self is not other

    def leader(self, points: tuple[Point, ...]) -> str:
        """The line from the thing to the sign, with what stands at its start."""
        (x, y), kind = points[0], self.kind.rpartition(" ")[2]
        line = path(polyline(points), kind=self.kind)
        return line + (self.ring or f'<circle cx="{num(x)}" cy="{num(y)}" r="2" class="tip {kind}"/>')


def card(target: Target, suspect: SuspectMark) -> Sign:
    """Give the sign of a suspect: its share, with its words where there is room.

    Parameters
    ----------
    target : Target
        Where its leader may start.
    suspect : SuspectMark
        What may be at fault.

    Returns
    -------
    Sign
        In full and small.
    """
    title = f"suspect {' and '.join(suspect.elements)}: {suspect.share} {suspect.words}"
    forms = (_told(suspect.share, suspect.words, _SHARE, "red", "card", 4.0), _bare(suspect.share, "red", "card", 4.0))
    return Sign(target, title, "leader suspect", forms)


def mend(target: Target, done: MendMark) -> Sign:
    """Give the sign of what was mended or changed.

    Parameters
    ----------
    target : Target
        Where its leader may start.
    done : MendMark
        What was done.

    Returns
    -------
    Sign
        In full and small.
    """
    title = f"{done.head} {done.element}: {done.words}"
    forms = (_told(done.head, done.words, _SIZE, "grn", "mended", 12.0), _bare(done.head, "grn", "mended", 8.0))
    return Sign(target, title, "leader mend", forms)


def _told(head: str, words: str, size: float, colour: str, frame: str, corner: float) -> Form:
    """A bold head and its words, in lines."""
    lines = wrapped(words, _SIZE, _WIDEST_CARD) or ("",)
    wide = measured(head, size, bold=True)

    def draw(box: Box) -> str:
        texts = [Text(box[0] + 9, box[1] + (18 if size > _SIZE else 17.5), head, size, kind=colour, bold=True)]
        texts += [Text(box[0] + 17 + wide, box[1] + 17.5 + 14 * number, line, _SIZE) for number, line in enumerate(lines)]
        return _framed(box, corner, frame) + "".join(text_element(text) for text in texts if text.words)

    return Form(_whole(wide + (26 if words else 18) + max(measured(line, _SIZE) for line in lines)), 26.0 + 14.0 * (len(lines) - 1), draw, corner)


def _bare(head: str, colour: str, frame: str, corner: float) -> Form:
    """The head alone."""

    def draw(box: Box) -> str:
        return _framed(box, corner, frame) + _inside(box, head, colour)

    return Form(_whole(measured(head, _SMALL, bold=True) + 8), 18.0, draw, corner)


def flag(target: Target, reading: ReadingMark) -> Sign:
    """Give the sign of a reading at its red probe: its number, with the value where there is room.

    Parameters
    ----------
    target : Target
        Where its leader may start.
    reading : ReadingMark
        What was read.

    Returns
    -------
    Sign
        In full and small.
    """
    full = (_flag(reading.number, reading.value, bold=True),) if reading.value else ()
    return Sign(target, f"reading {reading.number}: {reading.told()}", READING, (*full, _disc_alone(reading.number)))


def black(point: Point, reading: ReadingMark) -> Sign:
    """Give the sign of a reading at its black probe.

    Parameters
    ----------
    point : Point
        Where that was, px.
    reading : ReadingMark
        What was read.

    Returns
    -------
    Sign
        In full and small.
    """
    return Sign(spot(point), f"reading {reading.number}: black on {reading.black}", READING, (_flag(reading.number, "black", bold=False), _disc_alone(reading.number)))


def _flag(number: int, words: str, *, bold: bool) -> Form:
    def draw(box: Box) -> str:
        return _framed(box, 10, "flag") + _disc(box[0] + 11, box[1] + 11, number) + text_element(Text(box[0] + 25, box[1] + 15, words, _SIZE, bold=bold))

    return Form(_whole(34 + measured(words, _SIZE, bold=bold)), 22.0, draw, 10.0)


def _disc_alone(number: int) -> Form:
    return Form(18.0, 18.0, lambda box: _disc(box[0] + 9, box[1] + 9, number), 8.0)


def _disc(x: float, y: float, number: int) -> str:
    size = 10.5 if number < 10 else 9.0
    return f'<circle cx="{num(x)}" cy="{num(y)}" r="8" class="f"/>' + text_element(Text(x, y + 3.8, str(number), size, "middle", "inv", bold=True))


def probe(point: Point, name: str, at: str) -> Sign:
    """Give the sign of a probe of the next reading, with a ring around its point.

    Parameters
    ----------
    point : Point
        Where the probe goes, px.
    name : str
        ``red`` or ``black``.
    at : str
        The probe point.

    Returns
    -------
    Sign
        In full and small.
    """
    ring = f'<circle cx="{num(point[0])}" cy="{num(point[1])}" r="{num(RING - 1.2)}" class="target {name}"/>'

    def form(words: str, more: float, height: float) -> Form:
        def draw(box: Box) -> str:
            return _framed(box, 4, f"grip {name}") + _inside(box, words, "inv")

        return Form(_whole(measured(words, _SMALL, bold=True) + more), height, draw, 4.0)

    return Sign(spot(point), f"next reading: {name} on {at}", f"needle {name}", (form(f"{name} probe", 20, 24.0), form(name, 10, 18.0)), ring)


def tick(target: Target, element: str) -> Sign:
    """Give the sign of what is no longer suspected.

    Parameters
    ----------
    target : Target
        Where its leader may start.
    element : str
        Lead, lead end or part.

    Returns
    -------
    Sign
        In its only form.
    """

    def draw(box: Box) -> str:
        x, y = (box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0
        return f'<circle cx="{num(x)}" cy="{num(y)}" r="8" class="tick"/>' + path(f"M{num(x - 4)} {num(y)}l3 3.500l5 -6.500", kind="tickmark")

    return Sign(target, f"sound: {element}", "leader sound", (Form(18.0, 18.0, draw, 8.0),))


def _framed(box: Box, corner: float, kind: str) -> str:
    return rect(box[0] + 1, box[1] + 1, box[2] - box[0] - 2, box[3] - box[1] - 2, r=corner, kind=kind)


def _inside(box: Box, words: str, colour: str) -> str:
    """Words in the middle of a box."""
    return text_element(Text((box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0 + 4, words, _SMALL, "middle", colour, bold=True))


def _whole(width: float) -> float:
    return float(round(width + 0.5))
