"""Colour letters against IEC 60757 (secondary reproduction)."""

import pytest

from ohmtrail.harness.standards import colour_names, parse_colour

LETTERS = {
    "BK": "black",
    "BN": "brown",
    "RD": "red",
    "OG": "orange",
    "YE": "yellow",
    "GN": "green",
    "BU": "blue",
    "VT": "violet",
    "GY": "grey",
    "WH": "white",
    "PK": "pink",
    "GD": "gold",
    "TQ": "turquoise",
    "SR": "silver",
}


def test_letters_and_their_order_are_the_standards() -> None:
    """Fourteen colours, in the standard's order, no more."""
    assert list(colour_names().items()) == list(LETTERS.items())


@pytest.mark.parametrize("letters", LETTERS)
def test_every_letter_pair_is_read(letters: str) -> None:
    """Each is read alone and as base of a two-coloured lead."""
    assert parse_colour(letters).words == LETTERS[letters]
    assert parse_colour(f"{letters}/BK").words == f"{LETTERS[letters]}-black"


def test_green_and_yellow_is_written_as_base_and_tracer() -> None:
    """The standard's GNYE is GN/YE on a lead."""
    assert parse_colour("GN/YE").words == "green-yellow"
