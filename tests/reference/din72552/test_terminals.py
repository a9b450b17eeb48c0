"""Terminal numbers against DIN 72552 (secondary reproduction)."""

import pytest

from ohmtrail.harness.standards import old_terminal_codes, terminal_meaning, terminal_meanings

# number: words that its meaning must hold
MEANINGS = {
    "1": ("ignition", "low voltage"),
    "2": ("magneto", "short-circuit"),
    "4": ("ignition", "high voltage"),
    "15": ("battery positive", "switched"),
    "15a": ("ballast",),
    "17": ("start",),
    "19": ("pre-heat",),
    "30": ("battery positive", "direct"),
    "31": ("earth", "direct"),
    "31b": ("earth", "switch"),
    "45": ("starter relay", "output"),
    "49": ("flasher", "input"),
    "49a": ("flasher", "output"),
    "50": ("starter",),
    "51": ("alternator", "rectifier"),
    "53": ("wiper",),
    "53a": ("wiper", "self-park"),
    "54": ("stop",),
    "55": ("fog",),
    "56": ("headlamp",),
    "56a": ("main beam",),
    "56b": ("dipped",),
    "56d": ("flash",),
    "57": ("parking",),
    "59": ("alternating",),
    "61": ("charge",),
    "85": ("relay coil",),
    "86": ("relay coil",),
    "87": ("relay", "make"),
    "B+": ("battery positive",),
    "B-": ("battery negative",),
    "D+": ("positive",),
    "DF": ("field",),
    "L": ("left",),
    "R": ("right",),
    "C": ("tell-tale",),
}

OLD = {
    "15/54": ("15", "49", "54"),
    "30/51": ("30",),
    "51": ("B+",),
    "16": ("15", "15a"),
    "54L": ("49a",),
    "S": ("49a",),
    "D+/61": ("D+",),
    "HL": ("L",),
    "HR": ("R",),
}


@pytest.mark.parametrize("number", MEANINGS)
def test_numbers_mean_what_the_standard_says(number: str) -> None:
    """The words that matter stand in the meaning."""
    assert all(word in terminal_meaning(number) for word in MEANINGS[number])


def test_old_codes_lead_to_present_numbers() -> None:
    """Each old code is translated as the table has it, and only to numbers in force."""
    assert dict(old_terminal_codes()) == OLD
    assert all(now in terminal_meanings() for codes in OLD.values() for now in codes)


def test_an_old_code_is_explained_with_all_it_became() -> None:
    """15/54 was three terminals in one; the meaning names the three."""
    said = terminal_meaning("15/54")
    assert said.startswith("old code, now 15: battery positive, switched")
    assert "54: stop lamps" in said
