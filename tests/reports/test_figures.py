"""Values and their bands as a person would say them."""

import math

import pytest

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Expected, Looked, Measured, Seen
from ohmtrail.reports.figures import band_text, expected_text, factor_text, joined, share_text, value_text


@pytest.mark.parametrize(
    ("quantity", "low", "high", "said"),
    [
        ("ohms", 0.0, 40.0, "0 to 40 Ω"),
        ("ohms", 900.0, 4700.0, "900 Ω to 4.7 kΩ"),
        ("ohms", 5e6, math.inf, "over 5 MΩ"),
        ("ohms", math.inf, math.inf, "over range"),
        ("ohms", -math.inf, 12.0, "under 12 Ω"),
        ("volts", -math.inf, math.inf, "anything"),
        ("volts", 12.41, 12.44, "12.4 V"),
        ("beep", 0.0, 1.0, "silent to beeps"),
        ("lamp", 1.0, 1.0, "bright"),
    ],
)
def test_bands(quantity: str, low: float, high: float, said: str) -> None:
    """One unit for both ends where they share it; open ends in words."""
    assert band_text(quantity, low, high) == said


@pytest.mark.parametrize(
    ("quantity", "value", "said"),
    [("ohms", 3200.0, "3.2 kΩ"), ("ohms", math.inf, "over range"), ("beep", 0.0, "silent"), ("lamp", 0.5, "dim"), ("amps", 3.1, "3.1 A")],
)
def test_values(quantity: str, value: float, said: str) -> None:
    """As the display, the beeper or the lamp has it."""
    assert value_text(quantity, value) == said


def test_shares_are_never_nought_or_certain() -> None:
    """A share is told to a percent, to a tenth where it is small or nearly all."""
    assert [share_text(share) for share in (0.0, 0.004, 0.61, 0.994, 1.0)] == ["under 0.1 %", "0.4 %", "61 %", "99.4 %", "over 99.9 %"]


def test_how_a_reading_speaks() -> None:
    """Times for or against, with a word where they are many."""
    said = [factor_text(factor) for factor in (1.2, 3.0, 50.0, 0.5, 1e-9)]
    assert said == ["hardly either way", "for, 3 times", "strongly for, 50 times", "against, 2 times", "strongly against, over 1000 times"]


def test_what_is_expected() -> None:
    """A band for a reading, the likeliest word for what is seen or looked at."""
    rest = Setting()
    assert expected_text(Measured("ohms", "a", "b", rest), Expected(1.0, 2.0)) == "1 to 2 Ω"
    assert expected_text(Measured("volts", "a", "b", rest, flickers=True), Expected(12.0, 13.0)) == "steady at 12 to 13 V"
    assert expected_text(Seen("spark", rest, 0), Expected(0.0, 0.0, (0.97, 0.02, 0.01))) == "fails"
    assert expected_text(Looked("a", True), Expected(0.0, 0.0, (0.6, 0.4))) == "damaged, 60 %"


def test_joined() -> None:
    """Words as a person joins them."""
    assert [joined(words) for words in ((), ("a",), ("a", "b"), ("a", "b", "c"))] == ["", "a", "a and b", "a, b and c"]
