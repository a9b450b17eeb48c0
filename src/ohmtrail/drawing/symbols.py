"""Drawing one cell: its symbol from elements, rings where leads end, and the words around it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from ohmtrail.drawing.canvas import Box
from ohmtrail.drawing.cells import ID_SIZE, LABEL_X, SMALL, Cell, Look, Slot, flipped, level, sides
from ohmtrail.drawing.cores import BUS, lying_axis
from ohmtrail.drawing.elements import BOXES, NODES
from ohmtrail.drawing.glyphs import Glyph, glyph
from ohmtrail.drawing.svg import line, num, path, rect
from ohmtrail.drawing.text import Text

__all__ = ["bolt_shapes", "cell_box", "cell_words", "draw_symbol"]

_RING = 3.6


def cell_box(cell: Cell, x: float, y: float) -> Box:
    """Give the declared box of a symbol whose origin stands at (x, y): rings and bolts included.

    Parameters
    ----------
    cell : Cell
        The symbol.
    x : float
        Across, px.
    y : float
        Down, px.

    Returns
    -------
    (left, top, right, bottom)
        Px.
    """
    left, right = cell.frame
    top = 4.9 if any(slot.top for slot in cell.slots) else 1.4
    below = 4.9 if any(slot.bottom for slot in cell.slots) else 1.4
    for slot in cell.slots:
        left, right = min(left, slot.x - 5.0), max(right, slot.x + 5.0)
    return x + left - 1.4, y - top, x + right + 1.4, y + cell.body + below


def bolt_shapes(cell: Cell, x: float, y: float) -> list[tuple[str, Box]]:
    """Give the earth symbols of terminals that are bolted to metal, each with its declared box.

    Parameters
    ----------
    cell : Cell
        The symbol.
    x : float
        Across, px.
    y : float
        Down, px.

    Returns
    -------
    list of (str, box)
        Markup, and its box in px.
    """
    earth = glyph("frame").body
    found = []
    for slot in cell.slots:
        if slot.top is not None and not slot.top.lead:
            at, foot = x + slot.x, y - 4.5
            body = f'<g transform="translate({num(at)} {num(foot)}) rotate(180)">{line(0, 0, 0, 4, kind="s")}<g transform="translate(0 2)">{earth}</g></g>'
            found.append((body, (at - 14.5, foot - 18.7, at + 14.5, foot + 1.4)))
        if slot.bottom is not None and not slot.bottom.lead:
            at, top = x + slot.x, y + cell.body + 4.5
            body = f'<g transform="translate({num(at)} {num(top)})">{line(0, 0, 0, 4, kind="s")}<g transform="translate(0 2)">{earth}</g></g>'
            found.append((body, (at - 14.5, top - 1.4, at + 14.5, top + 18.7)))
    return found


def draw_symbol(cell: Cell, x: float, y: float) -> str:
    """Draw the symbol of a cell at its place.

    Parameters
    ----------
    cell : Cell
        What to draw.
    x, y : float
        Where its origin stands, px.

    Returns
    -------
    str
        SVG in the picture's coordinates.
    """
    kind = cell.item.kind
    if kind in BOXES:
        drawn = _box(cell)
    elif kind in NODES:
        drawn = _node(cell)
    elif level(cell.elements, cell.slots):
        drawn = _lying(cell)
    else:
        drawn = _standing(cell)
    return f'<g transform="translate({num(x)} {num(y)})">{drawn}{_rings(cell)}</g>'


def _rings(cell: Cell) -> str:
    kind = "f" if cell.item.kind == "splice" else "w"
    return "".join(
        f'<circle cx="{num(slot.x)}" cy="{num(y)}" r="{_RING}" class="{kind}"/>'
        for slot in cell.slots
        for stub, y in ((slot.top, 0.0), (slot.bottom, cell.body))
        if stub is not None and (stub.lead or cell.item.kind != "splice")
        if cell.item.kind not in ("earth", "metal", "frame")
    )


def _node(cell: Cell) -> str:
    kind, slots = cell.item.kind, cell.slots
    if kind == "splice":
        body = "".join(line(slot.x, 0, slot.x, 6, kind="s k") for slot in slots if slot.top)
        body += "".join(line(slot.x, 6, slot.x, cell.body, kind="s k") for slot in slots if slot.bottom)
        return body + (path(f"M{num(slots[0].x - 1.3)} 6H{num(slots[-1].x + 1.3)}", kind="s k"))
    drawn = glyph(kind)
    if any(slot.top for slot in slots):
        return f"<g>{drawn.body}</g>"
    return f'<g transform="translate(0 {num(drawn.height)}) rotate(180)">{drawn.body}</g>'


def _box(cell: Cell) -> str:
    left, right = cell.frame
    body = rect(left, 0, right - left, cell.body, r=5, kind="w")
    middle = left + 22.0
    return body + f'<g transform="translate({num(middle)} {num(cell.body / 2)})">{_box_mark(cell.item.kind)}</g>'


def _box_mark(kind: str) -> str:
    if kind == "rectifier":
        return path("M-9 0L0 -9L9 0L0 9Z", kind="s") + path("M-4 3.500H4L0 -3.500Z", kind="f") + line(-4, -4, 4, -4, kind="s")
    if kind in ("alternator", "dynamo"):
        wave = path("M-4 7.500c1.500 -3 2.500 -3 4 0s2.500 3 4 0", kind="s") if kind == "alternator" else path("M-4 7.500H4", kind="s")
        return '<circle cx="0" cy="0" r="12" class="s"/>' + path("M3.500 -5.500a4 4 0 1 0 0.500 4.500h-3", kind="s") + wave
    return path("M-7 -7H7V7H-7Z", kind="s") + path("M-7 -3H-10M-7 3H-10M7 -3H10M7 3H10", kind="s")


def _lying(cell: Cell) -> str:
    """A lone element between two stubs on the same side."""
    element, (one, two) = cell.elements[0], cell.slots
    drawn = glyph(element.glyph)
    stub = one.top or one.bottom
    assert stub is not None
    y = lying_axis(cell)
    middle = (one.x + two.x) / 2.0
    start, end = middle - drawn.height / 2.0, middle + drawn.height / 2.0
    edge = 0.0 if one.top is not None else cell.body
    ways = path(f"M{num(one.x)} {num(edge)}V{num(y)}H{num(start)}M{num(end)} {num(y)}H{num(two.x)}V{num(edge)}", kind="s")
    if stub.pin == element.a:
        return ways + f'<g transform="translate({num(start)} {num(y)}) rotate(-90)">{drawn.body}</g>'
    return ways + f'<g transform="translate({num(end)} {num(y)}) rotate(90)">{drawn.body}</g>'


def _standing(cell: Cell) -> str:
    """Elements side by side, joined to the pins above and below by bars and ways round."""
    side = sides(cell.item, cell.elements)
    pins = {"top": _pin_slots(cell, lambda slot: slot.top), "bottom": _pin_slots(cell, lambda slot: slot.bottom)}
    deep = 2 * BUS if len(cell.slots) > 1 else 0.0
    out = ""
    for index, element in enumerate(cell.elements):
        slot = next(slot for slot in cell.slots if slot.element == index)
        turned = flipped(element, side)
        drawn = glyph(element.glyph)
        room = cell.body - 2 * deep
        start, end = deep, deep + drawn.height
        out += _placed(drawn, slot.x, start, turned)
        high, low = (element.b, element.a) if turned else (element.a, element.b)
        out += _joined(cell, pins, side, high, slot.x, start, upper=True)
        if drawn.height < room:
            out += line(slot.x, end, slot.x, deep + room, kind="s")
        out += _joined(cell, pins, side, low, slot.x, deep + room, upper=False)
    out += _round(cell, pins, side)
    return out + _coupling(cell, deep)


def _pin_slots(cell: Cell, pick: Callable[[Slot], object]) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {}
    for slot in cell.slots:
        stub = pick(slot)
        if stub is not None:
            found.setdefault(stub.pin, []).append(slot.x)  # type: ignore[attr-defined]  # a stub
    return found


def _placed(drawn: Glyph, x: float, y: float, turned: bool) -> str:
    if turned:
        return f'<g transform="translate({num(x)} {num(y + drawn.height)}) rotate(180)">{drawn.body}</g>'
    return f'<g transform="translate({num(x)} {num(y)})">{drawn.body}</g>'


def _bus(cell: Cell, pins: Mapping[str, Mapping[str, list[float]]], where: str, pin: str) -> float:
    """Ordinate of a pin's bar inside the symbol."""
    names = list(pins[where])
    step = 3.0 + (names.index(pin) % 2) * 5.0
    return step if where == "top" else cell.body - step


