"""Conductors: what the published tables do not settle. Published values: tests/reference."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmtrail.errors import QuantityError, UnknownName
from ohmtrail.harness.conductors import (
    class5_maximum_ohm_per_m,
    guide_current_a,
    guide_current_basis,
    iso6722_maximum_ohm_per_m,
    materials,
    resistance_ohm_per_m,
    sae_area_mm2,
)

SIZES = st.floats(0.1, 120.0)


def test_metals_stand_in_their_order() -> None:
    """Copper conducts best, then tinned copper, aluminium, and the steel of the frame."""
    ohms = [resistance_ohm_per_m(1.0, material=name) for name in materials()]
    assert list(materials()) == ["copper", "tinned copper", "aluminium", "steel"]
    assert ohms == sorted(ohms)


@given(SIZES, st.sampled_from(["copper", "tinned copper", "aluminium", "steel"]), st.floats(-40.0, 150.0))
def test_a_warmer_lead_has_more_resistance(size_mm2: float, material: str, temperature_c: float) -> None:
    """Every material rises with temperature and stays above zero."""
    here = resistance_ohm_per_m(size_mm2, material=material, temperature_c=temperature_c)
    warmer = resistance_ohm_per_m(size_mm2, material=material, temperature_c=temperature_c + 1)
    assert 0 < here < warmer


@given(SIZES, SIZES, st.floats(-20.0, 69.0))
def test_a_thicker_lead_carries_more(one: float, other: float, ambient_c: float) -> None:
    """Guide current rises with size at any ambient, inside the table and beyond."""
    low, high = sorted((one, other))
    assert guide_current_a(low, ambient_c) <= guide_current_a(high, ambient_c) * (1 + 1e-9)


@given(SIZES, st.floats(-20.0, 120.0))
def test_a_hotter_place_carries_less(size_mm2: float, ambient_c: float) -> None:
    """Guide current falls with ambient temperature and never below nothing."""
    assert guide_current_a(size_mm2, ambient_c) >= guide_current_a(size_mm2, ambient_c + 1) >= 0


def test_air_as_hot_as_the_insulation_may_be_leaves_nothing() -> None:
    """Conductors may be 70 °C: well above that no current is left, at 65 °C some is."""
    assert guide_current_a(2.5, 75.0) == 0
    assert guide_current_a(2.5, 65.0) > 0


@pytest.mark.parametrize(
    ("size_mm2", "ambient_c", "basis"),
    [
        (1.0, 30.0, "table"),
        (50.0, 50.0, "table"),
        (2.0, 30.0, "interpolated"),
        (2.5, 40.0, "interpolated"),
        (0.75, 30.0, "extrapolated"),
        (70.0, 30.0, "extrapolated"),
        (2.5, 20.0, "extrapolated"),
    ],
)
def test_a_guide_current_says_what_it_rests_on(size_mm2: float, ambient_c: float, basis: str) -> None:
    """What the table does not hold is labelled."""
    assert guide_current_basis(size_mm2, ambient_c) == basis


def test_a_size_that_is_not_standard_names_its_neighbours() -> None:
    """1.2 mm2 is in no table; the standard sizes about it are named."""
    with pytest.raises(UnknownName, match=r"no standard size '1.2 mm2'.*1 mm2.*"):
        iso6722_maximum_ohm_per_m(1.2)
    with pytest.raises(UnknownName, match=r"no standard size '0.35 mm2'"):
        class5_maximum_ohm_per_m(0.35)


def test_unknown_materials_and_gauges_name_the_known() -> None:
    """A near miss is named."""
    with pytest.raises(UnknownName, match="did you mean 'aluminium'"):
        resistance_ohm_per_m(1.0, material="aluminum")
    with pytest.raises(UnknownName, match="there is copper, tinned copper"):
        class5_maximum_ohm_per_m(1.0, material="steel")
    with pytest.raises(UnknownName, match="no SAE gauge '13'"):
        sae_area_mm2(13)


@pytest.mark.parametrize("size_mm2", [0.0, -1.5])
def test_a_lead_without_copper_is_refused(size_mm2: float) -> None:
    """No division by zero, no negative resistance."""
    with pytest.raises(QuantityError, match="conductor size in mm2 above zero"):
        resistance_ohm_per_m(size_mm2)
    with pytest.raises(QuantityError, match="conductor size in mm2 above zero"):
        guide_current_a(size_mm2)
