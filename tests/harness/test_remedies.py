"""What is told beside a mistake is something that can be written there."""

from __future__ import annotations

import pytest

from ohmtrail.errors import HarnessError
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree

FILE = """
harness: set
places: {box: {reach: 1 min}}
parts:
  s: {kind: switch, at: box, rests: off, positions: {off: [], run: PAIRS}}
  p: {kind: connector, at: box, cavities: NAMES}
  m: {kind: KIND, at: box, resistance: 1 Ω}
leads: {a: {from: s.A, to: p.1a}, b: {from: p.1b, to: s.B}}
"""
SOUND = {"PAIRS": "[[A, B]]", "NAMES": "[1, 2, 3]", "KIND": "motor"}


def _written(**wrong: str) -> str:
    text = FILE
    for word, value in {**SOUND, **wrong}.items():
        text = text.replace(word, value)
    return text


@pytest.mark.parametrize(
    ("word", "value", "remedy"),
    [
        ("PAIRS", "[A, B]", "[[B, A], [B, S]]"),
        ("NAMES", "3", "[1, 2, 3]"),
        ("KIND", "starter", "did you mean 'motor'?"),
        ("KIND", "bulb", "did you mean 'lamp'?"),
        ("KIND", "magneto", "did you mean 'winding'?"),
    ],
)
def test_a_slip_of_a_first_day_is_told_with_what_to_write(word: str, value: str, remedy: str) -> None:
    """A list in braces, a count for names, a part by its name of the workshop."""
    parse_harness(read_tree(_written(), file="set.yaml"))
    with pytest.raises(HarnessError) as told:
        parse_harness(read_tree(_written(**{word: value}), file="set.yaml"))
    assert remedy in str(told.value)


@pytest.mark.parametrize("positions", ["{closed: [[1, 31]]}", "{closed: [[1, 31]], open: [], half: []}", "{closed: [[1, 31]], open: [[1, 31]]}", ""])
def test_a_contact_breaker_closes_and_opens(positions: str) -> None:
    """One position that joins, one that does not: nothing else is a breaker, and the remedy is one."""
    said = f", positions: {positions}" if positions else ""
    text = f"harness: set\nplaces: {{box: {{reach: 1 min}}}}\nparts:\n  points: {{kind: points, at: box, rests: closed{said}}}\n"
    with pytest.raises(HarnessError) as told:
        parse_harness(read_tree(text, file="set.yaml"))
    assert "2 are wanted" in str(told.value) if positions == "{closed: [[1, 31]]}" else "{closed: [[1, 31]], open: []}" in str(told.value)
