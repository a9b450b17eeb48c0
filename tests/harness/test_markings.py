"""Colours and terminal numbers: reading them, and what is said when they are wrong."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmtrail.errors import UnknownName
from ohmtrail.harness.markings import (
    Colour,
    colour_names,
    parse_colour,
    screen_colour,
    terminal_meaning,
)

LETTERS = st.sampled_from(list(colour_names()))


@given(LETTERS, LETTERS)
def test_a_colour_written_is_read_back(base: str, tracer: str) -> None:
    """Base and tracer keep their order; small letters and blanks do no harm."""
    colour = Colour(base, tracer)
    assert parse_colour(colour.letters) == colour
    assert parse_colour(f" {base.lower()} / {tracer.lower()} ") == colour
    assert str(colour) == f"{base}/{tracer}"


def test_a_plain_lead_has_no_tracer() -> None:
    """One colour alone is base only."""
    assert parse_colour("BK") == Colour("BK")
    assert Colour("BK").words == "black"
    assert Colour("BK").screen == (screen_colour("BK"), None)


def test_base_and_tracer_are_not_the_same_lead_the_other_way_round() -> None:
    """VT/WH and WH/VT are two leads."""
    assert parse_colour("VT/WH") != parse_colour("WH/VT")
    assert parse_colour("VT/WH").words == "violet-white"


@given(LETTERS, LETTERS)
def test_no_two_colours_look_alike_on_the_screen(one: str, other: str) -> None:
    """Every screen value is #rrggbb and belongs to one colour."""
    value = screen_colour(one)
    assert len(value) == 7
    assert int(value.removeprefix("#"), 16) >= 0
    assert (value == screen_colour(other)) == (one == other)


@pytest.mark.parametrize(
    ("text", "wrong", "meant"),
    [
        ("VI/WH", "VI", "VT (violet)"),
        ("WH/SW", "SW", "BK (black)"),
        ("violet", "violet", "VT (violet)"),
        ("violt/WH", "violt", "VT (violet)"),
        ("BLK", "BLK", "BK (black)"),
        ("RDBU", "RDBU", "RD/BU"),
        ("GNYE", "GNYE", "GN/YE"),
        ("BX", "BX", "BK (black), BN (brown), BU (blue)"),
        ("VT/WH/RD", "VT/WH/RD", "VT/WH"),
        ("XX", "XX", "BK BN RD OG YE GN BU VT GY WH PK GD TQ SR"),
        ("", "", "BK BN RD"),
        ("VT/", "", "BK BN RD"),
    ],
)
def test_a_wrong_colour_is_named_with_what_was_meant(text: str, wrong: str, meant: str) -> None:
    """Other trades' letters, names, joined letters and slips lead to the right letters."""
    with pytest.raises(UnknownName) as caught:
        parse_colour(text)
    assert caught.value.name == wrong
    assert meant in str(caught.value)


def test_a_wrong_part_says_in_which_colour_it_stands() -> None:
    """The whole text is shown beside the wrong part."""
    with pytest.raises(UnknownName, match=r"no colour 'VI' in 'VI/WH'"):
        parse_colour("VI/WH")


@pytest.mark.parametrize("number", ["15", "54", "87a", "DF", "15/54", "51"])
def test_terminals_have_a_meaning(number: str) -> None:
    """Numbers in force and old codes are explained; a number in force wins over an old code."""
    assert terminal_meaning(number)
    assert terminal_meaning("51").startswith("alternator")


def test_an_unknown_terminal_names_the_nearest() -> None:
    """A slip leads to a number there is."""
    with pytest.raises(UnknownName, match="no terminal number '49d'; did you mean '49'"):
        terminal_meaning("49d")
