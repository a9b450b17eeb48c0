"""The room one symbol takes: its slots, stubs, words, and where each of them stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import zip_longest

from ohmtrail.drawing.elements import BOXES, NODES, Element
from ohmtrail.drawing.glyphs import glyph
from ohmtrail.drawing.items import Item, Stub
from ohmtrail.drawing.text import measured

__all__ = ["ENTRY", "EXIT", "LABEL_X", "Cell", "Look", "Slot", "lay_cell", "used"]

#: height above a symbol that holds the pin of an incoming lead, and below it that holds a lead's label
ENTRY, EXIT = 22.0, 38.0
#: the same above a symbol that is bolted to metal on top
BOLT_ENTRY = 34.0
#: distance of a label from the middle of its lead: a 22 px halo fits between (drawing trial)
LABEL_X = 13.0
ID_SIZE, SMALL = 11.5, 10.5
_BUS = 7.0
_BOX_HEIGHT = 66.0


@dataclass(frozen=True)
class Look:
    """The words that decide how much room a cell takes.

    Attributes
    ----------
    names : mapping of str to (str, str)
        Item id -> name, value.
    labels : mapping of str to (str, str, str)
        Lead -> id, colour and size, amps.
    volts : mapping of (str, str) to str
        Lead and the symbol it leaves downwards -> volts there.
    """

    names: Mapping[str, tuple[str, str]]
    labels: Mapping[str, tuple[str, str, str]]
    volts: Mapping[tuple[str, str], str] = field(default_factory=dict)


@dataclass(frozen=True)
class Slot:
    """One upright line through a symbol.

    Attributes
    ----------
    x : float
        From the cell's origin, px.
    top, bottom : Stub or None
        What leaves there.
    element : int
        Index of the element drawn on it; -1 for none.
    """

    x: float = 0.0
    top: Stub | None = None
    bottom: Stub | None = None
    element: int = -1


@dataclass(frozen=True)
class Cell:
    """A symbol with its room; the origin is the first slot at the top of the body.

    Attributes
    ----------
    item : Item
        What it shows.
    elements : tuple of Element
        Inside it.
    slots : tuple of Slot
        Left to right.
    left, right : float
        What it takes to the left and right of the origin, px.
    body : float
        Height of the symbol, px.
    above, below : float
        Room for incoming stubs and for outgoing labels, px.
    name_x : float
        Where the name begins; for a box its middle.
    frame : tuple of float
        Left and right of the symbol itself.
    """

    item: Item
    elements: tuple[Element, ...]
    slots: tuple[Slot, ...]
    left: float
    right: float
    body: float
    above: float
    below: float
    name_x: float
    frame: tuple[float, float]

    def stub_x(self, lead: str, *, top: bool) -> float:
        """Abscissa of a lead's stub, from the origin."""
        for slot in self.slots:
            stub = slot.top if top else slot.bottom
            if stub is not None and stub.lead == lead:
                return slot.x
        raise KeyError(lead)


def lay_cell(item: Item, elements: tuple[Element, ...], look: Look) -> Cell:
    """Give a symbol its room.

    Parameters
    ----------
    item : Item
        With its stubs in order.
    elements : tuple of Element
        Inside it.
    look : Look
        Words.

    Returns
    -------
    Cell
        All numbers whole pixels.
    """
    elements = used(item, elements)
    item = _bolted(item, elements)
    slots = _paired(item) if item.kind in BOXES or item.kind in NODES else _slots(item, elements)
    slots = slots or (Slot(),)
    placed, left, edge = _spaced(item, elements, slots, look)
    name, value = look.names.get(item.id, ("", ""))
    words = max(measured(name, ID_SIZE, bold=True), measured(value, SMALL))
    body = _body(item, elements, placed)
    last = placed[-1].x
    if item.kind in BOXES:
        frame = (-24.0, max(last + 24.0, words + 56.0 - 24.0))
        name_x = (frame[0] + frame[1]) / 2.0
        left, right = max(left, 26.0), max(edge, frame[1] + 4.0)
    else:
        reach = _reach(item, elements, placed)
        frame = reach
        name_x = reach[1] + 7.0
        left, right = max(left, -reach[0] + 2.0), max(edge, name_x + words + 6.0 if words else reach[1] + 4.0)
    tops, bottoms = any(slot.top for slot in placed), any(slot.bottom for slot in placed)
    above = BOLT_ENTRY if any(slot.top and not slot.top.lead for slot in placed) else ENTRY if tops else 6.0
    return Cell(
        item, elements, placed, float(round(left + 1)), float(round(right + 2)), body, above, EXIT if bottoms else 6.0, round(name_x), frame
    )


