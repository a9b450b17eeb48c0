"""What a meter does to the circuit it reads: worked examples through harness, solver and meter."""

from __future__ import annotations

from typing import Any

import pytest

from ohmtrail.circuit import Setting
from ohmtrail.circuit.meter import Meter, measure


def shown(made: Any, meter: Meter, red: str, black: str = "0") -> float:
    """What a meter shows between two nodes."""
    pair = (made.point(red), made.point(black))
    return float(measure(made.electrics, meter, "volts", [pair], Setting())[0][0, 0, 0])


def test_ten_megohms_on_two_hundred_and_fifty(bench: Any, printed: Any) -> None:
    """12 V stand there until the meter is put on: then 0.8889 V, and 23.1111 V over the other."""
    high = {"R1": ("1", "2", 250e6), "R2": ("0", "2", 250e6)}
    made = bench({"V1": ("1", "0", 24.0)}, wires=high)
    assert made.volts("2") == printed("12.0000")
    meter = Meter(input_ohm=10e6)
    assert shown(made, meter, "2") == printed("0.8889")
    assert 24.0 - shown(made, meter, "2") == printed("23.1111")
    loaded = bench({"V1": ("1", "0", 24.0)}, wires={**high, "meter": ("0", "2", 10e6)})
    assert loaded.volts("2") == printed("0.8889")
    pair = bench(wires={"R2": ("0", "2", 250e6), "meter": ("0", "2", 10e6)})
    assert pair.ohms("2", "0") == printed("9.615", unit=1e6)


def test_a_thousand_ohms_per_volt(bench: Any, printed: Any) -> None:
    """1 MΩ in all lets 1 mA through at 1000 V."""
    made = bench({"V1": ("1", "0", 1000.0)}, {"range": ("1", "2", 999e3), "movement": ("2", "0", 1e3)})
    assert made.amps("movement") == printed("1.000", unit=1e-3)


def test_a_movement_becomes_a_voltmeter(bench: Any) -> None:
    """25 Ω and 50 µA: 200 kΩ before it make full scale 10 V, to the three digits printed."""
    made = bench({"V1": ("1", "0", 10.0)}, {"range": ("1", "2", 200e3), "movement": ("2", "0", 25.0)})
    assert made.amps("movement").real == pytest.approx(50e-6, rel=0.5e-3 / 2.0)


def test_a_movement_becomes_an_ammeter(bench: Any) -> None:
    """25 Ω and 50 µA: 1.25 mΩ beside it, joints and all, make full scale 1.0 A, to the three digits printed."""
    made = bench(
        {"V1": ("1", "0", 12.0)},
        {"rest": ("1", "2", 12.0), "movement": ("2", "0", 25.0)},
        leads="shunt: {from: n2, to: V1.-, size: 50 mm2, resistance: 1.05 mΩ}",
    )
    assert abs(made.amps("V1")) == pytest.approx(1.0, rel=2e-4)
    assert made.amps("movement").real / abs(made.amps("V1")) == pytest.approx(50e-6, rel=0.5e-2 / 1.25)


def test_a_cell_under_a_poor_voltmeter(bench: Any, printed: Any) -> None:
    """1.585 V behind 0.100 Ω show 1.5848 V on 1.00 kΩ: 1.58 mA, a share of 0.99990."""
    reading = shown(bench({"V1": ("1", "0", 1.585, 0.1)}, {"far": ("1", "0", 1e9)}), Meter(input_ohm=1e3), "1")
    assert reading == printed("1.5848")
    assert reading / 1e3 == printed("1.58", unit=1e-3)
    assert reading / 1.585 == printed("0.99990")


def test_an_ammeter_takes_a_fifth_of_a_percent(bench: Any, printed: Any) -> None:
    """0.0200 Ω in series with 10.00 Ω: 10.02 Ω, and 0.20 % less current."""
    without = bench({"V1": ("1", "0", 10.0)}, {"R1": ("1", "0", 10.0)})
    inside = bench({"V1": ("1", "0", 10.0)}, {"R1": ("2", "0", 10.0)}, {"ammeter": ("1", "2", 0.02)})
    assert inside.ohms("1", "0") == printed("10.02")
    assert 100.0 * (1.0 - inside.amps("R1").real / without.amps("R1").real) == printed("0.20")


@pytest.mark.parametrize(("kilohms", "scale"), [(9.0, 0.5), (27.0, 0.25), (3.0, 0.75)])
def test_the_scale_of_a_series_ohmmeter(bench: Any, kilohms: float, scale: float) -> None:
    """9 V, a movement of 1 mA and 500 Ω, 8.5 kΩ: half scale at 9 kΩ, quarters at 27 and 3 kΩ."""
    made = bench(resistors={"Rx": ("1", "0", 1e3 * kilohms)})
    pair = (made.point("1"), made.point("0"))
    volts = made.electrics.fed(Setting(battery=False), pair, (9.0, 500.0 + 8500.0))[0]
    assert (9.0 - float(volts)) / 9e3 == pytest.approx(scale * 1e-3, rel=1e-4)


def test_a_shunt_of_one_ohm(bench: Any, printed: Any) -> None:
    """12 V over 1 Ω and 15 kΩ: 0.7999 mV stand over the shunt."""
    made = bench({"V1": ("1", "0", 12.0)}, wires={"shunt": ("1", "2", 1.0), "load": ("0", "2", 15e3)})
    assert made.volts("1", "2").real == printed("0.7999", unit=1e-3)
