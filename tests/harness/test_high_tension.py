"""The plug lead is high tension whether the file says so or not: no meter touches it while the engine turns."""

from __future__ import annotations

from pathlib import Path

from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis.candidates import dangerous
from ohmtrail.harness import load_harness, parse_harness
from ohmtrail.harness.assumed import assumed_values
from ohmtrail.harness.text import read_tree

CIRCUITS = Path(__file__).parents[2] / "circuits"
TEXT = """\
harness: engine
places: {box: {reach: 1 min}}
parts:
  coil: {kind: coil, at: box, primary: {between: [15, 1], resistance: 3 Ω}, secondary: {between: [4, 1], resistance: 7 kΩ}}
  plug: {kind: spark-plug, at: box, mounts: {31: frame}}
  points: {kind: points, at: box, rests: closed, positions: {closed: [[1, 31]], open: []}, mounts: {31: frame}}
leads:
  low: {from: coil.1, to: points.1}
  ht: {from: coil.4, to: plug.HT}
"""


def test_a_lead_at_a_plug_is_high_tension() -> None:
    """It is told among what is taken, and its ends are out of bounds."""
    harness = parse_harness(read_tree(TEXT, file="engine.yaml"))
    assert harness.high_tension == {"ht"}
    assert ("lead", "high tension, as it ends at a plug or a coil", ("ht",)) in [(item.kind, item.values, item.names) for item in assumed_values(harness)]
    assert dangerous(harness, Meter(), live=True) >= {"plug.HT", "coil.4", "ht.from", "ht.to"}
    assert "coil.1" not in dangerous(harness, Meter(), live=True)


def test_machines_that_say_it_are_as_they_were() -> None:
    """What the shipped files mark is all that there is."""
    for path in CIRCUITS.glob("*.yaml"):
        harness = load_harness(path)
        assert harness.high_tension == {name for name, lead in harness.leads.items() if lead.high_tension}
