"""Road-vehicle cable against DIN ISO 6722 part 3 (secondary reproduction)."""

import pytest

from ohmtrail.harness.standards import guide_current_a, iso6722_maximum_ohm_per_m, resistance_ohm_per_m

# size in mm2: most mΩ/m at 20 °C, guide ampere at 30 °C and at 50 °C
ROWS = {
    1.0: (18.5, 19, 13.5),
    1.5: (12.7, 24, 17),
    2.5: (7.6, 32, 22.7),
    4.0: (4.71, 42, 29.8),
    6.0: (3.14, 54, 38.3),
    10.0: (1.82, 73, 51.8),
    16.0: (1.16, 98, 69.6),
    25.0: (0.743, 129, 91.6),
    35.0: (0.527, 158, 112),
    50.0: (0.368, 198, 140),
}
FROM_MEMORY = (0.22, 0.35, 0.5, 0.75)


@pytest.mark.parametrize("size_mm2", ROWS)
def test_maxima_are_the_tables(size_mm2: float) -> None:
    """Maxima are those printed, to the last digit, and above our own copper."""
    assert iso6722_maximum_ohm_per_m(size_mm2) * 1000 == pytest.approx(ROWS[size_mm2][0], rel=1e-9)
    assert iso6722_maximum_ohm_per_m(size_mm2) > resistance_ohm_per_m(size_mm2)


@pytest.mark.parametrize("size_mm2", ROWS)
def test_guide_currents_are_the_tables(size_mm2: float) -> None:
    """Guide currents at 30 °C and 50 °C are those printed, to the last digit."""
    _, at_30, at_50 = ROWS[size_mm2]
    assert guide_current_a(size_mm2) == pytest.approx(at_30, rel=1e-9)
    assert guide_current_a(size_mm2, 50.0) == pytest.approx(at_50, rel=1e-9)


@pytest.mark.parametrize("size_mm2", [*FROM_MEMORY, *ROWS])
def test_all_sizes_join_smoothly(size_mm2: float) -> None:
    """Resistance times area is 18.2 to 19.1 mΩ mm2/m in every row; sizes below 1 mm2 are from memory."""
    assert 18.2 <= round(iso6722_maximum_ohm_per_m(size_mm2) * 1000 * size_mm2, 6) <= 19.1
