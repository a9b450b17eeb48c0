"""Meter accuracy against worked examples, meter properties against a manual."""

import pytest

from ohmtrail.harness.standards import accuracy_half_width, meter_accuracy, meter_fact


@pytest.mark.parametrize(
    ("reading", "percent", "counts", "resolution", "least", "most", "digit"),
    [
        (100.0, 1.0, 2, 0.1, 98.8, 101.2, 0.1),
        (1.755, 0.5, 1, 0.001, 1.745, 1.765, 0.001),
        (2.0, 0.5, 3, 0.001, 1.987, 2.013, 0.001),
        (120.0, 1.0, 3, 0.1, 118.5, 121.5, 0.1),
    ],
)
def test_percent_and_counts(
    reading: float, percent: float, counts: float, resolution: float, least: float, most: float, digit: float
) -> None:
    """The printed ends of each worked example, to half a last digit."""
    half = accuracy_half_width(reading, percent=percent, counts=counts, resolution=resolution)
    assert reading - half == pytest.approx(least, abs=digit / 2)
    assert reading + half == pytest.approx(most, abs=digit / 2)


def test_ac_volts_of_the_worked_example() -> None:
    """The handheld's own row gives ±1.5 V at 120 V, as printed."""
    assert meter_accuracy("ac volts").half_width(120.0) == pytest.approx(1.5)


def test_battery_volts_on_a_6000_count_meter() -> None:
    """12.40 V: 0.5 % is 0.062 V, 2 counts of 0.01 V are 0.02 V."""
    assert meter_accuracy("dc volts").half_width(12.4) == pytest.approx(0.062 + 0.02)


@pytest.mark.parametrize(
    ("fact", "value"),
    [
        ("dc volts input", 10e6),
        ("ac volts input", 5e6),
        ("low-impedance volts input", 3e3),
        ("ohms open-circuit volts", 2.7),
        ("ohms short-circuit current", 350e-6),
        ("ohms over-range", 40e6),
        ("diode test over-range", 2.0),
    ],
)
def test_inputs_are_the_manuals(fact: str, value: float) -> None:
    """Input resistances, test volts and currents are those of the manual's table."""
    assert meter_fact(fact).value == pytest.approx(value)


def test_meters_beep_at_different_ohms() -> None:
    """Published thresholds are 20, 50 and 100 Ω; the spread covers them."""
    beeper = meter_fact("beeper threshold")
    assert (beeper.least, beeper.value, beeper.most) == (20, 50, 100)
