"""Pictures and pages as files of any kind: SVG and HTML as they are, PNG and PDF by a browser that is at hand."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from os import PathLike, fspath
from pathlib import Path

from ohmtrail.errors import InputError, MissingTool
from ohmtrail.reports.drawn import Drawn
from ohmtrail.reports.figures import joined
from ohmtrail.storage import write_whole

__all__ = ["FORMS", "as_file", "form_of", "page_bytes", "save_drawn", "save_paper"]

#: kinds of file, by how their names end
FORMS = {".svg": "svg", ".html": "html", ".htm": "html", ".png": "png", ".pdf": "pdf"}
#: programs that print a page; common names of the Chromium family
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
#: dots to a px in a PNG, and its longest side; own choice
SCALE, LONGEST_PX = 2, 16_000
_TIMEOUT_S = 120.0


def save_drawn(drawn: Drawn, out: str | PathLike[str]) -> Drawn:
    """Write a picture to a file of the kind that its name ends in.

    Parameters
    ----------
    drawn : Drawn
        The picture.
    out : str or path
        The file: ``.svg``, ``.html``, ``.png`` or ``.pdf``.

    Returns
    -------
    Drawn
        The same, with its file.

    Raises
    ------
    InputError
        The name ends in nothing known, or a book is asked for as one picture.
    MissingTool
        PNG or PDF, and no browser is at hand.
    StorageError
        It cannot be written; nothing is left behind.
    """
    name = fspath(out)
    write_whole(name, as_file(drawn, form_of(name)))
    return replace(drawn, file=name)


def save_paper(
    out: str | PathLike[str], page: Callable[[], str], others: Mapping[str, Callable[[], str]] | None = None, *, form: str = ""
) -> None:
    """Write a paper to a file of the kind that its name ends in.

    Parameters
    ----------
    out : str or path
        The file: ``.html``, ``.pdf``, or what ``others`` has.
    page : callable () -> str
        Makes the paper as HTML.
    others : mapping of str to callable () -> str, optional
        Ending without its dot, and what makes the text of such a file.
    form : str
        ``html``, ``pdf`` or a key of ``others``, whatever the name ends in.

    Raises
    ------
    InputError
        The name ends in nothing known.
    MissingTool
        PDF, and no browser is at hand.
    StorageError
        It cannot be written; nothing is left behind.
    """
    others = others or {}
    form = form or form_of(fspath(out), {".html": "html", ".htm": "html", ".pdf": "pdf", **{f".{item}": item for item in others}})
    text = others.get(form, page)()
    write_whole(out, page_bytes(text, "pdf") if form == "pdf" else text)


def form_of(name: str, forms: Mapping[str, str] = FORMS) -> str:
    """Give the kind of file that a name stands for.

    Parameters
    ----------
    name : str
        The file.
    forms : mapping of str to str
        Endings and the kinds they stand for.

    Returns
    -------
    str
        svg, html, png or pdf, or another of ``forms``.

    Raises
    ------
    InputError
        It ends in nothing known.
    """
    form = forms.get(Path(name).suffix.casefold())
    if form is None:
        known = {kind: ending for ending, kind in reversed(list(forms.items()))}.values()
        raise InputError(f"{name!r} does not say what to write: end it in {joined(sorted(known), 'or')}")
    return form


def as_file(drawn: Drawn, form: str) -> str | bytes:
    """Give a picture as the content of a file.

    Parameters
    ----------
    drawn : Drawn
        The picture.
    form : str
        svg, html, png or pdf.

    Returns
    -------
    str or bytes
        The content.

    Raises
    ------
    InputError
        A book is asked for as one picture.
    MissingTool
        PNG or PDF, and no browser is at hand.
    """
    if form in ("svg", "png") and not drawn.svg:
        raise InputError("a book has many pages: write it to a file that ends in .html or .pdf")
    if form == "svg":
        return drawn.svg
    if form == "html":
        return drawn.page
    if not drawn.svg:
        return page_bytes(drawn.page, form)
    width, height = _extent(drawn.svg)
    style = f"@page{{size:{width}px {height}px;margin:0}}html,body{{margin:0}}svg{{display:block}}"
    page = f"<!doctype html><html><head><meta charset=\"utf-8\"><style>{style}</style></head><body>{drawn.svg}</body></html>"
    return page_bytes(page, form, width_px=width, height_px=height)


def _extent(svg: str) -> tuple[int, int]:
    found = re.search(r'viewBox="0(?:\.0+)? 0(?:\.0+)? ([\d.]+) ([\d.]+)"', svg)
    assert found is not None, "a picture has a viewBox"
    return round(float(found.group(1)) + 0.5), round(float(found.group(2)) + 0.5)


def page_bytes(page: str, form: str, *, width_px: int = 1200, height_px: int = 900) -> bytes:
    """Print a page to PNG or PDF.

    Parameters
    ----------
    page : str
        One HTML file that needs no other.
    form : str
        png or pdf.
    width_px, height_px : int
        What a PNG shows.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    MissingTool
        No browser is at hand, or it fails.
    """
    browser = next((found for found in map(shutil.which, BROWSERS) if found), None)
    if browser is None:
        kind = form.upper()
        raise MissingTool(f"{kind} needs a browser of the Chromium family, and none is on the PATH: install chromium, or write .svg or .html")
    with tempfile.TemporaryDirectory(prefix="ohmtrail-") as folder:
        source, made = Path(folder, "page.html"), Path(folder, f"page.{form}")
        source.write_text(page, encoding="utf-8")
        scale = max(min(SCALE, LONGEST_PX / max(width_px, height_px)), 0.1)
        how = {
            "png": [f"--screenshot={made}", f"--window-size={width_px},{height_px}", f"--force-device-scale-factor={scale:g}"],
            "pdf": [f"--print-to-pdf={made}", "--no-pdf-header-footer"],
        }[form]
        _run(browser, [*how, f"--user-data-dir={Path(folder, 'profile')}", source.as_uri()], form)
        if not made.exists() or not made.stat().st_size:
            raise MissingTool(f"{browser} made no {form.upper()}: write .svg or .html instead")
        return made.read_bytes()


def _run(browser: str, words: Sequence[str], form: str) -> None:
    """The browser without a window; without its sandbox only where it would not start with it."""
    plain = ["--headless", "--disable-gpu", "--hide-scrollbars", "--disable-dev-shm-usage", "--no-first-run"]
    failed = ""
    for more in ([], ["--no-sandbox"]):
        try:
            done = subprocess.run([browser, *plain, *more, *words], capture_output=True, timeout=_TIMEOUT_S, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise MissingTool(f"{browser} cannot print a {form.upper()}: {error}; write .svg or .html instead") from None
        if done.returncode == 0:
            return
        failed = f"status {done.returncode}"
    raise MissingTool(f"{browser} cannot print a {form.upper()} ({failed}): write .svg or .html instead")