def _joined(
    cell: Cell, pins: Mapping[str, Mapping[str, list[float]]], side: Mapping[str, str], pin: str, x: float, y: float, *, upper: bool
) -> str:
    """The way from an element's end to its pin."""
    where = side.get(pin)
    if where is None:
        return ""
    edge = 0.0 if where == "top" else cell.body
    at = pins[where][pin]
    straight = (where == "top") == upper
    if straight and x in at:
        return "" if y == edge else line(x, y, x, edge, kind="s")
    bar = _bus(cell, pins, where, pin)
    if straight:
        return path(f"M{num(x)} {num(y)}V{num(bar)}H{num(at[0])}V{num(edge)}", kind="s")
    off = x + 16.0 if at[0] > x else x - 16.0
    near = y - 2.0 if upper else y + 2.0
    return path(f"M{num(x)} {num(y)}V{num(near)}H{num(off)}V{num(bar)}H{num(at[0])}V{num(edge)}", kind="s")


def _round(cell: Cell, pins: Mapping[str, Mapping[str, list[float]]], side: Mapping[str, str]) -> str:
    """Bars between several stubs of one pin, and ways round to stubs on the other side."""
    out = ""
    for where, edge in (("top", 0.0), ("bottom", cell.body)):
        for pin, at in pins[where].items():
            home = side[pin]
            if home == where and len(at) > 1:
                out += path(f"M{num(at[0])} {num(edge)}H{num(at[-1])}", kind="s k")
            elif home != where:
                bar = _bus(cell, pins, home, pin)
                first = pins[home][pin][0]
                out += path(f"M{num(first)} {num(bar)}H{num(at[-1])}" + "".join(f"M{num(x)} {num(bar)}V{num(edge)}" for x in at), kind="s")
    return out


