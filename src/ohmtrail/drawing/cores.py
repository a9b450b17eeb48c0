"""The middles of symbols, where the leader of a mark is seen to end."""

from __future__ import annotations

from ohmtrail.drawing.canvas import Box
from ohmtrail.drawing.cells import Cell, level
from ohmtrail.drawing.elements import BOXES
from ohmtrail.drawing.glyphs import glyph

__all__ = ["BUS", "cell_cores", "lying_axis"]

#: room of a bar that joins the stubs of one pin, px
BUS = 7.0
#: share of an element's half width and of its height that its middle begins at, and the like for a box, px; own choice
_ACROSS, _DOWN, _INSET = 0.4, 0.3, 8.0


def cell_cores(cell: Cell, x: float, y: float) -> tuple[Box, ...]:
    """Give the middles of what is drawn in a symbol whose origin stands at (x, y), where a mark's leader may end.

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
    tuple of (left, top, right, bottom)
        Px, one for each element.
    """
    left, right = cell.frame
    if level(cell.elements, cell.slots):
        middle, axis = (cell.slots[0].x + cell.slots[1].x) / 2.0, lying_axis(cell)
        return ((x + middle - 4.0, y + axis - 4.0, x + middle + 4.0, y + axis + 4.0),)
    standing = [slot for slot in cell.slots if slot.element >= 0]
    if cell.item.kind in BOXES or not standing:
        inset = min(_INSET, cell.body / 3.0, (right - left) / 3.0)
        return ((x + left + inset, y + inset, x + right - inset, y + cell.body - inset),)
    found = []
    for slot in standing:
        drawn = glyph(cell.elements[slot.element].glyph)
        top, half = y + (2 * BUS if len(cell.slots) > 1 else 0.0), _ACROSS * min(drawn.left, drawn.right)
        found.append((x + slot.x - half, top + _DOWN * drawn.height, x + slot.x + half, top + (1.0 - _DOWN) * drawn.height))
    return tuple(found)


def lying_axis(cell: Cell) -> float:
    """Give the ordinate of an element that lies between two stubs, from the top of its symbol, px.

    Parameters
    ----------
    cell : Cell
        A symbol whose one element lies between two stubs on the same side.

    Returns
    -------
    float
        Px.
    """
    drawn = glyph(cell.elements[0].glyph)
    wide = max(drawn.left, drawn.right) + 2.0
    return cell.body - wide if cell.slots[0].top is not None else wide