def used(item: Item, elements: tuple[Element, ...]) -> tuple[Element, ...]:
    """Elements whose ends are both drawn; all of them where none is.

    Parameters
    ----------
    item : Item
        What is drawn.
    elements : tuple of Element
        Elements of its part.

    Returns
    -------
    tuple of Element
        In their order.
    """
    pins = {stub.pin for stub in (*item.tops, *item.bottoms)}
    both = tuple(element for element in elements if element.a in pins and element.b in pins)
    leads = {stub.pin for stub in (*item.tops, *item.bottoms) if stub.lead}
    return both or tuple(element for element in elements if leads & {element.a, element.b})[:1] or elements[:1]


def _bolted(item: Item, elements: tuple[Element, ...]) -> Item:
    """Leave out bolts that no drawn element ends at."""
    if not elements:
        return item
    pins = {pin for element in elements for pin in (element.a, element.b)}
    bottoms = tuple(stub for stub in item.bottoms if stub.lead or stub.pin in pins)
    bolts = tuple(stub for stub in bottoms if not stub.lead)
    if not item.tops and len(elements) == len(bolts) == 1 and len(bottoms) == 2:
        # a source with its return bolted down: upright it takes half the width
        return replace(item, tops=bolts, bottoms=tuple(stub for stub in bottoms if stub.lead))
    return replace(item, bottoms=bottoms)


def _paired(item: Item) -> tuple[Slot, ...]:
    return tuple(Slot(top=top, bottom=bottom) for top, bottom in zip_longest(item.tops, item.bottoms))


def sides(item: Item, elements: tuple[Element, ...]) -> dict[str, str]:
    """Say on which side each pin has its place."""
    top, bottom = {stub.pin for stub in item.tops}, {stub.pin for stub in item.bottoms}
    upper = {element.a for element in elements}
    both = {pin: "top" if pin in upper else "bottom" for pin in top & bottom}
    return {**dict.fromkeys(sorted(top), "top"), **dict.fromkeys(sorted(bottom), "bottom"), **both}


def _lying_slots(item: Item, elements: tuple[Element, ...]) -> tuple[Slot, ...]:
    """Slots of a lone element whose two stubs leave on the same side, in the order of the stubs."""
    stubs = (*item.tops, *item.bottoms)
    one_side = not (item.tops and item.bottoms)
    if len(elements) != 1 or not one_side or sorted(stub.pin for stub in stubs) != sorted((elements[0].a, elements[0].b)):
        return ()
    numbers = (0, -1)
    if item.tops:
        return tuple(Slot(top=stub, element=number) for stub, number in zip(stubs, numbers, strict=True))
    return tuple(Slot(bottom=stub, element=number) for stub, number in zip(stubs, numbers, strict=True))


def _slots(item: Item, elements: tuple[Element, ...]) -> tuple[Slot, ...]:
    """Slots of a part with elements: theirs first, further stubs beside them, ways round at the right."""
    side = sides(item, elements)
    if lying := _lying_slots(item, elements):
        return lying
    tops: dict[str, list[Stub]] = {}
    bottoms: dict[str, list[Stub]] = {}
    around: list[Slot] = []
    for stubs, mine, where in ((item.tops, tops, "top"), (item.bottoms, bottoms, "bottom")):
        for stub in stubs:
            if side[stub.pin] == where:
                mine.setdefault(stub.pin, []).append(stub)
            else:
                around.append(Slot(top=stub) if where == "top" else Slot(bottom=stub))
    found: list[Slot] = []
    for index, element in enumerate(elements):
        high, low = (element.b, element.a) if flipped(element, side) else (element.a, element.b)
        top, bottom = tops.pop(high, []), bottoms.pop(low, [])
        for number, (one, two) in enumerate(zip_longest(top, bottom) if top or bottom else [(None, None)]):
            found.append(Slot(top=one, bottom=two, element=index if number == 0 else -1))
    found += [Slot(top=stub) for stubs in tops.values() for stub in stubs]
    found += [Slot(bottom=stub) for stubs in bottoms.values() for stub in stubs]
    return (*found, *around)


def flipped(element: Element, side: Mapping[str, str]) -> bool:
    """Whether an element stands on its head: its ``a`` end below, its ``b`` end on top."""
    return side.get(element.a) == "bottom" and side.get(element.b, "top") == "top"


