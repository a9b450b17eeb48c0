"""Symbols after IEC 60617 or the trade's habit, each drawn downwards from (0, 0) within its declared box."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from ohmtrail.drawing.svg import num, path, rect

__all__ = ["GLYPHS", "Glyph", "glyph", "humps"]


@dataclass(frozen=True)
class Glyph:
    """A symbol between two ends.

    Attributes
    ----------
    height : float
        Distance of its ends, px.
    left, right : float
        What it takes beside its axis, strokes included, px.
    body : str
        SVG, from (0, 0) down to (0, height).
    """

    height: float
    left: float
    right: float
    body: str


def _s(data: str) -> str:
    return path(data, kind="s")


def _circle(x: float, y: float, r: float, kind: str = "w") -> str:
    return f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}" class="{kind}"/>'


def humps(count: int, *, y: float, step: float = 7.0) -> str:
    """Give path data of a winding of half circles to the right, downwards from (0, y).

    Parameters
    ----------
    count : int
        How many half circles.
    y : float
        Where they begin, px.
    step : float
        Height of one, px.

    Returns
    -------
    str
        The ``d`` of a path.
    """
    r = num(step / 2)
    return f"M0 {num(y)}" + f"a{r} {r} 0 0 1 0 {num(step)}" * count


def _fuse() -> Glyph:
    return Glyph(36, 7, 7, rect(-6, 6, 12, 24, kind="w") + _s("M0 0V36"))


def _fuse_out() -> Glyph:
    return Glyph(36, 7, 7, path("M-6 6H6V30H-6Z", kind="s gap") + _s("M0 0V6M0 30V36"))


def _contact_closed() -> Glyph:
    # as wide as the open one, so that closing a switch moves nothing
    return Glyph(36, 5, 13, _s("M0 0V36") + _circle(0, 8, 2.6, "f") + _circle(0, 28, 2.6, "f"))


def _contact_open() -> Glyph:
    return Glyph(36, 5, 13, _s("M0 0V6M0 28V36") + path("M0 28L11 8", kind="s k") + _circle(0, 8, 2.4) + _circle(0, 28, 2.6, "f"))


def _points(closed: bool) -> Glyph:
    base = _contact_closed() if closed else _contact_open()
    cam = path("M-6 18a5 5 0 1 1 -5 -5l5 1z", kind="s") if closed else path("M-7 14l-1 5a5 5 0 1 1 -4 -5z", kind="s")
    return Glyph(36, 18, base.right, base.body + cam)


def _lamp() -> Glyph:
    d = 11 * math.sqrt(0.5)
    cross = f"M{num(-d)} {num(18 - d)}L{num(d)} {num(18 + d)}M{num(d)} {num(18 - d)}L{num(-d)} {num(18 + d)}"
    return Glyph(36, 12, 12, _s("M0 0V7M0 29V36") + _circle(0, 18, 11) + _s(cross))


def _lamp_out() -> Glyph:
    return Glyph(36, 12, 12, _s("M0 0V7M0 29V36") + '<circle cx="0" cy="18" r="11" class="s gap"/>')


def _horn() -> Glyph:
    return Glyph(36, 8, 14, _s("M0 0V10M0 26V36") + rect(-7, 10, 11, 16, kind="w") + path("M4 13L13 5V31L4 23Z", kind="w"))


def _motor() -> Glyph:
    return Glyph(36, 13, 13, _s("M0 0V6M0 30V36") + _circle(0, 18, 12) + path("M-5 23V13L0 20L5 13V23", kind="s"))


def _resistor() -> Glyph:
    return Glyph(36, 7, 7, _s("M0 0V5M0 31V36") + rect(-6, 5, 12, 26, kind="w"))


def _diode() -> Glyph:
    return Glyph(34, 10, 10, _s("M0 0V34M-9 23H9") + path("M-9 10H9L0 23Z", kind="w"))


def _capacitor() -> Glyph:
    return Glyph(30, 12, 12, _s("M0 0V12M0 18V30") + path("M-11 12H11M-11 18H11", kind="s k"))


def _plug() -> Glyph:
    return Glyph(36, 8, 8, _s("M0 0V13M0 23V36M-7 23H7") + path("M-6 7L0 14L6 7", kind="s"))


def _battery() -> Glyph:
    return Glyph(40, 14, 14, _s("M0 0V12M0 28V40M-13 12H13M-13 23H13") + path("M-7 17H7M-7 28H7", kind="s k") + _s("M8 4.5H13M10.5 2V7"))


def _winding() -> Glyph:
    return Glyph(40, 11, 8, _s("M0 0V6M0 34V40") + _s(humps(4, y=6)) + path("M-10 22c1.5 -4 3 -4 4 0s2.500 4 4 0", kind="s"))


def _primary() -> Glyph:
    return Glyph(40, 3, 12, _s("M0 0V6M0 34V40") + _s(humps(4, y=6)) + path("M8 6V34M11 6V34", kind="s"))


def _secondary() -> Glyph:
    return Glyph(40, 3, 6, _s("M0 0V4M0 36V40") + _s(humps(8, y=4, step=4)))


def _relay_coil() -> Glyph:
    return Glyph(36, 14, 14, _s("M0 0V11M0 25V36") + rect(-13, 11, 26, 14, kind="w") + _s("M-5 25L5 11"))


def _flasher() -> Glyph:
    return Glyph(40, 15, 15, _s("M0 0V6M0 34V40") + rect(-14, 6, 28, 28, kind="w") + _s("M-9 25H-4V15H1V25H6V15H10"))


def _regulator() -> Glyph:
    return Glyph(
        40, 15, 15, _s("M0 0V6M0 34V40") + rect(-14, 6, 28, 28, kind="w") + _s("M0 6V34") + path("M-7 25H7L0 14Z", kind="w") + _s("M-9 17L-7 14H7L9 11")
    )


def _connector() -> Glyph:
    return Glyph(26, 9, 9, _s("M0 0V6M0 21V26M-8 13.500a8 7.500 0 0 1 16 0") + rect(-2.5, 10, 5, 11, kind="f"))


def _parted() -> Glyph:
    return Glyph(26, 9, 9, _s("M0 0V3M0 23V26M-8 10.500a8 7.500 0 0 1 16 0") + rect(-2.5, 16, 5, 7, kind="f"))


def _earth() -> Glyph:
    return Glyph(18, 13, 13, _s("M0 0V6") + path("M-12 6H12M-8 11H8M-4 16H4", kind="s k"))


def _metal() -> Glyph:
    return Glyph(18, 13, 13, _s("M0 0V7") + path("M-11 7H11", kind="s k") + _s("M-9 7L-13 15M0 7L-4 15M9 7L5 15"))


GLYPHS: dict[str, Callable[[], Glyph]] = {
    "battery": _battery,
    "capacitor": _capacitor,
    "closed": _contact_closed,
    "connector": _connector,
    "diode": _diode,
    "earth": _earth,
    "flasher": _flasher,
    "frame": _metal,
    "fuse": _fuse,
    "fuse-out": _fuse_out,
    "horn": _horn,
    "lamp": _lamp,
    "lamp-out": _lamp_out,
    "metal": _metal,
    "motor": _motor,
    "open": _contact_open,
    "parted": _parted,
    "points-closed": lambda: _points(True),
    "points-open": lambda: _points(False),
    "primary": _primary,
    "regulator": _regulator,
    "relay-coil": _relay_coil,
    "resistor": _resistor,
    "secondary": _secondary,
    "spark-plug": _plug,
    "winding": _winding,
}


def glyph(name: str) -> Glyph:
    """Give a symbol by name.

    Parameters
    ----------
    name : str
        One of `GLYPHS`.

    Returns
    -------
    Glyph
        The symbol.
    """
    return GLYPHS[name]()
