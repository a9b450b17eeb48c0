"""Voltage drop: what is refused. Published values: tests/reference/voltage-drop."""

import pytest

from ohmtrail.errors import QuantityError, UnknownName
from ohmtrail.harness.drops import drop_limits, size_for_drop_mm2


def test_an_unknown_rule_names_the_known() -> None:
    """Both rules are named."""
    with pytest.raises(UnknownName, match="no sizing rule 'house'; there is ISO 10133, ABYC"):
        size_for_drop_mm2(10.0, 6.4, 0.36, rule="house")


@pytest.mark.parametrize(
    ("current_a", "loop_m", "drop_v", "sentence"),
    [
        (0.0, 6.4, 0.36, "a current in ampere above zero"),
        (10.0, -1.0, 0.36, "a length in metre above zero"),
        (10.0, 6.4, 0.0, "a drop in volt above zero"),
    ],
)
def test_a_lead_that_cannot_be_sized_is_refused(
    current_a: float, loop_m: float, drop_v: float, sentence: str
) -> None:
    """The quantity that is wrong is named."""
    with pytest.raises(QuantityError, match=sentence):
        size_for_drop_mm2(current_a, loop_m, drop_v)


def test_shares_of_the_supply_grow_with_it_and_volts_do_not() -> None:
    """3 % of 24 V is twice 3 % of 12 V; 0.1 V stays 0.1 V."""
    for limit in drop_limits():
        assert limit.volts(24.0) == pytest.approx(limit.volts(12.0) * (1 if limit.unit == "volt" else 2))
