"""Places of a picture that a finger can choose: every terminal, and the frame."""

from __future__ import annotations

from html import escape

from ohmtrail.drawing.anchors import Anchors
from ohmtrail.drawing.svg import group, num
from ohmtrail.harness.model import FRAME, Harness

__all__ = ["touch_layer"]

#: half of the least target for touch, px: 44 px (WCAG 2.2, success criterion 2.5.5)
REACH_PX = 22.0


def touch_layer(harness: Harness, anchors: Anchors) -> str:
    """Give an invisible disc over every terminal of a picture.

    Parameters
    ----------
    harness : Harness
        The machine.
    anchors : Anchors
        Where things stand.

    Returns
    -------
    str
        A group; each disc names its probe point in ``data-point`` and can be reached by keyboard.
    """
    found = [(name, at) for name, at in anchors.points.items() if name in harness.terminals]
    found += [(FRAME, at) for at in anchors.frames]
    order = sorted(found, key=lambda item: (round(item[1][1]), item[1][0], item[0]))
    return group((_disc(name, x, y) for name, (x, y) in order), class_="points")


def _disc(name: str, x: float, y: float) -> str:
    name = escape(name)
    place = f'cx="{num(x)}" cy="{num(y)}" r="{num(REACH_PX)}"'
    return f'<circle class="point" data-point="{name}" {place} tabindex="0" role="button" aria-label="{name}"><title>{name}</title></circle>'
