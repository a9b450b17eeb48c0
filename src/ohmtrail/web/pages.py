"""Filling the templates of the page; every text is escaped."""

from __future__ import annotations

import functools
import secrets
from importlib import resources

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from ohmtrail.drawing import picture_css
from ohmtrail.reports.paper import clean, held

__all__ = ["fill", "static_file", "trusted"]

#: files beside the templates that a browser may ask for, and their media types
_KINDS = {"page.css": "text/css; charset=utf-8", "page.js": "text/javascript; charset=utf-8", "drawing.css": "text/css; charset=utf-8"}


@functools.cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("ohmtrail.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: held(clean(value)) if type(value) is str else value,
    )


def fill(template: str, **values: object) -> str:
    """Fill a template.

    Parameters
    ----------
    template : str
        Name of a file in ``templates/``.
    **values
        What it asks for; texts are escaped.

    Returns
    -------
    str
        One HTML page.
    """
    return _environment().get_template(template).render(token=new_token, **values)


def new_token() -> str:
    """Give the mark of one form, by which it is taken once however often it is sent."""
    return secrets.token_hex(8)


def trusted(svg: str) -> Markup:
    """Mark a picture of `ohmtrail.drawing`, which escapes what it writes, as ready.

    Parameters
    ----------
    svg : str
        The picture.

    Returns
    -------
    Markup
        The same characters.
    """
    return Markup(svg)


@functools.cache
def static_file(name: str) -> tuple[str, str] | None:
    """Give a file that pages load.

    Parameters
    ----------
    name : str
        Its name.

    Returns
    -------
    tuple of str and str, or None
        Text and media type; None where there is no such file.
    """
    if name not in _KINDS:
        return None
    if name == "drawing.css":
        return picture_css(), _KINDS[name]
    return resources.files("ohmtrail.web").joinpath("static", name).read_text(encoding="utf-8"), _KINDS[name]
