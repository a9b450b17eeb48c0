"""Paper keeps to its width, to ASCII where need be, and lets nothing steer the terminal."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmtrail.reports.paper import NARROWEST, Paper, clean


@given(st.text(max_size=120), st.integers(20, 120))
def test_no_line_is_wider(text: str, width: int) -> None:
    """Whatever the text, no line passes the width, and no control character comes through."""
    paper = Paper(width)
    paper.line(text, indent=2, hang=6)
    paper.pair("label", text)
    paper.edges(text, "right")
    for line in paper.lines:
        assert sum(not unicodedata.combining(mark) for mark in line) <= max(width, NARROWEST)
        assert all(mark.isprintable() or mark == "\u3000" or not mark.isascii() for mark in line)


@given(st.text(max_size=80))
def test_plain_paper_is_ascii(text: str) -> None:
    """Where only ASCII can be shown, nothing else is written."""
    paper = Paper(80, plain=True)
    paper.line(text)
    assert str(paper).isascii()


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("red\x1b[31m", "red[31m"),
        ("a\tb\nc", "a b c"),
        ("bell\x07 and \x9b31m", "bell and 31m"),
        ("turn\u202eed", "turned"),
        ("Ω µ · fine", "Ω µ · fine"),
    ],
)
def test_clean(text: str, kept: str) -> None:
    """Escape sequences lose what makes them work; letters and signs stay."""
    assert clean(text) == kept


def test_signs_have_words_in_ascii() -> None:
    """Ohms stay ohms, bars stay bars of the same length."""
    paper = Paper(80, plain=True)
    assert paper.text("4.7 kΩ · ±10 %") == "4.7 kohm - +-10 %"
    assert len(paper.bar(0.33, 20)) == len(Paper(80).bar(0.33, 20)) == 20


def test_a_number_keeps_its_unit_beside_it() -> None:
    """No line ends between a number and its unit."""
    paper = Paper(30)
    paper.line("and here it is exactly 27 kΩ long")
    assert paper.lines == ["and here it is exactly 27 kΩ", "long"]


def test_narrow_paper_puts_labels_above() -> None:
    """Where there is no room for columns, what belongs to a label stands under it."""
    paper = Paper(40)
    paper.pair("Open", "the cowl", indent=2, column=12)
    assert paper.lines == ["  Open", "    the cowl"]
