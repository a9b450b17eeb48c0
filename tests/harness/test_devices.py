"""Lamps and batteries: what is refused. Published values: tests/reference."""

import pytest

from ohmtrail.errors import QuantityError, UnknownName
from ohmtrail.harness.devices import filament_resistance_ohm, lamp_band, rested_volts


@pytest.mark.parametrize(
    ("rated_volts", "rated_watts", "cold_ratio", "sentence"),
    [
        (0.0, 21.0, 0.1, "'0' is not rated volts above zero"),
        (12.0, -5.0, 0.1, "'-5' is not rated watts above zero"),
        (12.0, 21.0, 0.0, "'0' is not a cold to hot ratio"),
        (12.0, 21.0, 1.5, "'1.5' is not a cold to hot ratio"),
    ],
)
def test_a_lamp_that_cannot_be_is_refused(
    rated_volts: float, rated_watts: float, cold_ratio: float, sentence: str
) -> None:
    """The value that is wrong stands in the error."""
    with pytest.raises(QuantityError, match=sentence):
        filament_resistance_ohm(6.0, rated_volts, rated_watts, cold_ratio)


def test_unknown_lamp_quantities_name_the_known() -> None:
    """Brightness is called light here."""
    with pytest.raises(UnknownName, match="there is current, power, light, life, colour temperature"):
        lamp_band("brightness", 1.0)
    with pytest.raises(QuantityError, match="a ratio of volts above zero"):
        lamp_band("light", 0.0)


@pytest.mark.parametrize("soc", [-0.1, 1.1, 50.0])
def test_charge_is_a_fraction(soc: float) -> None:
    """50 for 50 % is refused, not read as fifty times full."""
    with pytest.raises(QuantityError, match="a state of charge from 0 to 1"):
        rested_volts(soc)


def test_a_battery_without_volts_is_refused() -> None:
    """Nominal volts are above zero."""
    with pytest.raises(QuantityError, match="'0' is not a nominal voltage above zero"):
        rested_volts(0.5, nominal_v=0.0)
