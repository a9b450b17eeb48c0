"""Data files of standard tables, and lines through points."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmtrail.errors import QuantityError
from ohmtrail.harness.tables import CONFIDENCE, FILES, Points, line, loglog, positive, rows

BEND = ((1.0, 10.0), (2.0, 20.0), (4.0, 80.0))


@pytest.mark.parametrize("file", FILES)
def test_every_row_has_a_source_and_says_how_sure_it_is(file: str) -> None:
    """No number without its source and a confidence word of the list."""
    found = rows(file)
    assert found
    assert all(row["source"].strip() and row["confidence"] in CONFIDENCE for row in found)


@pytest.mark.parametrize("file", FILES)
def test_every_value_is_text_and_cannot_be_changed(file: str) -> None:
    """Terminal 15 stays a word, and no caller can spoil the tables for the next."""
    row: Any = rows(file)[0]
    assert all(isinstance(value, str) for row in rows(file) for value in row.values())
    with pytest.raises(TypeError, match="item assignment"):
        row["source"] = "hearsay"


@pytest.mark.parametrize("read", [line, loglog])
@pytest.mark.parametrize("point", BEND)
def test_a_line_goes_through_its_points(
    read: Callable[[float, Points], float], point: tuple[float, float]
) -> None:
    """Every point is met."""
    assert read(point[0], BEND) == pytest.approx(point[1], rel=1e-12)


def test_a_line_goes_on_beyond_its_ends() -> None:
    """The end pieces are continued: 10 + 10 (0 - 1), and 20 (8 / 2) squared."""
    assert line(0.0, BEND) == pytest.approx(0.0)
    assert loglog(8.0, BEND) == pytest.approx(20.0 * (8.0 / 2.0) ** 2)


@given(st.floats(0.01, 100.0), st.floats(0.01, 100.0))
def test_a_line_through_rising_points_rises(one: float, other: float) -> None:
    """Rising points give a rising line, inside and beyond."""
    low, high = sorted((one, other))
    assert line(low, BEND) <= line(high, BEND) + 1e-9
    assert loglog(low, BEND) <= loglog(high, BEND) * (1 + 1e-9)


@pytest.mark.parametrize("value", [0.0, -1.0, math.inf, math.nan])
def test_what_is_not_above_zero_is_refused_by_value(value: float) -> None:
    """The error shows the value and what it should be."""
    with pytest.raises(QuantityError, match=f"'{value:g}' is not a size in mm2 above zero"):
        positive(value, "a size in mm2 above zero")
