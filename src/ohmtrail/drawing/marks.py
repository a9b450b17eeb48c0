"""Drawing the marks of a job over a finished picture."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ohmtrail.drawing.anchors import Anchors, spot
from ohmtrail.drawing.canvas import Box, Canvas
from ohmtrail.drawing.highlights import Highlights
from ohmtrail.drawing.placing import place_all
from ohmtrail.drawing.room import Room, ground_of
from ohmtrail.drawing.signs import Sign, black, card, flag, mend, probe, tick
from ohmtrail.drawing.svg import group, num, path, polyline, rect, text_element
from ohmtrail.drawing.text import Text, measured, wrapped

__all__ = ["HATCH", "MARK_CSS", "Left", "listed", "place_marks"]

HATCH = (
    '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fdeceb"/><path d="M1 0V6" stroke="#c4453f" stroke-width="1.6"/></pattern></defs>'
)
#: opacity of the shade of a suspect of no share; own choice
_PALEST = 0.35


@dataclass(frozen=True)
class Left:
    """What a picture could not show, a phrase each.

    Attributes
    ----------
    absent : tuple of str
        Marks of what does not stand in it.
    untold : tuple of str
        Marks whose words found no room: all that they say.
    unmarked : tuple of str
        Marks that found no room at all.
    """

    absent: tuple[str, ...]
    untold: tuple[str, ...]
    unmarked: tuple[str, ...]

    def told(self, *, compact: bool = False) -> tuple[str, ...]:
        """Lines to print below the picture; a small one lists the words of every mark anyway."""
        absent = [f"not in this picture: {phrase}" for phrase in self.absent]
        return (*(() if compact else self.untold), *absent, *(f"no room for the mark of {phrase}" for phrase in self.unmarked))


def place_marks(
    canvas: Canvas, anchors: Anchors, lights: Highlights, *, bounds: Box, compact: bool = False
) -> Left:
    """Lay the marks of a job over a picture.

    Parameters
    ----------
    canvas : Canvas
        The finished picture; marks are added to it.
    anchors : Anchors
        Where things stand.
    lights : Highlights
        What to mark.
    bounds : Box
        Where marks may stand, px.
    compact : bool
        Whether marks are discs and shares alone, their words listed elsewhere.

    Returns
    -------
    Left
        What is marked but cannot be shown.
    """
    _halos(canvas, anchors, lights)
    absent: list[str] = []
    signs = [sign for kind in (_cards, _flags, _probes, _ticks) for sign in kind(anchors, lights, absent, compact=compact)]
    room = Room(bounds, ground_of(canvas), half=4.0 if compact else 6.0)
    placed = place_all(room, signs, compact=compact)
    for sign, place in placed:
        if place is not None:
            body = group([place.form.draw(place.box)], class_="mark", data_box=" ".join(num(value) for value in place.box))
            canvas.marks.append(group([sign.leader(place.leader), body], title=sign.title, class_="mark", data_id=sign.title))
    untold = tuple(sign.title for sign, place in placed if place is not None and place.form is not sign.forms[0])
    return Left(tuple(absent), untold, tuple(sign.title for sign, place in placed if place is None))


def listed(lights: Highlights, left: Left, *, x: float, y: float, width: float) -> tuple[str, float]:
    """List the words of the marks under a small picture.

    Parameters
    ----------
    lights : Highlights
        What is marked.
    left : Left
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
    rows += [("", "mut", phrase) for phrase in left.told(compact=True)]
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


def _cards(anchors: Anchors, lights: Highlights, absent: list[str], *, compact: bool) -> Iterable[Sign]:
    for suspect in lights.suspects:
        sign = card(next((target for target in map(anchors.element, suspect.elements) if target), ()), suspect)
        if sign.target:
            yield sign
        else:
            absent.append(sign.title)
    for done in lights.mends:
        sign = mend(anchors.element(done.element), done)
        if sign.target:
            yield sign
        else:
            absent.append(sign.title)


def _flags(anchors: Anchors, lights: Highlights, absent: list[str], *, compact: bool) -> Iterable[Sign]:
    for reading in lights.readings:
        at = reading.black if reading.red == "frame" else reading.red
        point = anchors.point(at)
        sign = flag(spot(point) if point else anchors.element(at), reading)
        if not sign.target:
            absent.append(sign.title)
            continue
        yield sign
        other = anchors.points.get(reading.black)
        if other is not None and at == reading.red and reading.value and not compact:  # a small picture lists where black was
            yield black(other, reading)


def _probes(anchors: Anchors, lights: Highlights, absent: list[str], *, compact: bool) -> Iterable[Sign]:
    if lights.next is None:
        return
    red = anchors.point(lights.next.red, anchors.points.get(lights.next.black))
    for name, at in (("red", lights.next.red), ("black", lights.next.black)):
        point = red if name == "red" else anchors.point(at, red)
        if at and point is None:
            absent.append(f"next reading: {name} on {at}")
        elif point is not None:
            yield probe(point, name, at)


def _ticks(anchors: Anchors, lights: Highlights, _absent: list[str], *, compact: bool) -> Iterable[Sign]:
    for element in lights.ruled_out:
        if target := anchors.element(element):  # nothing is lost: what is sound needs no sign in a picture that it is not in
            yield tick(target, element)


MARK_CSS = (
    ".halo{fill:none;stroke:url(#hatch);stroke-width:22;stroke-linejoin:round}.haze{fill:url(#hatch)}"
    ".leader{fill:none;stroke:#1b2330;stroke-width:1.2}.leader.suspect{stroke:#a3171d}.leader.sound,.leader.mend{stroke:#1d6a35}"
    ".tip{fill:#1b2330}.tip.suspect{fill:#a3171d}.tip.sound,.tip.mend{fill:#1d6a35}"
    ".card{fill:#fff;stroke:#a3171d;stroke-width:1.6}.flag{fill:#fff;stroke:#1b2330;stroke-width:1.6}"
    ".mended{fill:#fff;stroke:#1d6a35;stroke-width:1.8;stroke-dasharray:6 2}.tick{fill:#fff;stroke:#1d6a35;stroke-width:1.5}"
    ".tickmark{fill:none;stroke:#1d6a35;stroke-width:2.2}.needle{fill:none;stroke-width:3}.target{fill:none;stroke-width:2.4}"
    ".needle.red,.target.red{stroke:#c21f26}.needle.black,.target.black{stroke:#1b2330;stroke-dasharray:7 2}.grip.red{fill:#b41820}.grip.black{fill:#1b2330}"
)
