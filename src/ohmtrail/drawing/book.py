"""The harness as a book of circuits for print: one page per circuit, A4 or Letter."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from itertools import combinations, pairwise

from ohmtrail.circuit import Electrics, Setting, function_setting
from ohmtrail.drawing.choose import Chosen, choose_path
from ohmtrail.drawing.highlights import Highlights
from ohmtrail.drawing.ladder import draw_ladder
from ohmtrail.drawing.paths import finish, nominal_electrics, paint, scene_of
from ohmtrail.drawing.svg import num
from ohmtrail.drawing.text import font_css, without_fonts
from ohmtrail.errors import UnknownName
from ohmtrail.harness import Harness

__all__ = ["PAPERS", "draw_book", "on_paper"]

#: width and height upright, millimetre (ISO 216; ANSI Y14.1)
PAPERS: Mapping[str, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
_MARGIN_MM, _HEAD_MM, _FOOT_MM = 10.0, 10.0, 12.0
_PT_PER_MM = 72.0 / 25.4
#: least size of the 11 px text in print, point; below it the ladder is printed instead (drawing trial)
LEAST_PT = 6.0
_TEXT_PX = 11.0


@dataclass(frozen=True)
class _Page:
    """One page before it is set: a picture, or strips of one."""

    title: str
    parts: frozenset[str]
    body: str
    upright: bool


def draw_book(harness: Harness, *, paper: str = "a4", electrics: Electrics | None = None) -> str:
    """Draw one page per circuit.

    Parameters
    ----------
    harness : Harness
        The machine.
    paper : str
        ``a4`` or ``letter``.
    electrics : Electrics, optional
        Electricity of the same harness, to save working it out again.

    Returns
    -------
    str
        One HTML file to print: each page stands upright or across, whichever makes the text larger; a
        circuit whose text would be smaller than 6 pt is printed as ladder strips. Functions with the same
        leads share a page, leads of no function come last, and each page says what else its parts serve.

    Raises
    ------
    UnknownName
        No such paper.
    MissingTool
        The layout engine is not installed.
    """
    if paper.casefold() not in PAPERS:
        raise UnknownName("paper", paper, PAPERS)
    size = PAPERS[paper.casefold()]
    electrics = electrics or nominal_electrics(harness)
    pages = [_circuit(electrics, names, size) for names in _circuits(electrics).values()]
    rest = _rest(electrics, size)
    pages += [rest] if rest is not None else []
    return _bound(harness, pages, size, paper.casefold())


def _circuits(electrics: Electrics) -> dict[frozenset[str], list[str]]:
    """Leads -> the functions that work through exactly these."""
    found: dict[frozenset[str], list[str]] = {}
    for name in electrics.harness.functions:
        leads = choose_path(electrics, name).leads
        if leads:
            found.setdefault(leads, []).append(name)
    return found


def _circuit(electrics: Electrics, names: Sequence[str], size: tuple[float, float]) -> _Page:
    harness = electrics.harness
    chosen = choose_path(electrics, names[0])
    function = harness.functions[names[0]]
    called = " · ".join(harness.functions[name].called or name.replace("-", " ") for name in names)
    setting = function_setting(harness, function)
    scene = scene_of(electrics, chosen, setting)
    title = called[:1].upper() + called[1:]
    svg = finish(scene, paint(scene), Highlights(), title=function.called or names[0], words=" · ".join(setting.words()))
    upright, scale = _fit(svg, size)
    if scale * _TEXT_PX >= LEAST_PT:
        return _Page(title, chosen.parts, without_fonts(svg), upright)
    return _Page(title, chosen.parts, _strips(draw_ladder(harness, names[0], electrics=electrics), size), False)


def _rest(electrics: Electrics, size: tuple[float, float]) -> _Page | None:
    """Leads that no function needs."""
    harness = electrics.harness
    used = frozenset().union(*(choose_path(electrics, name).leads for name in harness.functions))
    leads = frozenset(harness.leads) - used
    if not leads:
        return None
    ends = {end for lead in leads for end in (harness.leads[lead].from_, harness.leads[lead].to)}
    parts = frozenset(part for part, _ in (harness.terminals[end] for end in ends) if part in harness.parts)
    chosen = Chosen(leads, parts, frozenset(ends))
    scene = scene_of(electrics, chosen, Setting(), live=False)
    svg = finish(scene, paint(scene), Highlights(), title="Leads of no function", words=f"{len(leads)} leads")
    return _Page("Leads of no function", parts, without_fonts(svg), _fit(svg, size)[0])


def on_paper(path: str, ladder: str, *, paper: str = "a4") -> str:
    """Give a path as it can be read on an upright page: itself, or its ladder in strips side by side.

    Parameters
    ----------
    path, ladder : str
        The two pictures of one function.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        Markup for a page that carries the fonts.

    Raises
    ------
    UnknownName
        No such paper.
    """
    if paper.casefold() not in PAPERS:
        raise UnknownName("paper", paper, PAPERS)
    size = PAPERS[paper.casefold()]
    width, height = _extent(path)
    room = _room(size, upright=True)
    if min(room[0] / width, room[1] / height) * _PT_PER_MM * _TEXT_PX >= LEAST_PT:
        return without_fonts(path)
    return _strips(ladder, size, upright=True)


def _extent(svg: str) -> tuple[float, float]:
    found = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert found is not None
    return float(found.group(1)), float(found.group(2))


def _fit(svg: str, size: tuple[float, float]) -> tuple[bool, float]:
    """Whether a picture is larger upright, and the scale it then gets, point per px."""
    width, height = _extent(svg)
    scales = []
    for upright in (True, False):
        w, h = _room(size, upright)
        scales.append((min(w / width, h / height) * _PT_PER_MM, upright))
    scale, upright = max(scales, key=lambda pair: (pair[0], pair[1]))
    return upright, min(scale, 0.9)


def _room(size: tuple[float, float], upright: bool) -> tuple[float, float]:
    w, h = size if upright else size[::-1]
    return w - 2 * _MARGIN_MM, h - 2 * _MARGIN_MM - _HEAD_MM - _FOOT_MM


def _strips(svg: str, size: tuple[float, float], *, upright: bool = False) -> str:
    """A ladder cut between places into strips that stand side by side."""
    width, height = _extent(svg)
    cuts = sorted({float(y) - 2.0 for y in re.findall(r'class="place" data-id="[^"]*"><title>[^<]*</title><rect x="[^"]*" y="([\d.]+)"', svg)})
    w, h = _room(size, upright=upright)
    best: list[float] = [0.0, height]
    for count in (2, 3, 4):
        best = _cut(cuts, height, count)
        tallest = max(b - a for a, b in pairwise(best))
        if min(w / (count * (width + 10)), h / tallest) * _PT_PER_MM >= w / ((count + 1) * (width + 10)) * _PT_PER_MM:
            break
    body = without_fonts(svg)
    inner = body[body.index(">") + 1 : body.rindex("</svg>")]
    key = f"strip-{abs(int(height * 100))}-{len(body)}"
    out = []
    tallest = max(b - a for a, b in pairwise(best))
    for number, (top, bottom) in enumerate(pairwise(best)):
        held = f'<defs><g id="{key}">{inner}</g></defs>' if number == 0 else ""
        clip = f'<clipPath id="{key}-{number}"><rect x="0" y="{num(top)}" width="{num(width)}" height="{num(bottom - top)}"/></clipPath>'
        used = f'{clip}<g clip-path="url(#{key}-{number})"><use href="#{key}"/></g>'
        out.append(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 {num(top)} {num(width)} {num(tallest)}">{held}{used}</svg>')
    return f'<div class="strips">{"".join(out)}</div>'


def _cut(cuts: Sequence[float], height: float, count: int) -> list[float]:
    """Cut a height into strips of about the same length, between places only."""
    inner = [cut for cut in cuts if 40.0 < cut < height - 40.0]
    ways = combinations(inner, min(count - 1, len(inner)))
    return min(([0.0, *way, height] for way in ways), key=lambda way: max(b - a for a, b in pairwise(way)))


def _bound(harness: Harness, pages: Sequence[_Page], size: tuple[float, float], paper: str) -> str:
    """Set the pages one behind the other."""
    where: dict[str, list[int]] = {}
    for number, page in enumerate(pages, 1):
        for part in page.parts:
            where.setdefault(part, []).append(number)
    sheets = []
    for number, page in enumerate(pages, 1):
        shared = [(part, [other for other in where[part] if other != number]) for part in harness.parts if part in page.parts]
        told = "; ".join(f"{part} ({', '.join(map(str, others))})" for part, others in shared if others)
        foot = f"Also on other pages: {told}." if told else "No part of this page is on another."
        w, h = size if page.upright else size[::-1]
        sheets.append(
            f'<section class="{"upright" if page.upright else "across"}" style="width:{w:g}mm;height:{h - 0.5:g}mm">'
            f"<h2>{number} · {escape(page.title)}<span>{escape(harness.harness)}</span></h2><figure>{page.body}</figure><p>{escape(foot)}</p></section>"
        )
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(harness.harness)}: circuits</title>'
        f"<style>{font_css()}{_css(paper)}</style></head><body>{''.join(sheets)}</body></html>\n"
    )


def _css(paper: str) -> str:
    named = {"a4": "A4", "letter": "letter"}[paper]
    return (
        f"@page upright{{size:{named} portrait;margin:0}}@page across{{size:{named} landscape;margin:0}}"
        ".upright{page:upright}.across{page:across}body{margin:0;font-family:'Ohmtrail Sans','DejaVu Sans',sans-serif;color:#1b2330}"
        f"section{{box-sizing:border-box;padding:{_MARGIN_MM:g}mm;display:flex;flex-direction:column;break-after:page;overflow:hidden;background:#fff}}"
        f"h2{{margin:0;height:{_HEAD_MM:g}mm;font-size:13pt;display:flex;justify-content:space-between;overflow:hidden}}h2 span{{font-size:9pt;font-weight:400;color:#4d5866;white-space:nowrap;padding-left:6mm}}"
        f"figure{{margin:0 0 3mm;flex:1;min-height:0;display:flex;justify-content:center}}figure>svg{{width:100%;height:100%}}p{{margin:0;height:{_FOOT_MM:g}mm;overflow:hidden;font-size:7pt;color:#4d5866}}"
        ".strips{display:flex;gap:4mm;width:100%;height:100%;align-items:flex-start;justify-content:center}.strips svg{height:100%;flex:1;min-width:0}"
        "@media screen{body{background:#888}section{margin:6mm auto}}"
    )
