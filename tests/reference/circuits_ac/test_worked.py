"""Alternating current: published circuits as harnesses with a running engine, to the digits that are printed."""

from __future__ import annotations

import cmath
import math
from typing import Any

import pytest

from ohmtrail.circuit import Setting
from ohmtrail.circuit.flows import flow


def polar(value: complex) -> tuple[float, float]:
    """Magnitude, and angle in degrees."""
    return abs(value), math.degrees(cmath.phase(value))


def test_resistance_and_inductance_in_series(bench: Any, printed: Any) -> None:
    """5 Ω and 10 mH on 10 V at 60 Hz: 1.597 A and 37.016° behind; 7.985 V and 6.020 V do not add up to 10."""
    made = bench(windings={"G": ("1", "0", 10.0, 1e-6, 10.0, 60.0)}, resistors={"R1": ("1", "0", 5.0)})
    amps, angle = polar(made.amps("R1"))
    assert (amps, angle) == (printed("1.597"), printed("-37.016"))
    assert polar(made.volts("1")) == (printed("7.985"), printed("-37.02"))
    assert polar(10.0 - made.volts("1")) == (printed("6.020"), printed("52.98"))
    assert 10.0 / amps == printed("6.262")


def test_a_winding_of_forty_ohms(bench: Any, printed: Any) -> None:
    """40 Ω and 79.58 mH at 60 Hz, shorted by a lead that is counted to the 40 Ω: 50 Ω at 36.87°."""
    made = bench(windings={"G": ("1", "0", 50.0, 39.989, 79.58, 60.0)}, wires={"short": ("1", "0", 0.011)})
    size, angle = polar(50.0 / made.amps("short"))
    assert (size, angle) == (printed("50.00"), printed("36.87"))
    assert complex(50.0 / made.amps("short")).imag == printed("30.00")


@pytest.mark.parametrize(("hertz", "ohms", "amps"), [(60.0, "1.13", "106"), (10e3, "188", "0.637")])
def test_reactance_follows_the_frequency(bench: Any, printed: Any, hertz: float, ohms: str, amps: str) -> None:
    """3.00 mH on 120 V: 1.13 Ω and 106 A at 60 Hz, 188 Ω and 0.637 A at 10 kHz; the lead is 11 mΩ."""
    made = bench(windings={"G": ("1", "0", 120.0, 1e-6, 3.0, hertz)}, wires={"short": ("1", "0", 0.011)})
    assert abs(made.amps("short")) == printed(amps)
    assert complex(120.0 / made.amps("short")).imag == printed(ohms)


def test_resistance_and_capacitance_in_series(bench: Any, printed: Any) -> None:
    """5 Ω and 100 µF on 10 V at 60 Hz: 0.3705 A, 1.852 V at 79.33° and 9.827 V at -10.67°."""
    condenser = "C1: {kind: capacitor, at: tray, capacitance: 100 µF, mounts: {2: frame}}"
    made = bench(
        windings={"G": ("1", "0", 10.0, 1e-6, 0.0, 60.0)},
        resistors={"R1": ("1", "2", 4.983)},
        parts=condenser,
        leads="C1-1: {from: n2, to: C1.1, resistance: 0.001 Ω}",
    )
    # its lead (11 mΩ) and the seats of both parts on the frame (3 mΩ each) are counted to the 5 Ω
    assert abs(made.amps("R1")) == printed("0.3705")
    assert polar(made.amps("R1") * 5.0) == (printed("1.852"), printed("79.33"))
    over = made.volts("C1.1", "C1.2")
    assert polar(over) == (printed("9.827"), printed("-10.67"))


def test_a_condenser_follows_the_engine(bench: Any) -> None:
    """At twice the frequency it passes twice the current."""
    found = []
    for hertz in (60.0, 120.0):
        made = bench(
            windings={"G": ("1", "0", 1.0, 1e-6, 0.0, hertz)},
            parts="C1: {kind: capacitor, at: tray, capacitance: 1 µF, mounts: {2: frame}}",
            leads="C1-1: {from: G.1, to: C1.1, resistance: 0.001 Ω}",
        )
        found.append(abs(made.amps("C1-1")))
    assert found[0] == pytest.approx(2 * math.pi * 60.0 * 1e-6, rel=1e-4)
    assert found[1] == pytest.approx(2 * found[0], rel=1e-4)


def rectified(bench: Any, wave: str, peak: float, load: float) -> float:
    """Mean volts behind a rectifier's resistance: those at its output and what its own 0.5 Ω take."""
    sides = {"half": "input: [U, 31], output: [B+, 31]", "full": "input: [U, V], output: [B+, 31]"}[wave]
    far = "31" if wave == "half" else "V"
    held = f"{far}: frame" if wave == "half" else ""
    made = bench(
        windings={"G": ("1", "0", peak / math.sqrt(2.0), 1e-6, 0.0, 60.0)},
        parts=f"D: {{kind: rectifier, at: tray, wave: {wave}, {sides}, load: 10 kΩ, resistance: 0.5 Ω, mounts: {{{held}}}}}\n"
        f"R: {{kind: resistor, at: tray, resistance: {load} Ω}}",
        leads="G-U: {from: G.1, to: D.U, resistance: 0.001 Ω}\n"
        + ("" if wave == "half" else "G-V: {from: G.2, to: D.V, resistance: 0.001 Ω}\n")
        + "plus: {from: D.B+, to: R.1, resistance: 0.001 Ω}\nminus: {from: R.2, to: D.31, resistance: 0.001 Ω}",
    )
    solved = flow(made.electrics, Setting(engine="running"), "dc")
    return float(solved.at("D.B+") - solved.at("D.31") + 0.5 * solved.through("R"))


def test_a_half_wave_through_a_silicon_diode(bench: Any) -> None:
    """15 V peak: 4.456 V on average, to a hundredth; without the diode it were 4.775 V."""
    assert rectified(bench, "half", 15.0, 10.0) == pytest.approx(4.456, abs=0.01)


@pytest.mark.parametrize(("wave", "share"), [("half", "0.318"), ("full", "0.637")])
def test_means_of_rectified_sines(bench: Any, printed: Any, wave: str, share: str) -> None:
    """Of volts so high that junctions do not count: 0.318 and 0.637 of the peak."""
    assert rectified(bench, wave, 1e5, 1e5) / 1e5 == printed(share)


def test_ten_volts_rms_heat_like_ten_volts(bench: Any, printed: Any) -> None:
    """10 V RMS into 2 Ω are 50 W, as 10 V of a battery are."""
    turned = bench(windings={"G": ("1", "0", 10.0, 1e-6, 0.0, 60.0)}, resistors={"R1": ("1", "0", 2.0)})
    steady = bench({"V1": ("1", "0", 10.0)}, {"R1": ("1", "0", 2.0)})
    assert abs(turned.amps("R1")) ** 2 * 2.0 == printed("50.00")
    assert abs(steady.amps("R1")) ** 2 * 2.0 == printed("50.00")
