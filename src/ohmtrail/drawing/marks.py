"""Drawing the marks of a job over a finished picture."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from ohmtrail.drawing.canvas import Box, Canvas
from ohmtrail.drawing.highlights import Highlights, MendMark, ReadingMark, SuspectMark
from ohmtrail.drawing.placing import Room, touch
from ohmtrail.drawing.svg import group, num, path, polyline, rect, text_element
from ohmtrail.drawing.text import Text, measured, wrapped

__all__ = ["HATCH", "MARK_CSS", "Anchors", "listed", "place_marks"]

Point = tuple[float, float]

HATCH = (
    '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fdeceb"/><path d="M1 0V6" stroke="#c4453f" stroke-width="1.6"/></pattern></defs>'
)
_WIDEST_CARD = 170.0
_SIZE = 11.5
#: opacity of the shade of a suspect of no share; own choice
_PALEST = 0.35


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
    frames : tuple of Point
        Tops of the earth symbols, for a probe on the frame.
    """

    points: dict[str, Point]
    routes: dict[str, tuple[Point, ...]]
    shapes: dict[str, tuple[Box, ...]]
    frames: tuple[Point, ...]

    def point(self, name: str, near: Point | None = None) -> Point | None:
        """Where a probe point is; for the frame the earth symbol nearest to ``near``."""
        if name in self.points:
            return self.points[name]
        if name == "frame" and self.frames:
            x, y = near or self.frames[0]
            return min(self.frames, key=lambda point: (abs(point[0] - x) + abs(point[1] - y), point))
        return None

    def element(self, name: str) -> Point | None:
        """Where a mark on a lead, a joint or a part points to."""
        if name in self.routes:
            return _middle(self.routes[name])
        if name in self.points:
            return self.points[name]
        for key in (name, name.rpartition(".")[0], name.partition(".")[0]):
            if key in self.shapes:
                left, top, right, bottom = self.shapes[key][0]
                return (left + right) / 2.0, (top + bottom) / 2.0
        return None


def _middle(route: tuple[Point, ...]) -> Point:
    """Middle of a lead's longest stretch."""
    pairs = list(pairwise(route))
    (x1, y1), (x2, y2) = max(pairs, key=lambda pair: abs(pair[0][0] - pair[1][0]) + abs(pair[0][1] - pair[1][1]))
    return (x1 + x2) / 2.0, (y1 + y2) / 2.0


@dataclass(frozen=True)
class _Mark:
    """A rectangle to be placed near a point."""

    anchor: Point
    width: float
    height: float
    title: str
    kind: str
    draw: Callable[[Box], str]


def place_marks(
    canvas: Canvas, anchors: Anchors, lights: Highlights, *, width: float, height: float, compact: bool = False
) -> tuple[str, ...]:
    """Lay the marks of a job over a picture.

    Parameters
    ----------
    canvas : Canvas
        The finished picture; marks are added to it.
    anchors : Anchors
        Where things stand.
    lights : Highlights
        What to mark.
    width, height : float
        Room for marks, px.
    compact : bool
        Whether marks are discs and shares alone, their words listed elsewhere.

    Returns
    -------
    tuple of str
        What is marked but does not stand in this picture, a phrase each.
    """
    _halos(canvas, anchors, lights)
    missing: list[str] = []
    shown = _short(lights) if compact else lights
    kinds = (_cards, _flags, _probes, _ticks)
    found = [mark for kind in kinds for mark in kind(anchors, shown, missing)]
    room = Room(width, height, canvas.boxes, canvas.stretches)
    for mark in sorted(found, key=lambda mark: (-mark.width * mark.height, mark.anchor, mark.title)):
        box = room.nearest(mark.anchor, mark.width, mark.height)
        if box is None:
            missing.append(mark.title)
            continue
        end = touch(mark.anchor, box)
        leader = path(polyline([mark.anchor, end]), kind=f"leader {mark.kind}") if end != mark.anchor else ""
        room_taken = " ".join(num(value) for value in box)
        canvas.marks.append(group([leader, group([mark.draw(box)], class_="mark", data_box=room_taken)], title=mark.title, class_="mark", data_id=mark.title))
    return tuple(missing)


def _short(lights: Highlights) -> Highlights:
    """The same marks with few words."""
    return replace(
        lights,
        readings=tuple(replace(reading, value="", words=reading.told()) for reading in lights.readings),
        suspects=tuple(replace(suspect, words="") for suspect in lights.suspects),
        mends=tuple(replace(mend, words="") for mend in lights.mends),
    )


