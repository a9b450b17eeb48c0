"""Parts of a lead list by their names: what each is taken for, and what is to be looked at."""

from __future__ import annotations

import pytest

from ohmtrail.changes.guessing import guessed
from ohmtrail.changes.steptext import read_values


@pytest.mark.parametrize(
    ("name", "terminals", "kind", "look"),
    [
        ("points", ["1"], "points", "look whether its fixing earths 31"),
        ("contact-breaker", ["1", "31"], "points", ""),
        ("circuit-breaker", ["1", "2"], "module", "what it is, is not known"),
        ("condenser", ["1"], "capacitor", "look whether its fixing earths 31"),
        ("spark-plug", ["HT"], "spark-plug", ""),
        ("ignition-coil", ["1", "15", "4"], "coil", "measure both windings, and whether the second one ends at 1"),
        ("coil", ["1", "15"], "module", "what it is, is not known"),
        ("side-plug", ["1a", "1b"], "connector", ""),
    ],
)
def test_the_parts_of_an_ignition_by_their_names(name: str, terminals: list[str], kind: str, look: str) -> None:
    """Terminals of DIN 72552: 15 and 1 of a coil, 4 its high tension; 31 the frame."""
    found = guessed(name, terminals)
    assert (found.kind, found.look) == (kind, look)


def test_a_comma_in_a_number_and_braces_part_nothing() -> None:
    """A comma parts values only where another key follows it."""
    assert read_values("size=1,5 mm2, loom=") == {"size": "1,5 mm2", "loom": ""}
    assert read_values("primary={between: [15, 1], resistance: 1.6 Ω}, called=new") == {
        "primary": {"between": ["15", "1"], "resistance": "1.6 Ω"},
        "called": "new",
    }
