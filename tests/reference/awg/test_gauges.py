"""American wire gauge against ASTM B258-02 and printed wire tables; SAE gauge against a catalogue."""

import math

import pytest

from ohmtrail.harness.standards import resistance_ohm_per_m, sae_area_mm2
from ohmtrail.units import awg_area_mm2, quantity

FOOT_M = 0.3048
CMIL_MM2 = math.pi / 4 * 0.0254**2

# gauge: diameter in inch, circular mils, Ω per 1000 ft at 20 °C
AWG = {
    22: (0.02535, 642.5, 16.14),
    20: (0.03196, 1022, 10.15),
    18: (0.04030, 1624, 6.385),
    16: (0.05082, 2583, 4.016),
    14: (0.06408, 4107, 2.525),
    12: (0.08081, 6530, 1.588),
    10: (0.1019, 10380, 0.9989),
    8: (0.1285, 16510, 0.6282),
    6: (0.1620, 26250, 0.3951),
    4: (0.2043, 41740, 0.2485),
}
# gauge: circular mils
SAE = {18: 1537, 16: 2336, 14: 3702, 12: 5833, 10: 9343, 8: 14810, 6: 24538, 4: 37360}


@pytest.mark.parametrize("gauge", AWG)
def test_diameter_and_area_are_the_tables(gauge: int) -> None:
    """Diameter and circular mils agree with the wire table to its four digits."""
    diameter_in, cmil, _ = AWG[gauge]
    area_mm2 = awg_area_mm2(gauge)
    assert math.sqrt(area_mm2 * 4 / math.pi) / 25.4 == pytest.approx(diameter_in, rel=5e-4)
    assert area_mm2 / CMIL_MM2 == pytest.approx(cmil, rel=5e-4)


@pytest.mark.parametrize("gauge", AWG)
def test_resistance_is_the_tables(gauge: int) -> None:
    """Ohms per 1000 ft of solid copper at 20 °C agree to the four digits printed."""
    ohm = resistance_ohm_per_m(awg_area_mm2(gauge)) * 1000 * FOOT_M
    assert ohm == pytest.approx(AWG[gauge][2], rel=5e-4)


@pytest.mark.parametrize("gauge", [-3, 0, 4, 18, 30])
def test_rules_of_thumb(gauge: int) -> None:
    """Three gauges on, twice the resistance; ten, ten times; six, half the diameter (1 % and 2 %)."""
    area = awg_area_mm2(gauge)
    assert area / awg_area_mm2(gauge + 3) == pytest.approx(2, rel=0.01)
    assert area / awg_area_mm2(gauge + 10) == pytest.approx(10, rel=0.02)
    assert math.sqrt(area / awg_area_mm2(gauge + 6)) == pytest.approx(2, rel=0.01)


@pytest.mark.parametrize(
    ("text", "gauge"), [("4/0 AWG", -3), ("0000 AWG", -3), ("1/0 AWG", 0), ("18 awg", 18)]
)
def test_written_gauges(text: str, gauge: int) -> None:
    """Gauges are read as people write them; m/0 is 1 - m."""
    assert quantity(text, "square millimetre") == awg_area_mm2(gauge)


@pytest.mark.parametrize("gauge", SAE)
def test_sae_gauge_is_the_catalogues_and_smaller(gauge: int) -> None:
    """SAE areas are those printed and 4 to 12 % below the AWG of the same number."""
    assert sae_area_mm2(gauge) / CMIL_MM2 == pytest.approx(SAE[gauge], rel=1e-9)
    assert 0.04 < 1 - sae_area_mm2(gauge) / awg_area_mm2(gauge) < 0.12