def listed(lights: Highlights, missing: Iterable[str], *, x: float, y: float, width: float) -> tuple[str, float]:
    """List the words of the marks under a small picture.

    Parameters
    ----------
    lights : Highlights
        What is marked.
    missing : iterable of str
        What has no place in the picture.
    x, y, width : float
        Top left corner and room, px.

    Returns
    -------
    tuple of str and float
        SVG, and the ordinate below it.
    """
    rows: list[tuple[str, str, str]] = []
    if lights.next is not None and lights.next.sentence:
        rows.append(("Next", "", lights.next.sentence))
    rows += [(str(reading.number), "", reading.told()) for reading in lights.readings]
    rows += [(suspect.share, "red", f"{', '.join(suspect.elements)}: {suspect.words}") for suspect in lights.suspects]
    rows += [(mend.head, "grn", f"{mend.element}: {mend.words}") for mend in lights.mends]
    rows += [("", "mut", f"not in this picture: {phrase}") for phrase in missing]
    out = ""
    for head, kind, words in rows:
        indent = max(34.0, measured(head, 12.5, bold=True) + 10) if head else 0.0
        out += text_element(Text(x, y + 14, head, 12.5, kind=kind, bold=True)) if head else ""
        for line in wrapped(words, 12.5, width - indent):
            out += text_element(Text(x + indent, y + 14, line, 12.5))
            y += 18.0
        y += 4.0
    return (group([out], title="marks in words", class_="listed", data_id="listed") if out else ""), y


def _halos(canvas: Canvas, anchors: Anchors, lights: Highlights) -> None:
    for suspect in lights.suspects:
        for element in suspect.elements:
            title = f"suspect {element}: {suspect.share} {suspect.words}"
            if element in anchors.routes:
                body = path(polyline(anchors.routes[element]), kind="halo")
            elif element in anchors.points:
                x, y = anchors.points[element]
                body = f'<circle cx="{num(x)}" cy="{num(y)}" r="11" class="haze"/>'
            else:
                boxes = anchors.shapes.get(element) or anchors.shapes.get(element.rpartition(".")[0]) or ()
                body = "".join(rect(b[0] - 2, b[1] - 2, b[2] - b[0] + 4, b[3] - b[1] + 4, r=6, kind="haze") for b in boxes[:1])
            if body:
                shade = 1.0 if suspect.weight >= 1.0 else _PALEST + (1.0 - _PALEST) * max(suspect.weight, 0.0)
                canvas.ground.append(group([body], title=title, class_="halos", opacity=shade))


def _cards(anchors: Anchors, lights: Highlights, missing: list[str]) -> Iterable[_Mark]:
    for suspect in lights.suspects:
        anchor = next((point for point in map(anchors.element, suspect.elements) if point), None)
        title = f"suspect {' and '.join(suspect.elements)}: {suspect.share} {suspect.words}"
        if anchor is None:
            missing.append(title)
        else:
            yield _card(anchor, suspect, title)
    for mend in lights.mends:
        anchor = anchors.element(mend.element)
        if anchor is None:
            missing.append(f"{mend.head} {mend.element}: {mend.words}")
        else:
            yield _mend(anchor, mend)


def _card(anchor: Point, suspect: SuspectMark, title: str) -> _Mark:
    share = measured(suspect.share, 13, bold=True)
    lines = wrapped(suspect.words, _SIZE, _WIDEST_CARD) or ("",)
    width = share + (26 if suspect.words else 18) + max(measured(line, _SIZE) for line in lines)

    def draw(box: Box) -> str:
        texts = [Text(box[0] + 9, box[1] + 18, suspect.share, 13, kind="red", bold=True)]
        texts += [Text(box[0] + 17 + share, box[1] + 17.5 + 14 * number, line, _SIZE) for number, line in enumerate(lines)]
        return rect(box[0] + 1, box[1] + 1, box[2] - box[0] - 2, box[3] - box[1] - 2, r=4, kind="card") + "".join(text_element(text) for text in texts if text.words)

    return _Mark(anchor, float(round(width + 0.5)), 26.0 + 14.0 * (len(lines) - 1), title, "suspect", draw)


def _mend(anchor: Point, mend: MendMark) -> _Mark:
    lines = wrapped(mend.words, _SIZE, _WIDEST_CARD) or ("",)
    head = measured(mend.head, _SIZE, bold=True)
    width = head + (26 if mend.words else 18) + max(measured(line, _SIZE) for line in lines)

    def draw(box: Box) -> str:
        texts = [Text(box[0] + 9, box[1] + 17.5, mend.head, _SIZE, kind="grn", bold=True)]
        texts += [Text(box[0] + 17 + head, box[1] + 17.5 + 14 * number, line, _SIZE) for number, line in enumerate(lines)]
        frame = rect(box[0] + 1, box[1] + 1, box[2] - box[0] - 2, box[3] - box[1] - 2, r=12, kind="mended")
        return frame + "".join(text_element(text) for text in texts if text.words)

    return _Mark(anchor, float(round(width + 0.5)), 26.0 + 14.0 * (len(lines) - 1), f"{mend.head} {mend.element}: {mend.words}", "mend", draw)