def level(elements: tuple[Element, ...], slots: tuple[Slot, ...]) -> bool:
    """Whether a lone element lies between two stubs on the same side."""
    if len(elements) != 1 or len(slots) != 2:
        return False
    pins = {elements[0].a, elements[0].b}
    for row in ([slot.top for slot in slots], [slot.bottom for slot in slots]):
        if all(stub is not None for stub in row) and {stub.pin for stub in row if stub} == pins:
            return all(slot.top is None for slot in slots) or all(slot.bottom is None for slot in slots)
    return False


def _body(item: Item, elements: tuple[Element, ...], slots: tuple[Slot, ...]) -> float:
    if item.kind in BOXES:
        return _BOX_HEIGHT
    if item.kind == "splice":
        return 12.0
    if item.kind in NODES:
        return 18.0
    if level(elements, slots):
        drawn = glyph(elements[0].glyph)
        return float(round(max(drawn.left, drawn.right) * 2 + 14))
    tall = max((glyph(element.glyph).height for element in elements), default=20.0)
    return tall + (4 * _BUS if len(slots) > 1 else 0.0)


def _reach(item: Item, elements: tuple[Element, ...], slots: tuple[Slot, ...]) -> tuple[float, float]:
    """How far the symbol itself reaches left and right of the origin."""
    first, last = slots[0].x, slots[-1].x
    if item.kind in NODES:
        half = 5.0 if item.kind == "splice" else 14.0
        return first - half, last + half
    if level(elements, slots):
        return first - 5.0, last + 5.0
    left, right = 5.0, last + 5.0
    for slot in slots:
        if slot.element >= 0:
            drawn = glyph(elements[slot.element].glyph)
            turned = max(drawn.left, drawn.right)
            left = max(left, max(turned, 20.0 if len(slots) > 1 else 0.0) - slot.x)
            right = max(right, slot.x + turned)
    pad = 4.0 if len(slots) > 1 else 0.0
    return -left - pad, right + pad


def _spaced(item: Item, elements: tuple[Element, ...], slots: tuple[Slot, ...], look: Look) -> tuple[tuple[Slot, ...], float, float]:
    """Abscissas of the slots, room left of the first, right edge of the last label."""
    edges = [-1e9, -1e9, -1e9]
    placed: list[Slot] = []
    first_left = 0.0
    x = 0.0
    lying = level(elements, slots)
    for slot in slots:
        rooms = (_top_room(item, slot), _body_room(elements, slot, len(slots)), _bottom_room(item, slot, look))
        left = max(room[0] for room in rooms if room)
        if not placed:
            first_left = left
        else:
            least = placed[-1].x + (64.0 if lying else 24.0)
            x = max([least, *(edge + room[0] for edge, room in zip(edges, rooms, strict=True) if room)])
        x = float(round(x + 0.49))
        placed.append(replace(slot, x=x))
        edges = [max(edge, x + room[1]) if room else edge for edge, room in zip(edges, rooms, strict=True)]
    return tuple(placed), first_left, max(edges)


Room = tuple[float, float] | None


def _top_room(item: Item, slot: Slot) -> Room:
    if slot.top is None:
        return None
    width = measured(slot.top.pin, SMALL, bold=True)
    if not slot.top.lead:
        return width + 20, 20.0 + measured(slot.top.onto, SMALL)
    return (width / 2 + 4, width / 2 + 4) if item.kind in BOXES else (width + 16 if width else 12, 10)


def _body_room(elements: tuple[Element, ...], slot: Slot, count: int) -> Room:
    if slot.element < 0:
        return (7.0, 7.0)
    drawn = glyph(elements[slot.element].glyph)
    wide = max(drawn.left, drawn.right)
    return (max(wide, 20.0) + 4, wide + 4) if count > 1 else (wide + 2, wide + 2)


def _bottom_room(item: Item, slot: Slot, look: Look) -> Room:
    stub = slot.bottom
    if stub is None:
        return None
    pin = 0.0 if item.kind in BOXES else measured(stub.pin, SMALL, bold=True)
    left = max(pin, measured(look.volts.get((stub.lead, item.id), ""), SMALL, bold=True))
    left = left + (17 if stub.lead else 20) if left else (10.0 if stub.lead else 15.0)
    if item.kind in BOXES:
        left = max(left, measured(stub.pin, SMALL, bold=True) / 2 + 4)
    if not stub.lead:
        return left, 20.0 + measured(stub.onto, SMALL)
    lead_id, colour, amps = look.labels[stub.lead]
    first = measured(lead_id, ID_SIZE, bold=True) + (6 + measured(amps, SMALL, bold=True) if amps else 0.0)
    return left, LABEL_X + max(first, measured(colour, SMALL)) + 6
