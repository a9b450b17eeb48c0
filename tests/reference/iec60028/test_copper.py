"""Copper against IEC 60028."""

import pytest

from ohmtrail.harness.standards import resistance_ohm_per_m


def test_one_square_millimetre_of_copper_is_one_over_58_ohm_a_metre() -> None:
    """A metre of 1 mm2 copper at 20 °C has 1/58 Ω (tolerance 1e-6)."""
    assert resistance_ohm_per_m(1.0) == pytest.approx(1 / 58, rel=1e-6)


@pytest.mark.parametrize("size_mm2", [0.22, 0.75, 2.5, 50.0])
def test_resistance_goes_as_one_over_area(size_mm2: float) -> None:
    """Twice the area, half the resistance."""
    assert resistance_ohm_per_m(2 * size_mm2) == pytest.approx(resistance_ohm_per_m(size_mm2) / 2, rel=1e-12)


@pytest.mark.parametrize("temperature_c", [-20.0, 0.0, 60.0, 105.0])
def test_copper_points_to_no_resistance_at_minus_234_degrees(temperature_c: float) -> None:
    """The handbook form R20 (234.5 + T) / 254.5 holds to 0.02 % (form from memory)."""
    expected = resistance_ohm_per_m(1.5) * (234.5 + temperature_c) / 254.5
    assert resistance_ohm_per_m(1.5, temperature_c=temperature_c) == pytest.approx(expected, rel=2e-4)
