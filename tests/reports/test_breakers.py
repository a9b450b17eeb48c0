"""Nobody knows where the engine stopped: a reading with the engine still says where the contact breaker must stand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ohmtrail.circuit import function_setting, put
from ohmtrail.circuit.breakers import breaker_positions
from ohmtrail.circuit.needs import ohms_setting
from ohmtrail.diagnosis import Bench, Step
from ohmtrail.harness import Harness, load_harness
from ohmtrail.harness.parts import Need
from ohmtrail.reports.preparing import group_changes, step_changes

TEXT = """\
harness: pump set
places: {box: {reach: 1 min}}
parts:
  battery: {kind: battery, at: box}
  key: {kind: switch, at: box, rests: off, positions: {off: [], on: [[30, 15]]}}
  button: {kind: switch, at: box, rests: out, positions: {out: [], in: [[30, 1]]}}
  horn: {kind: horn, at: box, between: [1, 31], mounts: {31: frame}}
  coil: {kind: coil, at: box, primary: {between: [15, 1], resistance: 3 Ω}, secondary: {between: [4, 1], resistance: 7 kΩ}}
  points: {kind: points, at: box, rests: closed, positions: {closed: [[1, 31]], open: []}, mounts: {31: frame}}
  plug: {kind: spark-plug, at: box, mounts: {31: frame}}
leads:
  minus: {from: battery.-, to: frame}
  feed: {from: battery.+, to: key.30}
  also: {from: key.30, to: button.30}
  loud: {from: button.1, to: horn.1}
  live: {from: key.15, to: coil.15}
  low: {from: coil.1, to: points.1}
  high: {from: coil.4, to: plug.HT, high_tension: yes}
functions:
  fires: {when: {key: on, engine: cranking}, needs: [{dc: [coil.15, coil.1], at_least: 6 V, when: {points: closed}}]}
  sounds: {when: {button: in}, needs: [{works: horn}]}
"""
BY_HAND = "points to closed, the engine turned by hand"


@pytest.fixture
def pump(tmp_path: Path) -> Harness:
    """The machine."""
    path = tmp_path / "pump.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return load_harness(path)


def test_what_hangs_on_the_breaker_says_where_it_must_stand(pump: Harness) -> None:
    """Once, as long as the engine is not turned; after that again."""
    cranking = function_setting(pump, pump.functions["fires"])
    dead = put(pump, cranking, battery=False, engine="still")
    low, again = (Step("measure", dead, "ohms", point, "frame") for point in ("coil.1", "coil.15"))
    bench = Bench(put(pump, cranking, engine="still"))
    assert step_changes(pump, bench, low) == ("battery lead off, earth side", BY_HAND)
    bench = bench.after(pump, low)
    assert step_changes(pump, bench, again) == ()
    bench = bench.after(pump, Step("watch", cranking, function="fires"))
    assert BY_HAND in step_changes(pump, bench, again)


def test_other_circuits_do_not_ask_for_it(pump: Harness) -> None:
    """The key is off: nothing joins the horn to the breaker; a watch and a turning engine set nothing by hand."""
    horn = function_setting(pump, pump.functions["sounds"])
    cranking = function_setting(pump, pump.functions["fires"])
    assert breaker_positions(pump, horn, ("horn.1", "frame")) == {}
    assert breaker_positions(pump, cranking, ("coil.1", "frame")) == {}
    assert breaker_positions(pump, put(pump, horn, positions={"key": "on"}), ("horn.1", "frame")) == {"points": "closed"}


def test_an_engine_is_not_turned_with_the_ignition_on(pump: Harness) -> None:
    """It might fire: where volts are read, it is turned before anything is switched on."""
    on = put(pump, Bench(function_setting(pump, pump.functions["sounds"])).setting, positions={"key": "on", "button": "out"})
    said = step_changes(pump, Bench(replace(on, positions=())), Step("measure", on, "volts", "coil.15", "frame"))
    assert said == (f"{BY_HAND} before anything is switched on", "key to on")


def test_the_engine_leaves_the_breaker_anywhere(pump: Harness) -> None:
    """What was set by hand is not set any more once the engine has turned."""
    known: dict[str, str] = {}
    dead = put(pump, Bench(function_setting(pump, pump.functions["sounds"])).setting, positions={"button": "out", "points": "open"}, battery=False)
    gap = Step("measure", dead, "ohms", "points.1", "points.31")
    told = ("points to open, the engine turned by hand",)
    assert group_changes(pump, known, dead, [gap, gap]) == told
    assert group_changes(pump, known, dead, [gap]) == ()
    assert put(pump, put(pump, dead, engine="cranking"), engine="still").positions == ()


def test_the_ohms_of_a_condition_keep_the_breaker_where_it_wants_it(pump: Harness) -> None:
    """An engine that comes to a stop leaves it anywhere; a condition that names a position means that one."""
    cranking = function_setting(pump, pump.functions["fires"])
    need = Need(ohms=("coil.1", "frame"), at_most="1 Ω", when={"points": "open"})
    assert ohms_setting(pump, need, cranking).positions == (("key", "on"), ("points", "open"))
    assert ohms_setting(pump, need, cranking).dead
