"""The legend: what occurs in a picture, and nothing else."""

from __future__ import annotations

from collections.abc import Iterable

from ohmtrail.drawing.highlights import Highlights
from ohmtrail.drawing.states import DEAD, FLOATING, LIVE
from ohmtrail.drawing.svg import group, num, path, rect, text_element
from ohmtrail.drawing.text import Text, measured

__all__ = ["Entry", "entries_of", "lay_legend"]

Entry = tuple[str, str]
_STEP, _SAMPLE, _SIZE = 22.0, 36.0, 11.0
_LEADS = {
    LIVE: "live: volts against frame",
    DEAD: "dead: at the frame's potential",
    FLOATING: "floating: joined to nothing",
}


def entries_of(kinds: Iterable[str], lights: Highlights, *, volts: bool) -> list[Entry]:
    """Give sample and words for everything that occurs.

    Parameters
    ----------
    kinds : iterable of str
        States of the leads in the picture.
    lights : Highlights
        Marks in the picture.
    volts : bool
        Whether volts stand in it.

    Returns
    -------
    list of (sample, words)
        In a fixed order.
    """
    seen = set(kinds)
    found = [(kind, words) for kind, words in _LEADS.items() if kind in seen]
    found += [("v", "volts and amps of the sound machine")] if volts and LIVE in seen else []
    found += [("halo", "suspect, with its share: the darker, the likelier")] if lights.suspects else []
    probe = "red probe" if all(item.red != "frame" for item in lights.readings) else "probe that is not on the frame"
    found += [("flag", f"reading, at its {probe}")] if lights.readings else []
    found += [("probe", "next reading: red and black probe")] if lights.next and lights.next.red else []
    found += [("tick", "no longer suspected")] if lights.ruled_out else []
    found += [("mend", "mended or changed")] if any(mend.head == "mended" for mend in lights.mends) else []
    return found


def lay_legend(entries: Iterable[Entry], *, x: float, y: float, width: float) -> tuple[str, float]:
    """Lay entries in lines.

    Parameters
    ----------
    entries : iterable of (sample, words)
        What occurs.
    x, y : float
        Top left corner, px.
    width : float
        Room, px.

    Returns
    -------
    tuple of str and float
        SVG, and the ordinate below it.
    """
    out, left, top = "", x, y
    for sample, words in entries:
        wide = _SAMPLE + 8 + measured(words, _SIZE) + 22
        if left > x and left + wide > x + width:
            left, top = x, top + _STEP
        out += _sample(sample, left, top + _STEP / 2) + text_element(Text(left + _SAMPLE + 8, top + _STEP / 2 + 4, words, _SIZE, kind="mut"))
        left += wide
    return (group([out], title="legend", class_="legend", data_id="legend") if out else ""), (top + _STEP if out else y)


def _sample(kind: str, x: float, y: float) -> str:
    data = f"M{num(x)} {num(y)}H{num(x + _SAMPLE)}"
    if kind in _LEADS:
        return f'<g class="sample {kind}">{path(data, kind="c")}{path(data, kind="l", stroke="#8c9099")}</g>'
    if kind == "halo":
        return rect(x, y - 8, _SAMPLE, 16, r=3, kind="haze")
    if kind == "flag":
        return rect(x + 1, y - 9, _SAMPLE - 2, 18, r=9, kind="flag") + f'<circle cx="{num(x + 11)}" cy="{num(y)}" r="6.5" class="f"/>'
    if kind == "probe":
        return rect(x, y - 7, 16, 14, r=3, kind="grip red") + rect(x + 19, y - 7, 16, 14, r=3, kind="grip black")
    if kind == "tick":
        return f'<circle cx="{num(x + 18)}" cy="{num(y)}" r="8" class="tick"/>' + path(f"M{num(x + 14)} {num(y)}l3 3.500l5 -6.500", kind="tickmark")
    if kind in ("fresh", "gone", "other"):
        return f'<g class="sample live {kind}">{path(data, kind="c")}{path(data, kind="l", stroke="#8c9099")}</g>'
    if kind == "mend":
        return rect(x + 1, y - 9, _SAMPLE - 2, 18, r=9, kind="mended")
    return text_element(Text(x, y + 4, "12 V", 10.5, kind="v", bold=True))
