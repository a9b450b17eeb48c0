"""The base that every paper stands on."""

import re
from html import unescape
from pathlib import Path

import pytest
from jinja2 import UndefinedError

from ohmtrail.diagnosis import caution
from ohmtrail.errors import UnknownName
from ohmtrail.reports.html import PAPERS, picture, render

SVG = '<svg xmlns="http://www.w3.org/2000/svg"><title>a</title></svg>'


def test_what_is_put_in_is_escaped() -> None:
    """Names come from files: a tag in one is text, and what could steer a terminal is gone."""
    html = render("base.html", title="<script>alert(1)</script>", machine="Ox & Co\x1b[31m", facts=("<b>x</b>",))
    assert "<script>" not in html
    assert "&lt;script&gt;" in html
    assert "Ox &amp; Co[31m" in html
    assert "<b>x</b>" not in html


def test_a_paper_fetches_nothing_and_says_who_decides() -> None:
    """No address of another file, a policy that forbids it, and the one line at the foot."""
    html = render("base.html", title="t", machine="m")
    assert not re.search(r"""(?:src|href)=|url\((?!data:)|https?://(?!www\.w3\.org)""", html)
    assert "default-src 'none'" in html
    assert unescape(html).count(caution("who-decides").text) == 1
    assert html.count("@font-face") == 2


@pytest.mark.parametrize(("paper", "named"), [("a4", "size:A4"), ("Letter", "size:letter")])
def test_a_paper_is_set_for_its_size(paper: str, named: str) -> None:
    """A4 and Letter, as the pictures' book has them."""
    assert named in render("base.html", title="t", machine="m", paper=paper)
    assert paper.casefold() in PAPERS


def test_an_unknown_paper_names_the_known() -> None:
    """A slip gets the right names back."""
    with pytest.raises(UnknownName, match="a4, letter"):
        render("base.html", title="t", machine="m", paper="folio")


def test_a_value_that_is_not_given_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """Never an empty place in a paper."""
    from ohmtrail.reports.html import pages

    template = pages._environment().from_string("{% extends 'base.html' %}{% block body %}{{ missing }}{% endblock %}")
    with pytest.raises(UndefinedError, match="missing"):
        template.render(title="t", machine="m", size="A4", style="", facts=(), who_decides="")


def test_a_picture_stands_in_a_paper_as_it_is() -> None:
    """Markup of ours, and nothing else, is taken as it is."""
    template = Path(__file__).parents[2] / "src" / "ohmtrail" / "reports" / "html" / "templates" / "base.html"
    assert "|safe" not in template.read_text(encoding="utf-8")
    assert str(picture(SVG)) == SVG
