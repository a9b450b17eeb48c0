"""Meter tables: ranges and what is refused. Published values: tests/reference/meters."""

import pytest

from ohmtrail.errors import UnknownName
from ohmtrail.harness.meter_tables import meter_accuracy, meter_fact
from ohmtrail.harness.tables import rows


@pytest.mark.parametrize("name", [row["name"] for row in rows("meters", "facts")])
def test_a_fact_lies_within_its_own_spread(name: str) -> None:
    """The value used is one that meters have."""
    fact = meter_fact(name)
    assert 0 < fact.least <= fact.value <= fact.most


@pytest.mark.parametrize("quantity", [row["quantity"] for row in rows("meters", "accuracy")])
def test_ranges_rise_and_coarsen(quantity: str) -> None:
    """A higher range never shows a finer digit."""
    ranges = meter_accuracy(quantity).ranges
    assert list(ranges) == sorted(ranges)
    assert [step for _, step in ranges] == sorted(step for _, step in ranges)


@pytest.mark.parametrize(
    ("reading", "resolution"), [(0.0, 0.001), (5.999, 0.001), (-12.4, 0.01), (60.0, 0.1), (9e9, 0.1)]
)
def test_the_lowest_range_that_holds_a_reading_sets_its_digit(reading: float, resolution: float) -> None:
    """An automatic range, either polarity; beyond the top range its digit is kept."""
    assert meter_accuracy("dc volts").resolution(reading) == resolution


def test_unknown_facts_and_quantities_name_the_nearest() -> None:
    """A near miss is named."""
    with pytest.raises(UnknownName, match="did you mean 'beeper threshold'"):
        meter_fact("beeper treshold")
    with pytest.raises(UnknownName, match="did you mean 'dc volts'"):
        meter_accuracy("dc volt")