def _coupling(cell: Cell, deep: float) -> str:
    """The dashed line that couples the contacts of one switch or relay, or the bulb around two filaments."""
    axes = [slot.x for slot in cell.slots if slot.element >= 0]
    if len(axes) < 2:
        return ""
    y = num(deep + 18)
    if cell.item.kind == "coil":
        return ""
    if cell.item.kind == "lamp":
        return path(f"M{num(axes[0] + 12)} {y}H{num(axes[-1] - 12)}", kind="link")
    start = axes[0] + (13 if cell.item.kind == "relay" else 6)
    return path(f"M{num(start)} {y}H{num(axes[-1] + 5)}", kind="link")


def cell_words(cell: Cell, look: Look, x: float, y: float) -> list[Text]:
    """Give the words of a cell at its place: name, value, pins, labels of the leads that leave below.

    Parameters
    ----------
    cell : Cell
        The symbol.
    look : Look
        Values and states that it shows.
    x : float
        Across, px.
    y : float
        Down, px.

    Returns
    -------
    list of Text
        Each with its place in px.
    """
    words = _name_words(cell, look, x, y)
    box = cell.item.kind in BOXES
    bottom = y + cell.body
    for slot in cell.slots:
        at = x + slot.x
        if slot.top is not None and slot.top.pin:
            words.append(_pin(slot.top.pin, at, y, box=box, below=False, bolt=not slot.top.lead))
        if slot.top is not None and not slot.top.lead:
            words.append(Text(at + 16, y - 13, slot.top.onto.replace("-", " "), SMALL, kind="mut"))
        stub = slot.bottom
        if stub is None:
            continue
        if stub.pin:
            words.append(_pin(stub.pin, at, bottom, box=box, below=True, bolt=not stub.lead))
        if not stub.lead:
            words.append(Text(at + 16, bottom + 21, stub.onto.replace('-', ' '), SMALL, kind="mut"))
            continue
        words += _lead_words(look, stub.lead, at + LABEL_X, bottom)
        if volts := look.volts.get((stub.lead, cell.item.id)):
            words.append(Text(at - 13, bottom + (16 if box or not stub.pin else 28), volts, SMALL, "end", "v", bold=True, slot=f"volts {stub.lead} {stub.terminal}"))
    return words


def _pin(pin: str, x: float, y: float, *, box: bool, below: bool, bolt: bool) -> Text:
    if box:
        return Text(x, y - 8 if below else y + 16, pin, SMALL, "middle", bold=True)
    return Text(x - (16 if bolt else 13), y + 15 if below else y - 8, pin, SMALL, "end", bold=True)


def _lead_words(look: Look, lead: str, x: float, y: float) -> list[Text]:
    lead_id, colour, amps = look.labels[lead]
    first = Text(x, y + 16, lead_id, ID_SIZE, kind="id", bold=True)
    words = [first]
    if amps:
        words.append(Text(x + first.width + 6, y + 16, amps, SMALL, kind="v", bold=True, slot=f"amps {lead}"))
    if colour:
        words.append(Text(x, y + 29, colour, SMALL, kind="mut"))
    return words


def _name_words(cell: Cell, look: Look, x: float, y: float) -> list[Text]:
    name, value = look.names.get(cell.item.id, ("", ""))
    if not name:
        return []
    anchor = "middle" if cell.item.kind in BOXES else "start"
    at = x + cell.name_x + (10 if cell.item.kind in BOXES else 0)
    middle = y + cell.body / 2.0
    if not value:
        return [Text(at, middle + 4, name, ID_SIZE, anchor, "id", bold=True)]
    return [
        Text(at, middle - 2, name, ID_SIZE, anchor, "id", bold=True),
        Text(at, middle + 11, value, SMALL, anchor, "mut", slot=f"value {cell.item.part}"),
    ]


