"""Filling a template of a paper."""

from __future__ import annotations

import functools
from importlib import resources

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from ohmtrail.diagnosis import caution
from ohmtrail.drawing import PAPERS, without_fonts
from ohmtrail.drawing.text import font_css
from ohmtrail.errors import UnknownName
from ohmtrail.reports.paper import clean, held

__all__ = ["PAPERS", "inner", "picture", "render"]

#: what a printer's driver calls the sizes (CSS Paged Media Module Level 3, section 7.1)
_SIZES = {"a4": "A4", "letter": "letter"}


@functools.cache
def _environment() -> Environment:
    """Templates of this package: escaped, and a name that is not given is an error."""
    return Environment(
        loader=PackageLoader("ohmtrail.reports.html"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: held(clean(value)) if type(value) is str else value,
    )


@functools.cache
def _style() -> Markup:
    text = resources.files("ohmtrail.reports.html").joinpath("templates", "style.css").read_text(encoding="utf-8")
    return Markup(font_css() + text)  # our own files


def picture(svg: str) -> Markup:
    """Give a picture as it stands inside a paper.

    Parameters
    ----------
    svg : str
        A picture of `ohmtrail.drawing`, or one set for paper there: what they hold is escaped.

    Returns
    -------
    Markup
        Without the fonts, which the paper carries once.
    """
    return Markup(without_fonts(svg))  # drawn by this program, escaped there


def inner(page: str) -> Markup:
    """Give what stands between heading and foot of one paper, to stand in another.

    Parameters
    ----------
    page : str
        A paper of `render`.

    Returns
    -------
    Markup
        As it is; texts in it were escaped when it was made.
    """
    return Markup(page.partition("<main>")[2].rpartition("</main>")[0])  # rendered by this program, escaped there


def render(template: str, *, title: str, machine: str, paper: str = "a4", **values: object) -> str:
    """Fill a template.

    Parameters
    ----------
    template : str
        Name of a file in ``templates/``, such as ``sheet.html``.
    title : str
        What the paper is.
    machine : str
        Name of the machine.
    paper : str
        ``a4`` or ``letter``.
    **values
        What the template asks for beside these; texts are escaped.

    Returns
    -------
    str
        One HTML file that needs no other.

    Raises
    ------
    UnknownName
        No such paper.
    """
    size = _SIZES.get(paper.casefold())
    if size is None:
        raise UnknownName("paper", paper, _SIZES)
    values = {"facts": (), **values, "title": title, "machine": machine, "size": size, "style": _style()}
    return _environment().get_template(template).render(who_decides=caution("who-decides").text, **values)
