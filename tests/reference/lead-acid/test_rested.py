"""Rested lead-acid batteries against three published tables, 12 V, within 0.1 V."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmtrail.harness.standards import rested_volts

TABLES = {
    "equipment manual": {
        100: 12.70,
        90: 12.58,
        80: 12.46,
        70: 12.36,
        60: 12.28,
        50: 12.20,
        40: 12.12,
        30: 12.02,
        20: 11.88,
        10: 11.72,
    },
    "with specific gravity": {100: 12.66, 75: 12.45, 50: 12.30, 25: 12.15},
    "rule of thumb": {100: 12.6, 75: 12.4, 50: 12.2, 25: 12.0, 0: 11.6},
}
POINTS = [(name, percent) for name, table in TABLES.items() for percent in table]


@pytest.mark.parametrize(("table", "percent"), POINTS)
def test_volts_lie_within_a_tenth_of_every_table(table: str, percent: int) -> None:
    """No published point is further than 0.1 V away."""
    assert rested_volts(percent / 100) == pytest.approx(TABLES[table][percent], abs=0.1)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_more_charge_never_shows_fewer_volts(one: float, other: float) -> None:
    """Volts rise with charge."""
    low, high = sorted((one, other))
    assert rested_volts(low) <= rested_volts(high) + 1e-12


@given(st.floats(0.0, 1.0))
def test_volts_go_with_the_number_of_cells(soc: float) -> None:
    """Three cells have half the volts of six, twelve twice."""
    assert rested_volts(soc, nominal_v=6.0) == pytest.approx(rested_volts(soc) / 2)
    assert rested_volts(soc, nominal_v=24.0) == pytest.approx(rested_volts(soc) * 2)
