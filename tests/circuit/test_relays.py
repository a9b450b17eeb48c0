"""Relays: a contact stays where its own coil holds it, whatever else the machine's faults leave alone."""

from __future__ import annotations

import pytest

from ohmtrail.circuit import Change, Electrics, Mode, Setting
from ohmtrail.circuit.flows import flow
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree

HORN = """
harness: horn relay
places: {tray: {reach: 1 min}}
parts:
  battery: {kind: battery, at: tray, volts: 12.6 V, resistance: 20 mΩ, mounts: {"-": frame}}
  button: {kind: switch, at: tray, rests: off, positions: {off: [], on: [[1, 2]]}}
  relay: {kind: relay, at: tray, resistance: 80 Ω, pulls_at: 7 V, mounts: {85: frame}}
  horn: {kind: horn, at: tray, resistance: 4 Ω, mounts: {2: frame}}
leads:
  feed: {from: battery.+, to: button.1}
  pull: {from: button.2, to: relay.86}
  supply: {from: battery.+, to: relay.30}
  blow: {from: relay.87, to: horn.1}
"""
PRESSED = Setting(positions=(("button", "on"),))


def horn_volts(changes: tuple[Change, ...], text: str = HORN) -> float:
    """Volts across the horn, the button pressed."""
    electrics = Electrics(parse_harness(read_tree(text, file="horn.yaml")), count=1)
    rows = electrics.cases([changes])
    return float(electrics.read("dc", PRESSED, [("horn.1", "horn.2")], rows).value[0, 0, 0])


@pytest.mark.parametrize(
    ("changes", "sounds"),
    [
        ((), True),
        ((Change(Mode.SERIES, "pull"),), False),
        ((Change(Mode.SERIES, "relay.coil"),), False),
        ((Change(Mode.SERIES, "pull", value=50.0),), True),  # 12.6 * 80 / (80 + 50) = 7.75 V
        ((Change(Mode.SERIES, "pull", value=80.0),), False),  # 12.6 * 80 / (80 + 80) = 6.3 V
        ((Change(Mode.SHUNT, a="relay.86", b="frame", value=0.01),), False),
        ((Change(Mode.KILL, "relay.30-87"),), False),
    ],
)
def test_a_contact_stays_closed_only_while_its_coil_holds_it(
    changes: tuple[Change, ...], sounds: bool
) -> None:
    """A fault that touches nothing but the coil lets the contact go."""
    assert (horn_volts(changes) > 9.0) == sounds


def test_volts_of_a_chattering_machine_belong_to_one_moment() -> None:
    """A relay that takes its own volts away has no rest; the contact told is the one the volts were solved with."""
    # a battery that a load of 4 Ω pulls down below what holds the relay
    electrics = Electrics(parse_harness(read_tree(HORN, file="horn.yaml")), count=1)
    weak = (Change(Mode.SERIES, "battery", value=4.0),)
    solved = flow(electrics, PRESSED, "dc", changes=weak)
    closed = bool(solved.conducts[electrics.network.index["relay.30-87"]])
    assert (solved.through("relay.30-87") > 0.5) == closed
    assert (solved.across("horn") > 2.0) == closed
