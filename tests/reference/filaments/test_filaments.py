"""Filament lamps against the published exponents and a worked headlamp."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmtrail.harness.standards import filament_resistance_ohm, lamp_band
from ohmtrail.harness.tables import rows


def current_a(volts: float, cold_ratio: float = 0.1) -> float:
    """Of a 12 V 21 W lamp."""
    return volts / filament_resistance_ohm(volts, 12.0, 21.0, cold_ratio)


def test_current_goes_as_the_published_power_of_volts() -> None:
    """Around rated volts the slope of log I over log V is 0.55 (to 0.01: the cold end bends it)."""
    slope = math.log(current_a(12.6) / current_a(11.4)) / math.log(12.6 / 11.4)
    assert slope == pytest.approx(0.55, abs=0.01)


@pytest.mark.parametrize(("ratio", "current"), [(1.15, 1.080), (1.0, 1.0), (0.90, 0.944), (0.50, 0.683)])
def test_current_off_rated_volts(ratio: float, current: float) -> None:
    """Current over rated current is V^0.55, within 0.5 % from half to 1.15 of rated volts."""
    assert current_a(12.0 * ratio) / current_a(12.0) == pytest.approx(current, rel=0.005)


def test_resistance_at_half_volts() -> None:
    """At half its volts a filament has 0.732 of its hot resistance (to 0.5 %)."""
    ratio = filament_resistance_ohm(6.0, 12.0, 21.0) / filament_resistance_ohm(12.0, 12.0, 21.0)
    assert ratio == pytest.approx(0.732, rel=0.005)


@pytest.mark.parametrize(
    ("quantity", "ratio", "least", "most"),
    [
        ("light", 1.15, 1.61, 1.63),
        ("light", 0.90, 0.69, 0.70),
        ("life", 1.15, 0.107, 0.187),
        ("current", 1.15, 1.080, 1.080),
        ("current", 0.90, 0.944, 0.944),
        ("current", 0.50, 0.683, 0.683),
    ],
)
def test_what_volts_do_to_a_lamp(quantity: str, ratio: float, least: float, most: float) -> None:
    """Light, life and current off rated volts, to the digits printed."""
    band = lamp_band(quantity, ratio)
    assert band == pytest.approx((least, most), rel=0.005)


def test_power_at_fifteen_per_cent_over() -> None:
    """P = V^1.6: 1.251 at 1.15 is the upper end of the band."""
    assert lamp_band("power", 1.15)[1] == pytest.approx(1.251, abs=0.0005)


def test_headlamp_at_switch_on() -> None:
    """12.0 V, 30.0 W, cold 0.350 Ω: 4.80 Ω hot, 34.3 A and 411 W at the first moment."""
    cold = filament_resistance_ohm(0.0, 12.0, 30.0, 0.350 / 4.80)
    assert filament_resistance_ohm(12.0, 12.0, 30.0, 0.350 / 4.80) == pytest.approx(4.80, rel=1e-9)
    assert cold == pytest.approx(0.350, rel=1e-9)
    assert 12.0 / cold == pytest.approx(34.3, abs=0.05)
    assert 12.0**2 / cold == pytest.approx(411, abs=0.5)


@given(st.floats(-30.0, 30.0), st.floats(0.01, 1.0))
def test_a_filament_has_no_direction_and_stays_between_cold_and_hot(volts: float, cold_ratio: float) -> None:
    """Same both ways round, and never below the cold resistance."""
    ohm = filament_resistance_ohm(volts, 12.0, 21.0, cold_ratio)
    assert ohm == filament_resistance_ohm(-volts, 12.0, 21.0, cold_ratio)
    assert ohm >= cold_ratio * 144 / 21 * (1 - 1e-9)


def test_arrays_give_what_single_values_give() -> None:
    """An array of volts of any shape gives the same numbers."""
    volts = np.array([[0.0, 3.0], [-6.0, 14.4]])
    ohms = filament_resistance_ohm(volts, 12.0, 5.0)
    assert ohms.shape == volts.shape
    assert ohms.ravel().tolist() == pytest.approx(
        [filament_resistance_ohm(value, 12.0, 5.0) for value in (0.0, 3.0, -6.0, 14.4)], rel=1e-12
    )


def test_the_default_cold_ratio_is_the_one_with_a_source() -> None:
    """The parameter's default is the row of the data file."""
    row = next(row for row in rows("lamps", "law") if row["name"] == "cold ratio")
    assert filament_resistance_ohm(0.0, 12.0, 144.0) == pytest.approx(float(row["value"]))
