"""A test lamp: bright on a feed, out behind a small bulb that it then lights."""

from __future__ import annotations

import math

import pytest
from scipy.optimize import brentq

from ohmtrail.circuit import Electrics, Setting
from ohmtrail.circuit.meter import LAMP_OUT, Meter, measure
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree

OIL = """
harness: oil lamp
places: {tray: {reach: 1 min}}
parts:
  battery: {kind: battery, at: tray, volts: 12.6 V, resistance: 20 mΩ, mounts: {"-": frame}}
  bulb: {kind: lamp, at: tray, filaments: {one: {between: [1, 2], watts: WATTS W}}}
  switch: {kind: switch, at: tray, rests: shut, positions: {open: [], shut: [[1, 2]]}, mounts: {2: frame}}
leads:
  feed: {from: battery.+, to: bulb.1}
  away: {from: bulb.2, to: switch.1}
"""


def _shown(watts: float, red: str, setting: Setting) -> float:
    electrics = Electrics(parse_harness(read_tree(OIL.replace("WATTS", f"{watts:g}"), file="oil.yaml")), count=1)
    return float(measure(electrics, Meter(), "lamp", [(red, "frame")], setting)[0][0, 0, 0])


def _filament_amps(volts: float, watts: float) -> float:
    """Standard Handbook for Electrical Engineers, 11th ed., p. 22-8: near rated volts I ~ V^0.55; cold a tenth of hot."""
    hot = 144.0 / watts
    return volts / (hot * math.sqrt(0.01 + 0.99 * (volts / 12.0) ** 0.9))


@pytest.mark.parametrize("watts", [1.2, 2.0, 5.0, 21.0, 55.0])
def test_behind_a_bulb_the_test_lamp_is_in_series_with_it(watts: float) -> None:
    """Both carry one current, and their volts are the battery's together: solved by bisection."""
    opened = Setting(positions=(("switch", "open"),))
    own = Meter().test_lamp_w
    wanted = brentq(lambda volts: _filament_amps(volts, own) - _filament_amps(12.6 - volts, watts), 1e-6, 12.6 - 1e-6)
    shown = _shown(watts, "bulb.2", opened)
    assert shown == pytest.approx(wanted, rel=0.03)
    assert (shown < LAMP_OUT * 12.0) == (watts < own / 2.0)


def test_on_the_feed_it_is_bright_and_at_an_earthed_point_it_is_out() -> None:
    """The feed carries it without a loss; the closed switch leaves nothing for it."""
    assert _shown(2.0, "bulb.1", Setting()) == pytest.approx(12.6, abs=0.1)
    assert _shown(2.0, "bulb.2", Setting()) < 0.1