def _flags(anchors: Anchors, lights: Highlights, missing: list[str]) -> Iterable[_Mark]:
    for reading in lights.readings:
        red = anchors.point(reading.red) or anchors.element(reading.red)
        title = f"reading {reading.number}: {reading.told()}"
        if red is None:
            missing.append(title)
            continue
        yield _flag(red, reading, title)
        black = anchors.points.get(reading.black)
        if black is not None and reading.value:  # a small picture lists where black was
            yield _second(black, reading)


def _flag(anchor: Point, reading: ReadingMark, title: str) -> _Mark:
    width = 34 + measured(reading.value, _SIZE, bold=True) if reading.value else 22.0

    def draw(box: Box) -> str:
        return (
            rect(box[0] + 1, box[1] + 1, box[2] - box[0] - 2, 20, r=10, kind="flag")
            + _disc(box[0] + 11, box[1] + 11, str(reading.number))
            + (text_element(Text(box[0] + 25, box[1] + 15, reading.value, _SIZE, bold=True)) if reading.value else "")
        )

    return _Mark(anchor, float(round(width + 0.5)), 22.0, title, "reading", draw)


def _second(anchor: Point, reading: ReadingMark) -> _Mark:
    width = 34 + measured("black", _SIZE)

    def draw(box: Box) -> str:
        return (
            rect(box[0] + 1, box[1] + 1, box[2] - box[0] - 2, 20, r=10, kind="flag")
            + _disc(box[0] + 11, box[1] + 11, str(reading.number))
            + text_element(Text(box[0] + 25, box[1] + 15, "black", _SIZE))
        )

    return _Mark(anchor, float(round(width + 0.5)), 22.0, f"reading {reading.number}: black on {reading.black}", "reading", draw)


def _disc(x: float, y: float, number: str) -> str:
    size = 10.5 if len(number) < 2 else 9.0
    return f'<circle cx="{num(x)}" cy="{num(y)}" r="8" class="f"/>' + text_element(Text(x, y + 3.8, number, size, "middle", "inv", bold=True))


def _probes(anchors: Anchors, lights: Highlights, missing: list[str]) -> Iterable[_Mark]:
    if lights.next is None:
        return
    red = anchors.point(lights.next.red)
    for name, at in (("red", lights.next.red), ("black", lights.next.black)):
        point = red if name == "red" else anchors.point(at, red)
        if at and point is None:
            missing.append(f"next reading: {name} on {at}")
        elif point is not None:
            yield _probe(point, name, at)


def _probe(anchor: Point, name: str, at: str) -> _Mark:
    words = f"{name} probe"
    width = measured(words, _SIZE, bold=True) + 20

    def draw(box: Box) -> str:
        x, y = anchor
        end = touch(anchor, box)
        ring = f'<circle cx="{num(x)}" cy="{num(y)}" r="7.5" class="target {name}"/>'
        needle = path(polyline([anchor, end]), kind=f"needle {name}")
        pill = rect(box[0] + 1, box[1] + 1, box[2] - box[0] - 2, 22, r=4, kind=f"grip {name}")
        return needle + ring + pill + text_element(Text(box[0] + 10, box[1] + 16, words, _SIZE, kind="inv", bold=True))

    return _Mark(anchor, float(round(width + 0.5)), 24.0, f"next reading: {name} on {at}", f"probe {name}", draw)


def _ticks(anchors: Anchors, lights: Highlights, _missing: list[str]) -> Iterable[_Mark]:
    for element in lights.ruled_out:
        anchor = anchors.element(element)
        if anchor is None:  # nothing is lost: what is sound needs no sign in a picture that it is not in
            continue

        def draw(box: Box) -> str:
            x, y = (box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0
            return f'<circle cx="{num(x)}" cy="{num(y)}" r="8" class="tick"/>' + path(f"M{num(x - 4)} {num(y)}l3 3.500l5 -6.500", kind="tickmark")

        yield _Mark(anchor, 18.0, 18.0, f"sound: {element}", "sound", draw)


MARK_CSS = (
    ".halo{fill:none;stroke:url(#hatch);stroke-width:22;stroke-linejoin:round}.haze{fill:url(#hatch)}"
    ".leader{fill:none;stroke:#1b2330;stroke-width:1.2;stroke-dasharray:2 3}.leader.suspect{stroke:#a3171d;stroke-dasharray:none}"
    ".leader.probe{stroke:none}.card{fill:#fff;stroke:#a3171d;stroke-width:1.6}.flag{fill:#fff;stroke:#1b2330;stroke-width:1.6}"
    ".mended{fill:#fff;stroke:#1d6a35;stroke-width:1.8;stroke-dasharray:6 2}.tick{fill:#fff;stroke:#1d6a35;stroke-width:1.5}"
    ".tickmark{fill:none;stroke:#1d6a35;stroke-width:2.2}.needle{fill:none;stroke-width:3}.target{fill:none;stroke-width:2.4}"
    ".needle.red,.target.red{stroke:#c21f26}.needle.black,.target.black{stroke:#1b2330;stroke-dasharray:7 2}.grip.red{fill:#b41820}.grip.black{fill:#1b2330}"
)
