"""Flexible conductors against IEC 60228:2004 table 3 (secondary reproduction)."""

import pytest

from ohmtrail.harness.standards import (
    class5_maximum_ohm_per_m,
    resistance_ohm_per_m,
    stranding_band,
)

# size in mm2: plain, tinned; Ω/km at 20 °C
CLASS5 = {
    0.5: (39.0, 40.1),
    0.75: (26.0, 26.7),
    1.0: (19.5, 20.0),
    1.5: (13.3, 13.7),
    2.5: (7.98, 8.21),
    4.0: (4.95, 5.09),
    6.0: (3.30, 3.39),
    10.0: (1.91, 1.95),
    16.0: (1.21, 1.24),
    25.0: (0.780, 0.795),
}

# °C: factor that refers a resistance measured there to 20 °C
KT = {
    5: 1.064,
    10: 1.042,
    15: 1.020,
    20: 1.000,
    25: 0.980,
    30: 0.962,
    35: 0.943,
    40: 0.926,
    45: 0.909,
    50: 0.893,
    60: 0.862,
    70: 0.833,
    80: 0.806,
    90: 0.781,
    100: 0.758,
}


@pytest.mark.parametrize("size_mm2", CLASS5)
def test_maxima_are_the_tables(size_mm2: float) -> None:
    """Plain and tinned maxima are those printed, to the last digit."""
    plain, tinned = CLASS5[size_mm2]
    assert class5_maximum_ohm_per_m(size_mm2) * 1000 == pytest.approx(plain, rel=1e-9)
    assert class5_maximum_ohm_per_m(size_mm2, material="tinned copper") * 1000 == pytest.approx(
        tinned, rel=1e-9
    )


@pytest.mark.parametrize("size_mm2", CLASS5)
def test_our_copper_lies_a_tenth_below_what_is_permitted(size_mm2: float) -> None:
    """The permitted maximum over our resistance is 1.107 to 1.158, as the stranding band says."""
    least, most = stranding_band()
    ratio = CLASS5[size_mm2][0] / 1000 / resistance_ohm_per_m(size_mm2)
    assert (least, most) == (1.107, 1.158)
    assert 1.107 <= ratio <= 1.158


@pytest.mark.parametrize("size_mm2", CLASS5)
def test_tinned_copper_stays_below_what_is_permitted(size_mm2: float) -> None:
    """Our tinned copper lies between plain copper and the tinned maximum."""
    ours = resistance_ohm_per_m(size_mm2, material="tinned copper")
    assert resistance_ohm_per_m(size_mm2) < ours < CLASS5[size_mm2][1] / 1000


@pytest.mark.parametrize("temperature_c", KT)
def test_temperature_moves_copper_as_the_table_says(temperature_c: int) -> None:
    """Our factor, printed to three decimals like the table's, is within 0.4 % (0.00393 against 0.004)."""
    ours = resistance_ohm_per_m(2.5) / resistance_ohm_per_m(2.5, temperature_c=float(temperature_c))
    assert round(ours, 3) == pytest.approx(KT[temperature_c], rel=0.004)


@pytest.mark.parametrize("temperature_c", KT)
def test_the_table_is_made_with_another_coefficient(temperature_c: int) -> None:
    """The printed factors are 250 / (230 + T): what parts us from them is the coefficient, nothing else."""
    assert KT[temperature_c] == pytest.approx(250 / (230 + temperature_c), abs=0.00051)
