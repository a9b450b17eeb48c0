"""A machine with its plus at the frame: what is live lies below it, and the meter shows volts above nought all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.circuit import Electrics, function_setting
from ohmtrail.circuit.meter import Meter, measure
from ohmtrail.diagnosis.candidates import Surroundings, measurements
from ohmtrail.diagnosis.expected import live_steps
from ohmtrail.diagnosis.table import single_rows
from ohmtrail.faults import faults_of
from ohmtrail.harness import load_harness

TEXT = """\
harness: pump
supply: {nominal: 6 V, earthed: positive}
places: {box: {reach: 1 min}, side: {reach: 2 min}}
parts:
  battery: {kind: battery, at: box, volts: 6.3 V}
  key: {kind: switch, at: box, rests: off, positions: {off: [], on: [[30, 15]]}}
  pump: {kind: motor, at: side, resistance: 1 Ω, between: [15, 31]}
leads:
  feed: {from: battery.-, to: key.30, size: 4 mm2, length: 1 m}
  live: {from: key.15, to: pump.15, size: 4 mm2, length: 1 m}
  back: {from: pump.31, to: frame, size: 4 mm2, length: 1 m}
  plus: {from: battery.+, to: frame, size: 4 mm2, length: 1 m}
functions:
  pumps: {when: {key: on}, needs: [{works: pump}]}
"""


@pytest.fixture
def pump(tmp_path: Path) -> Path:
    """Write the machine."""
    path = tmp_path / "pump.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_volts_on_the_sheet_have_the_red_probe_on_the_frame(pump: Path) -> None:
    """Kirchhoff's voltage law: between two points the volts are what the battery has less what the leads take."""
    harness = load_harness(pump)
    electrics, meter = Electrics(harness), Meter()
    steps = live_steps(electrics, meter, frozenset(harness.terminals), ("pumps",))
    assert {(step.red, step.black) for step in steps} >= {("frame", "key.15"), ("frame", "pump.15"), ("battery.+", "battery.-")}
    for step in steps:
        shown, _ = measure(electrics, meter, step.quantity, [(step.red, step.black)], step.setting)
        assert 5.0 < float(shown[0, 0, 0]) < 6.31, step
    assert harness.place_of(next(step for step in steps if "pump.15" in (step.red, step.black)).probed) == "side"
    assert function_setting(harness, harness.functions["pumps"]) in {step.setting for step in steps}


def test_a_proposed_reading_has_the_red_probe_on_the_frame(pump: Path) -> None:
    """So that the meter shows no minus; where there is no minus to show, the frame has the black one."""
    electrics = Electrics(load_harness(pump))
    around = Surroundings(electrics, single_rows(faults_of(electrics.network, year=2026)))
    setting = function_setting(electrics.harness, electrics.harness.functions["pumps"])
    pairs = measurements(around, setting, "volts", Meter())
    assert {pair for pair in pairs if "frame" in pair} == {("frame", point) for point in ("key.15", "key.30", "pump.15", "pump.31", "battery.-", "battery.+")}
    assert ("pump.15", "frame") in measurements(around, setting, "ac", Meter())


def test_two_points_the_wrong_way_round_are_told_as_such() -> None:
    """No lead is astray, and no way is open: the remedy is the line as it should be."""
    text = TEXT.replace("{works: pump}", "{dc: [pump.15, frame], at_least: 5 V}")
    found = [item for item, _, _ in workbench.check("pump.yaml", text=text).findings if item.serious]
    assert [item.code for item in found] == ["unmet"]
    assert found[0].remedy == "the two points are the wrong way round: write 'dc: [frame, pump.15]'"
