"""Fuses against data sheets and standards, and the properties that any fuse must have."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmtrail.harness.standards import (
    blade_colour,
    blade_ratings_a,
    fuse_kinds,
    fuse_resistance_ohm,
    opening_band_s,
    standard_fuse_ratings_a,
)

KINDS = st.sampled_from(fuse_kinds())
RATINGS = st.floats(0.1, 120.0)
COLOURS = {
    1: "black",
    2: "grey",
    3: "violet",
    4: "pink",
    5: "tan",
    7.5: "brown",
    10: "red",
    15: "blue",
    20: "yellow",
    25: "clear",
    30: "green",
    35: "blue-green",
    40: "orange",
    50: "red",
    60: "blue",
    70: "tan",
    80: "clear",
    100: "violet",
    120: "pink",
}


@given(KINDS, RATINGS, st.floats(-1.0, 1.0))
def test_a_fuse_never_opens_at_its_rating_or_below(kind: str, rating_a: float, times: float) -> None:
    """At 100 % and below, either way round, both times are infinite."""
    assert opening_band_s(rating_a, times * rating_a, kind) == (math.inf, math.inf)


@given(KINDS, RATINGS, st.floats(1.0, 50.0), st.floats(1.0, 3.0))
def test_more_current_never_lasts_longer(kind: str, rating_a: float, times: float, more: float) -> None:
    """Both times never rise with current (to 1e-9), and the shortest never passes the longest."""
    less = opening_band_s(rating_a, times * rating_a, kind)
    greater = opening_band_s(rating_a, times * more * rating_a, kind)
    assert greater[0] <= less[0] * (1 + 1e-9)
    assert greater[1] <= less[1] * (1 + 1e-9)
    assert less[0] <= less[1]


@given(KINDS, RATINGS)
def test_a_third_over_may_last_minutes(kind: str, rating_a: float) -> None:
    """At 135 % a sound fuse may hold for minutes, so a fuse that holds proves little."""
    assert opening_band_s(rating_a, 1.35 * rating_a, kind)[1] >= 120.0


@given(KINDS, RATINGS)
def test_a_dead_short_opens_any_fuse_within_seconds(kind: str, rating_a: float) -> None:
    """Ten times the rating ends within a second (to 1e-9, for the rounding of ten times)."""
    assert opening_band_s(rating_a, 10 * rating_a, kind)[1] <= 1.0 + 1e-9


@pytest.mark.parametrize(
    ("rating_a", "times", "shortest_s", "longest_s"),
    [
        (2, 1.35, None, 3600),
        (10, 1.35, None, 3600),
        (2, 2.0, None, 5),
        (2.5, 2.0, None, 120),
        (30, 2.0, None, 120),
        (35, 2.0, None, 240),
        (10, 2.75, 0.05, 2),
        (10, 4.0, 0.01, 0.3),
        (10, 10.0, None, 0.02),
    ],
)
def test_glass_fuses_open_as_published(
    rating_a: float, times: float, shortest_s: float | None, longest_s: float
) -> None:
    """AGX, UL 248-14 and IEC 60127-2 limits; where no shortest time is published none is tested."""
    shortest, longest = opening_band_s(rating_a, times * rating_a, "glass")
    assert longest == pytest.approx(longest_s, rel=1e-6)
    assert shortest_s is None or shortest == pytest.approx(shortest_s, rel=1e-6)


@pytest.mark.parametrize("rating_a", [2, 10, 30])
def test_a_tenth_over_lasts_hours(rating_a: float) -> None:
    """AGX: 110 % for at least 4 h, and perhaps for ever."""
    assert opening_band_s(rating_a, 1.1 * rating_a, "glass") == pytest.approx((14400.0, math.inf), rel=1e-6)


@pytest.mark.parametrize(
    ("times", "shortest_s", "longest_s"), [(1.35, 60, 1800), (2.0, 2, 60), (3.5, 0.2, 7)]
)
@pytest.mark.parametrize("rating_a", [50, 80])
def test_large_blades_open_as_published(
    rating_a: float, times: float, shortest_s: float, longest_s: float
) -> None:
    """DIN 72581-3 form E limits."""
    band = opening_band_s(rating_a, times * rating_a, "blade")
    assert band == pytest.approx((shortest_s, longest_s), rel=1e-6)


@pytest.mark.parametrize(("rating_a", "mohm"), [(5, 20.5), (10, 8.67), (15, 5.10), (20, 3.58), (30, 2.15)])
def test_cold_resistance_of_glass_fuses(rating_a: float, mohm: float) -> None:
    """AGX typical values; at rated current 64.5 to 103 mV are lost."""
    ohm = fuse_resistance_ohm(rating_a)
    assert ohm * 1000 == pytest.approx(mohm, rel=1e-9)
    assert 0.0645 <= round(ohm * rating_a, 9) <= 0.103


@given(KINDS, RATINGS, st.floats(1.0, 3.0))
def test_a_larger_fuse_has_less_resistance(kind: str, rating_a: float, more: float) -> None:
    """Cold resistance falls with the rating, interpolated or continued."""
    assert fuse_resistance_ohm(rating_a * more, kind) <= fuse_resistance_ohm(rating_a, kind) * (1 + 1e-9)


def test_blade_colours_are_the_tables() -> None:
    """Each rating has its colour, and the ratings sold are those with a colour."""
    assert {rating: blade_colour(rating) for rating in standard_fuse_ratings_a("blade")} == COLOURS


def test_a_colour_alone_does_not_settle_a_large_rating() -> None:
    """Every rating of 50 A and more shares its colour with a smaller size of fuse."""
    assert all(min(blade_ratings_a(colour)) < 50 for colour in COLOURS.values())
    assert blade_ratings_a("red") == (10.0, 50.0)
