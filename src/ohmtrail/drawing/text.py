"""Text in pictures: measured with the advance widths of the font that is embedded beside it."""

from __future__ import annotations

import base64
import functools
import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from types import MappingProxyType

__all__ = ["Text", "font_css", "measured", "without_fonts", "wrapped"]

#: height of a line over its size: ascender and descender of DejaVu Sans (hhea 0.928 and 0.236)
ASCENT, DESCENT = 0.93, 0.24
_FONTS = {"regular": 400, "bold": 700}


@dataclass(frozen=True)
class Text:
    """One line of text in a picture.

    Attributes
    ----------
    x, y : float
        Anchor on the baseline, px.
    words : str
        What it says.
    size : float
        Font size, px.
    anchor : str
        ``start``, ``middle`` or ``end``.
    kind : str
        Class names, such as ``id`` or ``small``.
    bold : bool
        Whether it is set in bold.
    slot : str
        What stands here, for a page that writes it anew: ``amps LEAD``, ``volts LEAD TERMINAL``,
        ``both LEAD TERMINAL``, ``value PART``.
    """

    x: float
    y: float
    words: str
    size: float = 11.0
    anchor: str = "start"
    kind: str = ""
    bold: bool = False
    slot: str = ""

    @property
    def width(self) -> float:
        """Width in px."""
        return measured(self.words, self.size, bold=self.bold)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom in px."""
        shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * self.width
        left = self.x - shift
        return left, self.y - ASCENT * self.size, left + self.width, self.y + DESCENT * self.size


@functools.cache
def _advances(style: str) -> Mapping[str, float]:
    """Character -> advance in em."""
    text = resources.files("ohmtrail.drawing").joinpath("data", "widths.json").read_text(encoding="utf-8")
    table = json.loads(text)
    em = float(table["units_per_em"])
    return MappingProxyType({letter: int(advance) / em for advance, letters in table[style].items() for letter in letters})


@functools.lru_cache(maxsize=20_000)
def measured(words: str, size: float, *, bold: bool = False) -> float:
    """Give the width of a line of text.

    Parameters
    ----------
    words : str
        One line.
    size : float
        Font size, px.
    bold : bool
        Whether it is set in bold.

    Returns
    -------
    float
        Width in px; a character the font lacks counts as one em.

    Examples
    --------
    >>> round(measured("stop-1", 12.0, bold=True), 1)
    43.0
    """
    table = _advances("bold" if bold else "regular")
    return sum(table.get(letter, 1.0) for letter in words) * size


def wrapped(words: str, size: float, width: float, *, bold: bool = False) -> tuple[str, ...]:
    """Break a text into lines.

    Parameters
    ----------
    words : str
        The text.
    size : float
        Font size, px.
    width : float
        Room, px; a single longer word keeps its own line.
    bold : bool
        Whether it is set in bold.

    Returns
    -------
    tuple of str
        Lines; none for an empty text.
    """
    lines: list[str] = []
    for word in words.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and measured(joined, size, bold=bold) <= width:
            lines[-1] = joined
        else:
            lines.append(word)
    return tuple(lines)


@functools.cache
def font_css() -> str:
    """Give the style rules that carry both fonts inside the picture.

    Returns
    -------
    str
        Two ``@font-face`` rules, about 31 kB.
    """
    rules = []
    for style, weight in _FONTS.items():
        data = resources.files("ohmtrail.drawing").joinpath("data", f"dejavu-{style}.woff2").read_bytes()
        body = base64.b64encode(data).decode("ascii")
        rules.append(
            f"@font-face{{font-family:'Ohmtrail Sans';font-weight:{weight};src:url(data:font/woff2;base64,{body}) format('woff2')}}"
        )
    return "".join(rules)


def without_fonts(svg: str) -> str:
    """Give a picture without its fonts, for a page that carries them once.

    Parameters
    ----------
    svg : str
        A picture of this package.

    Returns
    -------
    str
        The same elements and styles.
    """
    return svg.replace(font_css(), "").strip()
