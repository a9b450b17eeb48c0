"""The symbol of a ladder's row: which one, which way up, and which of its poles leads round to the other end."""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from ohmtrail.drawing.elements import BOXES, Element, elements_of, looks_of
from ohmtrail.drawing.glyphs import GLYPHS, Glyph, glyph
from ohmtrail.drawing.items import Item
from ohmtrail.drawing.paths import Scene
from ohmtrail.drawing.svg import group, num, path

__all__ = ["BOX", "far_pole", "row_glyph", "row_looks"]

#: stands for what has too many terminals for one line
BOX = Glyph(36, 13, 13, "")


def row_glyph(scene: Scene, item: Item, look: tuple[Element, ...] | None = None, *, far: str = "") -> Glyph:
    """Give the symbol of a row: one element, or a small box for what has many.

    Parameters
    ----------
    scene : Scene
        What is drawn.
    item : Item
        The symbol's item.
    look : tuple of Element, optional
        Its elements in another state than it is set to.
    far : str
        As `far_pole` gives it.

    Returns
    -------
    Glyph
        The way of the current downwards; `BOX` also where one pole has leads on both sides: what comes in there and
        goes on does not pass through.
    """
    if item.kind == "splice":
        return Glyph(12, 5, 5, '<circle cx="0" cy="6" r="4.500" class="f"/>' + path("M0 0V12", kind="s k"))
    if item.kind in GLYPHS and item.kind in ("earth", "metal", "frame"):
        return glyph(item.kind) if item.tops else _turned(glyph(item.kind))
    if item.kind in BOXES:
        return BOX
    elements = elements_of(scene.harness, scene.setting, item.id, scene.pulled) if look is None else look
    above, below = ({stub.pin for stub in stubs} for stubs in (item.tops, item.bottoms))
    used = [element for element in elements if {element.a, element.b} <= above | below] or list(elements[:1])
    drawn, (one, two) = glyph(used[0].glyph), (used[0].a, used[0].b)
    if len(used) > 1:
        return drawn if used[0].glyph.startswith("lamp") else BOX
    if above & below & {one, two}:
        return BOX
    if far:
        return _turned(drawn) if far == (one if above else two) else drawn
    return _turned(drawn) if two in above and one not in above else drawn


def _turned(drawn: Glyph) -> Glyph:
    """A symbol upside down."""
    return Glyph(drawn.height, drawn.right, drawn.left, f'<g transform="translate(0 {num(drawn.height)}) rotate(180)">{drawn.body}</g>')


def far_pole(scene: Scene, item: Item, own: AbstractSet[str]) -> str:
    """Give the pole whose leads go round to the other end of a symbol that has all its leads on one side.

    Parameters
    ----------
    scene : Scene
        What is drawn.
    item : Item
        The symbol's item.
    own : set of str
        Leads on the symbol's own lane: their pole stays on their side.

    Returns
    -------
    str
        A pin; "" where none goes round.
    """
    stubs = item.bottoms or item.tops
    pins = {stub.pin for stub in stubs}
    plain = item.kind in ("splice", "earth", "metal", "frame")
    if (item.tops and item.bottoms) or len(pins) != 2 or plain or row_glyph(scene, item) is BOX:
        return ""
    near = next((stub.pin for stub in stubs if stub.lead in own), stubs[0].pin)
    return next(stub.pin for stub in stubs if stub.pin != near)


def row_looks(scene: Scene, item: Item, far: str) -> str:
    """Give a row's symbol in each of its states, a group for each.

    Parameters
    ----------
    scene : Scene
        What is drawn.
    item : Item
        The symbol's item.
    far : str
        As `far_pole` gives it.

    Returns
    -------
    str
        Pieces of SVG; empty for what has but one state.
    """
    looks = {name: row_glyph(scene, item, look, far=far).body for name, look in looks_of(scene.harness, item.id).items()}
    return "".join(group([body], class_="look", data_look=name) for name, body in looks.items())
