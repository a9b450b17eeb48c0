"""Colours and line styles: contrast at least 4.5:1 for text, and never a meaning by hue alone."""

from __future__ import annotations

from ohmtrail.errors import UnknownName
from ohmtrail.harness.markings import parse_colour

__all__ = ["BLUE", "CSS", "INK", "MUTED", "RED", "screen_of"]

INK, MUTED, BLUE, RED, GREEN = "#1b2330", "#4d5866", "#174a8b", "#a3171d", "#1d6a35"
BANDS = ("#f4f5f9", "#e9ecf4")

CSS = (
    "text{font-family:'Ohmtrail Sans','DejaVu Sans',sans-serif;fill:" + INK + "}"
    ".b{font-weight:700}.mut{fill:" + MUTED + "}.v{fill:" + BLUE + "}.red{fill:" + RED + "}.grn{fill:" + GREEN + "}.inv{fill:#fff}"
    ".paper{fill:#fff}.band0{fill:" + BANDS[0] + "}.band1{fill:" + BANDS[1] + "}"
    ".s{fill:none;stroke:" + INK + ";stroke-width:1.7;stroke-linecap:butt;stroke-linejoin:round}.k{stroke-width:2.6}.gap{stroke-dasharray:4 3}"
    ".w{fill:#fff;stroke:" + INK + ";stroke-width:1.7;stroke-linejoin:round}.f{fill:" + INK + ";stroke:none}"
    ".link{fill:none;stroke:" + INK + ";stroke-width:1.2;stroke-dasharray:3 3}"
    ".lead path,.sample path{fill:none;stroke-linejoin:round}"
    ".live .c{stroke-width:8.5}.live .l{stroke-width:5.5}.live .t{stroke-width:2.4}"
    ".dead .c{stroke-width:5}.dead .l{stroke-width:2.6}.dead .t{stroke-width:1.3}"
    ".floating .c{stroke-width:6}.floating .l{stroke-width:3.4}.floating .t{stroke-width:1.6}"
    ".floating .c,.floating .l{stroke-dasharray:9 5}.floating .t{stroke-dasharray:4 10;stroke-dashoffset:-2}"
    ".gone path{stroke-opacity:.45}.gone .c,.gone .l{stroke-dasharray:3 6}.gone .symbol{opacity:.4}"
    ".fresh .c{stroke-width:13;stroke:#1d6a35}.other .c{stroke-width:12;stroke:#174a8b;stroke-dasharray:16 3}"
    ".chip{stroke:" + INK + ";stroke-width:1.2}"
    ".c{stroke:" + INK + "}.t{stroke-dasharray:9 7}"
)


def screen_of(colour: str) -> tuple[str, str | None]:
    """Give the screen values of a lead's base and tracer; grey where the letters are unknown.

    Parameters
    ----------
    colour : str
        Colour letters, such as ``VT/WH``.

    Returns
    -------
    tuple of str and str or None
        ``#rrggbb`` each.
    """
    if not colour:
        return "#b9bfc8", None
    try:
        return parse_colour(colour).screen
    except UnknownName:
        return "#b9bfc8", None
