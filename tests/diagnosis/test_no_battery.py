"""A machine that lives on its magneto: nothing speaks of a battery that is not there, and nobody pays for its lead."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.circuit import Electrics, Setting, function_setting, put
from ohmtrail.circuit.meter import Meter, check_possible
from ohmtrail.diagnosis import Measured, Step, cautions_for
from ohmtrail.diagnosis.expected import dead_steps
from ohmtrail.diagnosis.steps import setting_minutes
from ohmtrail.errors import ReadingError
from ohmtrail.grammar import Context, read_line
from ohmtrail.harness import load_harness
from ohmtrail.reports import Paper
from ohmtrail.reports.jobs import write_readings, write_recorded, write_standing
from ohmtrail.reports.phrases import evidence_text
from ohmtrail.reports.proposal import write_next
from ohmtrail.reports.survey import write_survey
from ohmtrail.survey import stages_of

TEXT = """\
harness: saw bench engine
places: {bench: {reach: 1 min}, wheel: {reach: 12 min, engine_still: yes}}
parts:
  winding: {kind: winding, at: wheel, between: [1, 31], resistance: 0.8 Ω ± 15 %, volts: {cranking: 8 V, running: 20 V}, mounts: {31: frame}}
  points: {kind: points, at: wheel, rests: closed, positions: {closed: [[1, 31]], open: []}, mounts: {31: frame}}
  condenser: {kind: capacitor, at: wheel, between: [1, 31], capacitance: 0.2 µF, mounts: {31: frame}}
  coil: {kind: coil, at: bench, primary: {between: [1, 31], resistance: 0.9 Ω}, secondary: {between: [4, 31], resistance: 6 kΩ}, mounts: {31: frame}}
  plug: {kind: spark-plug, at: bench, mounts: {31: frame}}
  stop: {kind: switch, at: bench, rests: run, positions: {run: [], stop: [[1, 31]]}, mounts: {31: frame}}
leads:
  low: {from: winding.1, to: points.1, size: 1.5 mm2}
  cond: {from: points.1, to: condenser.1}
  feed: {from: points.1, to: coil.1}
  kill: {from: coil.1, to: stop.1}
  high: {from: coil.4, to: plug.HT, high_tension: yes}
functions:
  fires:
    when: {engine: cranking}
    needs: [{ac: [coil.1, frame], at_least: 1 V, when: {points: open}}, {sound: coil}, {sound: condenser}, {sound: plug}]
"""


@pytest.fixture
def engine(tmp_path: Path) -> Path:
    """Write the machine."""
    path = tmp_path / "engine.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_it_is_dead_as_the_engine_stands(engine: Path) -> None:
    """No battery lead comes off for ohms, and that costs nothing."""
    harness = load_harness(engine)
    cranking = function_setting(harness, harness.functions["fires"])
    still = put(harness, cranking, engine="still")
    assert still.dead
    assert not cranking.dead
    dead = put(harness, still, battery=False)
    assert dead.words() == still.words() == ()
    assert setting_minutes(cranking, dead) == 0.0
    check_possible("ohms", still, Meter())
    with pytest.raises(ReadingError, match="put the engine to still first"):
        check_possible("ohms", cranking, Meter())
    with pytest.raises(ReadingError, match="add 'with engine cranking'"):
        check_possible("volts", still, Meter())
    assert [item.id for item in cautions_for(harness, Step("measure", dead, "ohms", "coil.1", "frame"))] == ["engine-at-rest"]
    assert not any("battery" in words for step in dead_steps(Electrics(harness), Meter(), frozenset(harness.terminals)) for words in step.setting.words())


def test_a_job_and_a_survey_say_nothing_of_a_battery(engine: Path, tmp_path: Path) -> None:
    """From the first step to the list of readings, read from the file again."""
    now, name, paper = datetime(2026, 5, 4, 9, 0, tzinfo=UTC), str(tmp_path / "engine.job"), Paper()
    workbench.start(name, harness=str(engine), complaint="fires absent", now=now)
    for line in ("0.6", "ohms coil.1 frame 0.5", "ohms coil.4 frame 6k"):
        asked = workbench.next_step(name, now=now)
        assert asked is not None
        write_next(paper, asked)
        write_recorded(paper, workbench.read(name, line, now=now))
    write_standing(paper, workbench.suspects(name))
    write_readings(paper, workbench.suspects(name))
    write_survey(paper, workbench.survey(str(engine), year=2026))
    told = str(paper)
    assert "Ohms at" in told
    assert "Stage 1: Dead checks, engine still" in told
    assert [line for line in told.splitlines() if "battery" in line.casefold()] == []


def test_stages_without_a_battery() -> None:
    """A survey of such a machine begins with the engine at rest."""
    harness = load_harness(Path(__file__).parents[2] / "circuits" / "outboard.yaml")
    assert "attery" in stages_of(harness)[0].how
    assert put(harness, Setting(battery=False)).words() == ("battery off",)


def test_ohms_are_typed_as_they_are_read(engine: Path) -> None:
    """Nobody has to say that what is not there is off."""
    context = Context(load_harness(engine), Setting(), Meter())
    said = read_line("ohms coil.1 frame 0.5", context).evidence
    assert isinstance(said, Measured)
    assert said.setting.dead
    assert evidence_text(said) == "ohms coil.1 to frame: 0.5 Ω"
