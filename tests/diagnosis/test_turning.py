"""Hands and what turns: nothing is asked for where a starter may turn, or an engine does, beside a blade or behind a flywheel.

Source of the rules: common practice in workshops, no published one.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ohmtrail.circuit import Electrics, Setting, function_setting
from ohmtrail.circuit.checks import check_circuit
from ohmtrail.circuit.setting import put
from ohmtrail.circuit.turning import may_crank, starts
from ohmtrail.diagnosis import Bench, Case, Seen, Step, cautions_for
from ohmtrail.diagnosis.candidates import Surroundings, settings_to_measure
from ohmtrail.diagnosis.expected import live_steps
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.diagnosis.steps import hands_in_the_way
from ohmtrail.diagnosis.table import single_rows
from ohmtrail.faults import faults_of
from ohmtrail.harness import Harness, load_harness

CIRCUITS = Path(__file__).parents[2] / "circuits"


@pytest.fixture(scope="module")
def mower() -> Harness:
    """The ride-on mower: a starter behind three interlocks, a blade."""
    return load_harness(CIRCUITS / "ride-on-mower.yaml")


def test_an_interlock_counts_for_nothing(mower: Harness) -> None:
    """With the key at start the starter may turn, whatever the interlocks should do; with the battery off it cannot."""
    setting = function_setting(mower, mower.functions["no-crank-with-blade-on"])
    assert setting.engine == "still" and may_crank(mower, setting)
    assert not may_crank(mower, put(mower, setting, battery=False))
    assert not may_crank(mower, put(mower, setting, positions={"key-switch": "run"}))


def test_the_watched_interlock_has_its_caution(mower: Harness) -> None:
    """Who watches whether the starter stays still is told that it may not."""
    setting = function_setting(mower, mower.functions["no-crank-with-blade-on"])
    told = [item.id for item in cautions_for(mower, Step("watch", setting, function="no-crank-with-blade-on"))]
    assert told[:2] == ["may-turn", "turning-parts"]
    calm = put(mower, setting, positions={"key-switch": "run"})
    assert "turning-parts" not in [item.id for item in cautions_for(mower, Step("watch", calm, function="no-crank-with-blade-on"))]


def test_nothing_is_worked_at_beside_the_blade_while_it_may_turn(mower: Harness) -> None:
    """Neither a probe nor a hand at the deck with the engine running, nor with the key at start."""
    runs = function_setting(mower, mower.functions["blade-engages"])
    assert runs.engine == "running"
    assert hands_in_the_way(mower, runs, ["deck-plug.1a"])
    assert hands_in_the_way(mower, replace(runs, moved="deck"))
    assert hands_in_the_way(mower, replace(runs, moved="engine"))
    assert not hands_in_the_way(mower, replace(runs, moved="seat-pan"))
    assert not hands_in_the_way(mower, put(mower, runs, battery=False, engine="still"), ["deck-plug.1a"])
    start = function_setting(mower, mower.functions["no-crank-with-blade-on"])
    assert hands_in_the_way(mower, start, ["deck-plug.1a"])


def test_no_candidate_puts_hands_there(mower: Harness) -> None:
    """Of everything that comes into question for a blade that comes and goes, nothing is done at the deck while it runs."""
    case = Case(mower, year=2026)
    setting = function_setting(mower, mower.functions["blade-engages"])
    seen = Seen("blade-engages", setting, 0, sometimes=True)
    posterior = case.assess([seen]).posterior
    assert posterior is not None
    listed = Chooser(posterior, Bench(setting), [seen]).candidates()
    assert listed
    assert not any(hands_in_the_way(mower, item.step.setting, (item.step.red, item.step.black)) for item in listed)
    assert not any(item.step.setting.moved == "deck" and item.step.setting.engine != "still" for item in listed)


@pytest.mark.parametrize("name", ["outboard", "ride-on-mower", "trail-motorcycle"])
def test_no_volts_behind_a_flywheel_that_turns(name: str) -> None:
    """What is written down of a sound machine leaves out points that nobody can reach while the engine turns."""
    case = Case(load_harness(CIRCUITS / f"{name}.yaml"), year=2026)
    harness = case.harness
    steps = live_steps(case.electrics, case.meter, frozenset(harness.terminals), harness.functions)
    assert any(item.setting.engine != "still" for item in steps)
    assert not any("flywheel" in (harness.place_of(item.red), harness.place_of(item.black)) for item in steps if item.setting.engine != "still")


def test_the_battery_itself_takes_no_ohmmeter() -> None:
    """Its leads off, it is full all the same: never a candidate."""
    case = Case(load_harness(CIRCUITS / "utility-car.yaml"), year=2026)
    setting = function_setting(case.harness, case.harness.functions["spark"])
    seen = Seen("spark", setting, 0)
    posterior = case.assess([seen]).posterior
    assert posterior is not None
    listed = Chooser(posterior, Bench(setting), [seen]).candidates()
    asked = [{item.step.red, item.step.black} for item in listed if item.step.kind == "measure" and item.step.quantity in ("ohms", "beep")]
    assert asked and {"battery.+", "battery.-"} not in asked


def test_with_the_stop_lead_off_the_key_stops_nothing(mower: Harness) -> None:
    """Lifted, or hanging on a parted plug: whoever turns the engine then is told."""
    setting = function_setting(mower, mower.functions["spark"])
    for changed in (put(mower, setting, lifted=["stop-1.from"]), put(mower, setting, parted=["engine-plug"])):
        assert "stop-lead-off" in [item.id for item in cautions_for(mower, Step("watch", changed, function="spark"))]
    assert "stop-lead-off" not in [item.id for item in cautions_for(mower, Step("watch", setting, function="spark"))]


def test_a_starter_that_works_while_the_engine_stands_is_a_finding(tmp_path: Path) -> None:
    """A function that cranks says so in its conditions; the file is told where it does not."""
    text = (CIRCUITS.parent / "examples" / "tiller.yaml").read_text()
    assert "engine: cranking, key-switch: start" in text
    path = tmp_path / "tiller.yaml"
    for told, written in ((0, text), (1, text.replace("engine: cranking, key-switch: start", "key-switch: start"))):
        path.write_text(written)
        assert sum(item.code == "turns" for item in check_circuit(Case(load_harness(path), year=2026).electrics)) == told


def test_a_fan_is_no_starter() -> None:
    """On a machine that is kicked on, a motor that works while the engine stands turns no engine."""
    harness = load_harness(CIRCUITS / "utility-car.yaml")
    names = [name for name, item in harness.functions.items() if starts(harness, item)]
    assert names and all(harness.functions[name].when.get("engine") == "cranking" for name in names)
    fans = [name for name, item in harness.functions.items() if any(need.works in ("wiper-motor", "blower-motor") for need in item.needs)]
    assert fans and not set(fans) & set(names)


def test_an_engine_that_must_die_is_started_first() -> None:
    """Stop at stop with the engine running is only reached from run: the caution says so, and to have a second way to stop."""
    outboard_machine = load_harness(CIRCUITS / "outboard.yaml")
    stop = function_setting(outboard_machine, outboard_machine.functions["stop-by-button"])
    named = {item.id for item in cautions_for(outboard_machine, Step("watch", stop, function="stop-by-button"))}
    assert "runs-on" in named
    run = put(outboard_machine, stop, positions={"stop-button": "run"})
    assert "runs-on" not in {item.id for item in cautions_for(outboard_machine, Step("watch", run, function="stop-by-button"))}


def test_a_switch_that_oil_pressure_works_is_left_to_it() -> None:
    """With the engine still it rests in whatever is measured, also after a complaint with the engine running."""
    car = Electrics(load_harness(CIRCUITS / "utility-car.yaml"))
    running = function_setting(car.harness, car.harness.functions["oil-lamp-goes-out"])
    faults = [fault for fault in faults_of(car.network, year=2026) if fault.element in ("oil-switch", "oil-3")]
    around = Surroundings(car, single_rows(faults))
    assert "oil-switch" in around.switches
    settings = list(settings_to_measure(around, running))
    assert len(settings) > 1
    assert all("oil-switch" not in dict(setting.positions) for setting in settings)
    watched = Bench(Setting()).after(car.harness, Step("watch", running, function="oil-lamp-goes-out"))
    assert dict(watched.setting.positions) == {"key-switch": "on"}
