"""A battery on charge rises well above its rested volts, and takes few amps for it."""

from __future__ import annotations

import pytest

from ohmtrail.circuit import Change, Electrics, Mode, Setting, function_setting
from ohmtrail.circuit.meter import Meter, measure
from ohmtrail.harness import load_harness, parse_harness
from ohmtrail.harness.text import read_tree

#: a battery on a bench supply of 14.2 V and some ohms: the supply is a battery that is held up by its low resistance
BENCH = """
harness: battery on a bench supply
places: {{bench: {{reach: 1 min}}}}
parts:
  supply: {{kind: battery, at: bench, volts: {volts} V, resistance: 1 mΩ, mounts: {{"-": frame}}}}
  battery: {{kind: battery, at: bench, volts: 12.6 V, resistance: 20 mΩ, mounts: {{"-": frame}}}}
leads:
  long: {{from: supply.+, to: battery.+, resistance: 0.2 Ω}}
"""


def _bench(volts: float, *, changes: tuple[Change, ...] = ()) -> tuple[float, float]:
    """Volts at the battery's posts and amps in its lead."""
    electrics = Electrics(parse_harness(read_tree(BENCH.format(volts=volts), file="bench.yaml")))
    cases = electrics.cases([changes])
    shown = measure(electrics, Meter(), "volts", [("battery.+", "battery.-")], Setting(), cases)[0]
    amps = measure(electrics, Meter(clamp=True), "amps", [("long", "long")], Setting(), cases)[0]
    return float(shown[0, 0, 0]), abs(float(amps[0, 0, 0]))


@pytest.mark.parametrize(
    ("name", "function"), [("trail-motorcycle", "charging"), ("utility-car", "charge"), ("ride-on-mower", "charge")]
)
def test_a_battery_that_is_charged_stands_at_thirteen_to_fifteen_volts(name: str, function: str) -> None:
    """13.2 to 14.8 V with the engine running, 12.6 V at rest (common practice, no source)."""
    harness = load_harness(f"circuits/{name}.yaml")
    electrics, pair = Electrics(harness), [("battery.+", "battery.-")]
    running = measure(electrics, Meter(), "volts", pair, function_setting(harness, harness.functions[function]))[0]
    assert 13.2 <= float(running[0, 0, 0]) <= 14.8
    assert float(measure(electrics, Meter(), "volts", pair, Setting())[0][0, 0, 0]) == pytest.approx(12.6, abs=1e-5)


def test_on_charge_it_takes_a_fortieth_of_what_the_same_volts_would_draw_from_it() -> None:
    """Two volts more: I = 2 / (0.211 + 40 x 0.02) A; two less: I = 2 / (0.21 + 0.02 + 40 x 0.001) A, by
    Ohm's law.

    The lead has 0.2 Ω, each of its joints 5 mΩ, the supply 1 mΩ; when it is lower, it is the one that is charged.
    """
    _, charged = _bench(14.6)
    _, drained = _bench(10.6)
    # the bend before it counts as on charge is worth a tenth of an ampere
    assert charged == pytest.approx(2.0 / (0.211 + 0.8), rel=0.05)
    assert drained == pytest.approx(2.0 / (0.21 + 0.02 + 0.04), rel=0.05)


def test_a_battery_with_a_bad_plate_is_charged_by_its_own_resistance() -> None:
    """A changed battery is a plain source with its resistance: what it refuses goes with the change."""
    volts, amps = _bench(14.6, changes=(Change(Mode.SERIES, "battery", value=1.0),))
    assert amps == pytest.approx(2.0 / (0.211 + 1.02), rel=0.03)
    assert volts == pytest.approx(14.6 - 0.211 * amps, abs=0.02)
