"""Changes: what is gone is gone in every regime."""

from pathlib import Path

import numpy as np
import pytest

from ohmtrail.circuit import Change, Electrics, Mode, Network, Setting, put
from ohmtrail.circuit.draws import nominal
from ohmtrail.circuit.network import Regime
from ohmtrail.harness import Harness, parse_harness
from ohmtrail.harness.text import read_tree

CIRCUITS = Path(__file__).parents[2] / "circuits"
DEAD = Setting(battery=False)


@pytest.fixture
def lamp() -> Electrics:
    """A battery, a fuse, a 12 V 21 W lamp and a diode beside it."""
    harness = Harness.model_validate(
        {
            "harness": "one lamp",
            "places": {"bench": {"reach": "1 min"}},
            "parts": {
                "battery": {"kind": "battery", "at": "bench"},
                "lamp": {"kind": "lamp", "at": "bench", "watts": "21 W"},
                "diode": {"kind": "diode", "at": "bench"},
            },
            "leads": {
                "feed": {"from": "battery.+", "to": "lamp.1"},
                "earth": {"from": "lamp.2", "to": "battery.-"},
                "aside": {"from": "lamp.1", "to": "diode.1"},
                "home": {"from": "diode.2", "to": "lamp.2"},
            },
            "functions": {"light": {"needs": [{"lit": "lamp"}]}},
        }
    )
    return Electrics(harness, machines=[nominal(Network.of(harness).branches)])


def _ohms(electrics: Electrics, setting: Setting, *changes: Change) -> float:
    return float(electrics.read("ohms", setting, [("lamp.1", "lamp.2")], electrics.cases([changes])).value[0, 0, 0])


def test_an_ohmmeter_sees_a_blown_filament(lamp: Electrics) -> None:
    """Cold, a sound one shows a tenth of 12 V squared over 21 W; of a blown one the junction's megohms are left."""
    assert _ohms(lamp, DEAD) == pytest.approx(0.1 * 12**2 / 21, rel=0.01)
    assert _ohms(lamp, DEAD, Change(Mode.KILL, "lamp")) > 1e6


def test_an_ohmmeter_sees_that_a_bulb_is_out(lamp: Electrics) -> None:
    """A bulb in the hand is no way for the meter's current."""
    assert _ohms(lamp, put(lamp.harness, DEAD, out=["lamp"])) > 1e6


def test_what_is_gone_carries_nothing_while_the_battery_is_on(lamp: Electrics) -> None:
    """A dead filament's own law is gone; nothing is taken from it twice."""
    gone = lamp.cases([(Change(Mode.KILL, "lamp"),), ()])
    volts = lamp.read("dc", Setting(), [("feed.from", "feed.to")], gone).value[0, :, 0]
    assert abs(volts[0]) < 1e-6 < volts[1]
    assert np.isfinite(volts).all()


@pytest.mark.parametrize("regime", ["dc", "ac"])
def test_a_filament_that_alone_holds_a_point_can_be_taken_away(regime: Regime) -> None:
    """A lamp that the file gives a lead on one side only: gone, it leaves a point by itself and the rest as it was."""
    text = (CIRCUITS / "outboard.yaml").read_text(encoding="utf-8")
    start = text.index("  lantern-3:\n")
    text = text[:start] + text[text.index("  lantern-earth-1:", start) :]
    electrics = Electrics(parse_harness(read_tree(text, file="boat.yaml")), count=1)
    running = put(electrics.harness, Setting(), engine="running")
    pairs = [("lantern.58", "frame"), ("rectifier.U", "rectifier.V"), ("lantern.31", "frame")]
    cases = electrics.cases([(), (Change(Mode.KILL, "lantern"),)])
    sound, gone = electrics.read(regime, running, pairs, cases).value[0]
    assert np.abs(gone[[0, 2]]).max() < 0.1
    assert gone[1] == pytest.approx(sound[1], rel=1e-6, abs=1e-6)
