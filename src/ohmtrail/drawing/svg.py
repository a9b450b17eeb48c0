"""Writing SVG: elements as text, every number short, every text held to its measured width."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

from ohmtrail.drawing.text import Text, font_css

__all__ = ["document", "group", "line", "num", "path", "polyline", "rect", "text_element"]

Point = tuple[float, float]


def num(value: float) -> str:
    """Write a coordinate: at most two places, no trailing zeros, no negative nought.

    Parameters
    ----------
    value : float
        Px.

    Returns
    -------
    str
        As it stands in the file.
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _attributes(items: dict[str, object]) -> str:
    out = []
    for key, value in items.items():
        if value is None or value == "":
            continue
        shown = num(value) if isinstance(value, float | int) else str(value)
        out.append(f" {key.rstrip('_').replace('_', '-')}={quoteattr(shown)}")
    return "".join(out)


def rect(x: float, y: float, width: float, height: float, *, r: float = 0.0, kind: str = "") -> str:
    """Write a rectangle.

    Parameters
    ----------
    x, y, width, height : float
        Where it stands and how large it is, px.
    r : float
        Of its corners, px.
    kind : str
        Its class.

    Returns
    -------
    str
        The element.
    """
    corner = f' rx="{num(r)}"' if r else ""
    return f'<rect x="{num(x)}" y="{num(y)}" width="{num(width)}" height="{num(height)}"{corner}{_attributes({"class": kind})}/>'


def path(data: str, *, kind: str = "", **more: object) -> str:
    """Write a path from its data.

    Parameters
    ----------
    data : str
        As the ``d`` of a path.
    kind : str
        Its class.
    **more : object
        Other attributes.

    Returns
    -------
    str
        The element.
    """
    return f"<path d={quoteattr(data)}{_attributes({'class': kind, **more})}/>"


def line(x1: float, y1: float, x2: float, y2: float, *, kind: str = "") -> str:
    """Write a straight stroke.

    Parameters
    ----------
    x1, y1, x2, y2 : float
        Its ends, px.
    kind : str
        Its class.

    Returns
    -------
    str
        The element.
    """
    return path(f"M{num(x1)} {num(y1)}L{num(x2)} {num(y2)}", kind=kind)


def polyline(points: Sequence[Point]) -> str:
    """Give path data through points.

    Parameters
    ----------
    points : sequence of Point
        (x, y), px.

    Returns
    -------
    str
        The ``d`` of a path.
    """
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)


def text_element(text: Text) -> str:
    """Write a text with its measured width, so that no fallback font can widen it.

    Parameters
    ----------
    text : Text
        Words, place in px and size.

    Returns
    -------
    str
        The element.
    """
    more = {
        "x": text.x,
        "y": text.y,
        "class": " ".join(word for word in (text.kind, "b" if text.bold else "") if word),
        "font-size": text.size,
        "text-anchor": None if text.anchor == "start" else text.anchor,
        "textLength": text.width,
        "lengthAdjust": "spacingAndGlyphs",
        "data-slot": text.slot,
    }
    return f"<text{_attributes(more)}>{escape(text.words)}</text>"


def group(body: Iterable[str], *, title: str = "", **attributes: object) -> str:
    """Write a group with its title.

    Parameters
    ----------
    body : iterable of str
        Elements.
    title : str
        What is said of it; "" for nothing.
    **attributes : object
        Of the group.

    Returns
    -------
    str
        The element.
    """
    head = f"<title>{escape(title)}</title>" if title else ""
    return f"<g{_attributes(attributes)}>{head}{''.join(body)}</g>"


def document(
    body: Iterable[str], *, width: float, height: float, title: str, style: str, description: str = ""
) -> str:
    """Write a whole picture.

    Parameters
    ----------
    body : iterable of str
        Elements.
    width, height : float
        Size in px.
    title : str
        For readers of the picture that cannot see it.
    style : str
        Rules beside those of the font.
    description : str
        For the same readers, at more length.

    Returns
    -------
    str
        A complete SVG file with its fonts inside.
    """
    size = f'width="{num(width)}" height="{num(height)}" viewBox="0 0 {num(width)} {num(height)}"'
    told = f"<desc>{escape(description)}</desc>" if description else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-label={quoteattr(title)}>'
        f"<title>{escape(title)}</title>{told}<style>{font_css()}{style}</style>"
        f'<rect class="paper" width="{num(width)}" height="{num(height)}"/>{"".join(body)}</svg>\n'
    )
