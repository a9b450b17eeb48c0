"""A machine with its plus at the frame: what is live lies below it, and the meter shows volts above nought all the same."""

from __future__ import annotations

from datetime import UTC, datetime
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
from ohmtrail.reports import Paper
from ohmtrail.reports.trouble import write_trouble

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
    """So that the meter shows no minus; the plus post alone lies above the frame, by what its lead takes."""
    electrics = Electrics(load_harness(pump))
    around = Surroundings(electrics, single_rows(faults_of(electrics.network, year=2026)))
    setting = function_setting(electrics.harness, electrics.harness.functions["pumps"])
    pairs = measurements(around, setting, "volts", Meter())
    assert {pair for pair in pairs if "frame" in pair} == {*(("frame", point) for point in ("key.15", "key.30", "pump.15", "pump.31", "battery.-")), ("battery.+", "frame")}
    assert ("pump.15", "frame") in measurements(around, setting, "ac", Meter())


def test_volts_across_a_part_show_no_minus_either(pump: Path) -> None:
    """Whichever way the file names the two terminals of a load or the two ends of a lead."""
    electrics = Electrics(load_harness(pump))
    around = Surroundings(electrics, single_rows(faults_of(electrics.network, year=2026)))
    setting = function_setting(electrics.harness, electrics.harness.functions["pumps"])
    pairs = measurements(around, setting, "volts", Meter())
    assert ("pump.31", "pump.15") in pairs
    shown, _ = measure(electrics, Meter(), "volts", pairs, setting)
    assert float(shown.min()) > -0.001


def test_a_pole_on_the_frame_that_the_file_denies_is_told() -> None:
    """Plus at the frame by its lead, and nothing said of it: what would be read has the wrong sign everywhere."""
    found = [item for item, _, _ in workbench.check("pump.yaml", text=TEXT.replace(", earthed: positive", "")).findings if item.serious]
    assert "earthed-pole" in {item.code for item in found}
    assert next(item for item in found if item.code == "earthed-pole").remedy == "write 'earthed: positive' under 'supply:'"


def test_a_generator_charges_with_the_plus_at_the_frame() -> None:
    """Its live terminal lies below the frame; a 6 V machine is regulated in proportion."""
    text = TEXT.replace("  pump: {", "  dynamo: {kind: dynamo, at: side, mounts: {31: frame}}\n  pump: {").replace(
        "functions:\n", "  charge: {from: dynamo.B+, to: key.30, size: 4 mm2, length: 1 m}\nfunctions:\n  charges: {when: {engine: running}, needs: [{dc: [frame, battery.-], at_least: 6.6 V}]}\n"
    )
    made = workbench.check("pump.yaml", text=text)
    assert [item.sentence for item, _, _ in made.findings if item.serious] == []


def test_two_points_the_wrong_way_round_are_told_as_such() -> None:
    """No lead is astray, and no way is open: the remedy is the line as it should be."""
    text = TEXT.replace("{works: pump}", "{dc: [pump.15, frame], at_least: 5 V}")
    found = [item for item, _, _ in workbench.check("pump.yaml", text=text).findings if item.serious]
    assert [item.code for item in found] == ["unmet"]
    assert found[0].remedy == "the two points are the wrong way round: write 'dc: [frame, pump.15]'"


def test_probes_the_wrong_way_round_are_told(pump: Path, tmp_path: Path) -> None:
    """The commonest slip there: the figure is right and its sign is not."""
    now, name = datetime(2026, 5, 4, 9, 0, tzinfo=UTC), str(tmp_path / "pump.job")
    workbench.start(name, harness=str(pump), complaint="pumps absent", now=now)
    workbench.read(name, "volts frame key.15 6.2 with key on", now=now)
    workbench.read(name, "volts frame pump.15 6.2 with key on", now=now)
    workbench.read(name, "volts pump.31 pump.15 -6.2 with key on", now=now)
    paper = Paper()
    write_trouble(paper, workbench.suspects(name))
    assert "With the probes the other way round it would fit." in " ".join(str(paper).split())
