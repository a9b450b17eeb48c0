"""Fuses: what is refused. Published values and properties: tests/reference/fuses."""

import math
from collections.abc import Callable

import pytest

from ohmtrail.errors import QuantityError, UnknownName
from ohmtrail.harness.fuses import (
    blade_colour,
    blade_ratings_a,
    fuse_kinds,
    fuse_resistance_ohm,
    opening_band_s,
    standard_fuse_ratings_a,
)


@pytest.mark.parametrize("kind", fuse_kinds())
def test_every_kind_has_a_full_set_of_tables(kind: str) -> None:
    """Ratings that rise, a resistance above zero and a curve for each."""
    ratings = standard_fuse_ratings_a(kind)
    assert list(ratings) == sorted(set(ratings))
    for rating_a in ratings:
        assert 0 < fuse_resistance_ohm(rating_a, kind) < 1
        assert 0 < opening_band_s(rating_a, 3 * rating_a, kind)[0] < math.inf


def test_far_beyond_the_tables_a_fuse_needs_constant_heat() -> None:
    """From 20 to 40 times the rating the time falls to a quarter."""
    at_20, at_40 = (opening_band_s(10, times * 10, "glass") for times in (20, 40))
    assert at_20 == pytest.approx((4 * at_40[0], 4 * at_40[1]))


def test_a_large_glass_fuse_has_no_promise_below_its_first_point() -> None:
    """Between 100 % and 135 % a 40 A glass fuse may last for ever, and at least as long as at 135 %."""
    assert opening_band_s(40, 44, "glass") == (60.0, math.inf)


@pytest.mark.parametrize(
    "read", [fuse_resistance_ohm, lambda rating, kind: opening_band_s(rating, 1.0, kind)]
)
def test_an_unknown_kind_or_rating_is_refused(read: Callable[[float, str], object]) -> None:
    """The kinds there are, and the rating given, stand in the error."""
    with pytest.raises(UnknownName, match="no kind of fuse 'torpedo'; there is glass, blade"):
        read(8.0, "torpedo")
    with pytest.raises(QuantityError, match="'0' is not a fuse rating in ampere above zero"):
        read(0.0, "glass")


def test_unknown_blades_name_their_neighbours() -> None:
    """12 A is no blade fuse, 10 and 15 A are; and a colour is met with the colours there are."""
    with pytest.raises(
        UnknownName, match=r"no blade fuse of '12 A'.*10 A.*15 A|no blade fuse of '12 A'.*15 A"
    ):
        blade_colour(12)
    with pytest.raises(UnknownName, match="did you mean 'yellow'"):
        blade_ratings_a("yelow")
    with pytest.raises(UnknownName, match="no kind of fuse"):
        standard_fuse_ratings_a("wire")
