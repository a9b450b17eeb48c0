"""A picture in a page of its own: pan, zoom, and dimming of the rest on tap; nothing from the network."""

from __future__ import annotations

import base64
import functools
import hashlib
import re
from html import escape
from importlib import resources

from ohmtrail.drawing.marks import MARK_CSS
from ohmtrail.drawing.style import CSS
from ohmtrail.drawing.text import font_css, without_fonts

__all__ = ["as_page", "picture_css", "without_style"]

_STYLE = re.compile(r"<style>.*?</style>", re.DOTALL)


@functools.cache
def _data(name: str) -> str:
    return resources.files("ohmtrail.drawing").joinpath("data", name).read_text(encoding="utf-8")


def as_page(svg: str, *, title: str, narrow: str = "") -> str:
    """Put a picture into an HTML page.

    Parameters
    ----------
    svg : str
        A picture of this package.
    title : str
        Title of the page.
    narrow : str
        The picture that stands in its place on a phone, such as a ladder; the same one where not given.

    Returns
    -------
    str
        One HTML file. Drag, wheel and two fingers move and scale the picture; a tap, or Enter, on a lead
        or part keeps its net and dims the rest; its title stands in the line below. No other file is
        needed, and its content policy lets none be fetched.
    """
    script, style = _data("page.js"), _data("page.css")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    policy = f"default-src 'none'; script-src 'sha256-{digest}'; style-src 'unsafe-inline'; font-src data:; img-src data:"
    held = f'<div class="wide">{svg}</div><div class="narrow">{without_fonts(narrow)}</div>' if narrow else f"<div>{svg}</div>"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        f'<meta name="viewport" content="width=device-width,initial-scale=1"><title>{escape(title)}</title><style>{style}</style></head>'
        f'<body><main id="view">{held}</main><footer><output id="said">Tap a lead or a part.</output>'
        '<button id="fit" type="button">Fit</button><button id="in" type="button">+</button><button id="out" type="button">−</button></footer>'
        f"<script>{script}</script></body></html>\n"
    )


def picture_css() -> str:
    """Give the style rules of paths and ladders, for a page that keeps them in a file of their own.

    Returns
    -------
    str
        Rules, fonts included.
    """
    return font_css() + CSS + MARK_CSS


def without_style(svg: str) -> str:
    """Give a picture without its style rules, for a page that has `picture_css`.

    Parameters
    ----------
    svg : str
        A picture of this package.

    Returns
    -------
    str
        The same element.
    """
    return _STYLE.sub("", svg, count=1)
