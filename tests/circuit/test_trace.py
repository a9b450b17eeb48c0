"""A function's path: points in order, volts, amps, live or dead, what is open, and what hangs on it."""

import itertools

import pytest

from ohmtrail.circuit import Change, Electrics, Mode, Setting, put
from ohmtrail.circuit.steps import Route, Step
from ohmtrail.circuit.trace import trace_function
from ohmtrail.errors import UnknownName
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree

MACHINE = """
harness: bench
places:
  tray: {reach: 1 min}
parts:
  block: {kind: metal, at: tray, bolted_to: frame}
  battery: {kind: battery, at: tray, volts: 12.6 V, resistance: 20 mΩ}
  fuse: {kind: fuse, at: tray, rating: 10 A}
  node: {kind: splice, at: tray}
  switch: {kind: switch, at: tray, rests: off, positions: {off: [], on: [[1, 2]]}}
  plug: {kind: connector, at: tray, cavities: [1]}
  lamp: {kind: lamp, at: tray, watts: 21 W, between: [L, 31]}
  tell-tale: {kind: lamp, at: tray, watts: 2 W, between: [L, 31], mounts: {31: frame}}
  earth: {kind: earth, at: tray}
  lamp-earth: {kind: earth, at: tray}
  lighting: {kind: winding, at: tray, between: [59, 31], resistance: 0.5 Ω, volts: {cranking: 3 V, running: 14 V}, mounts: {31: block}}
  tail: {kind: lamp, at: tray, watts: 5 W, between: [58, 31], mounts: {31: frame}}
  source: {kind: winding, at: tray, between: [CH, 31], resistance: 480 Ω, volts: {cranking: 90 V, running: 180 V}, mounts: {31: block}}
  module:
    kind: module
    at: tray
    inside:
      - {between: [CH, E], live: 8 kΩ}
      - {between: [STOP, CH], live: 22 Ω}
    needs: [{ac: [module.CH, module.E], at_least: 50 V}]
    delivers: {between: [OUT, E], volts: 200 V, resistance: 1 Ω}
  coil: {kind: coil, at: tray, primary: {between: [1, 31], resistance: 0.5 Ω}, secondary: {between: [4, 31], resistance: 4 kΩ}, mounts: {31: frame}}
  plug-1: {kind: spark-plug, at: tray, mounts: {31: block}}
  stops: {kind: splice, at: tray}
  key: {kind: switch, at: tray, rests: off, positions: {off: [[2, 31]], on: []}, mounts: {31: frame}}
  stop-switch: {kind: switch, at: tray, rests: run, positions: {run: [], stop: [[2, 31]]}, mounts: {31: frame}}
leads:
  minus: {from: battery.-, to: earth, size: 2.5 mm2, length: 0.2 m}
  plus: {from: battery.+, to: fuse.1, size: 2.5 mm2, length: 0.2 m}
  feed: {from: fuse.2, to: node, size: 1.5 mm2, length: 1 m}
  feed-2: {from: node, to: switch.1, size: 1.5 mm2, length: 1 m}
  hot-1: {from: switch.2, to: plug.1a, size: 1.5 mm2, length: 1 m}
  hot-2: {from: plug.1b, to: lamp.L, size: 1.5 mm2, length: 1 m}
  cold: {from: lamp.31, to: lamp-earth, size: 1.5 mm2, length: 1 m}
  glow: {from: node, to: tell-tale.L, size: 1 mm2, length: 1 m}
  ac-1: {from: lighting.59, to: tail.58, size: 1 mm2, length: 1 m}
  ign: {from: source.CH, to: module.CH, size: 1 mm2, length: 1 m}
  ign-earth: {from: module.E, to: earth, size: 1 mm2, length: 1 m}
  stop-1: {from: module.STOP, to: stops, size: 1 mm2, length: 1 m}
  stop-2: {from: stops, to: key.2, size: 1 mm2, length: 1 m}
  stop-3: {from: stops, to: stop-switch.2, size: 1 mm2, length: 1 m}
  out: {from: module.OUT, to: coil.1, size: 1 mm2, length: 1 m}
  ht: {from: coil.4, to: plug-1.HT, high_tension: yes, resistance: 5 kΩ}
functions:
  light: {when: {switch: on}, needs: [{lit: lamp}]}
  tail-light: {when: {engine: running}, needs: [{lit: tail}]}
  spark:
    when: {engine: cranking, key: on, stop-switch: run}
    needs:
      - {ac: [module.CH, module.E], at_least: 50 V}
      - {sound: module}
      - {pulse: [coil.1, coil.31], at_least: 100 V}
      - {ohms: [coil.4, plug-1.HT], at_most: 20 kΩ}
"""


@pytest.fixture(scope="module")
def electrics() -> Electrics:
    """The bench machine."""
    return Electrics(parse_harness(read_tree(MACHINE, file="bench.yaml")), count=2)


def step(route: Route, point: str) -> Step:
    """The step of a route at a point."""
    return next(item for item in route.steps if item.point == point)


def test_a_lamp_is_followed_from_battery_to_frame_terminal_by_terminal(electrics: Electrics) -> None:
    """Every terminal and lead end comes in order, the feed live and the return dead."""
    (main,) = trace_function(electrics, "light").of("main")
    terminals = [point for point in main.points if point in electrics.harness.terminals]
    assert terminals == [
        "battery.+", "fuse.1", "fuse.2", "node", "switch.1", "switch.2", "plug.1a", "plug.1b", "lamp.L", "lamp.31",
        "lamp-earth", "frame",
    ]  # fmt: skip
    assert (main.regime, main.source, main.load, main.conducts) == ("dc", "battery", "lamp", True)
    assert step(main, "lamp.L").state == "live" and step(main, "lamp.31").state == "dead"
    assert step(main, "lamp.L").kind == "filament" and step(main, "lamp.L").owner == "lamp"
    volts = [item.volts for item in main.steps]
    assert all(one >= two - 1e-9 for one, two in itertools.pairwise(volts))


def test_amps_are_those_of_the_load_and_its_neighbours(electrics: Electrics) -> None:
    """Behind the splice only the lamp's current runs; before it the tell-tale's as well."""
    trace = trace_function(electrics, "light")
    (main,), (shared,) = trace.of("main"), trace.of("shared")
    mine, both, other = (
        step(main, "hot-1.from").amps,
        step(main, "feed.from").amps,
        step(shared, "node").amps,
    )
    assert shared.points[0] == "node" and "tell-tale.L" in shared.points
    assert both == pytest.approx(mine + other, rel=1e-4)
    # 21 W at 12 V are 1.75 A; a little more at a little over 12 V
    assert mine == pytest.approx(1.75, rel=0.05)


def test_the_way_back_to_the_battery_is_a_route_of_its_own(electrics: Electrics) -> None:
    """From the frame the current returns to the other pole."""
    (back,) = trace_function(electrics, "light").of("return")
    assert back.points[0] == "frame" and back.points[-1] == "battery.-"


def test_an_open_switch_is_a_gap_with_its_position(electrics: Electrics) -> None:
    """The path is told although nothing runs, and what is open on it says why; behind it all is dead."""
    trace = trace_function(electrics, "light", Setting())
    (main,), (gap,) = trace.of("main"), trace.gaps
    assert (gap.branch, gap.points, gap.why) == ("switch.1-2", ("switch.1", "switch.2"), "switch at off")
    assert step(main, "switch.1").state == "live" and not step(main, "switch.1").conducts
    assert step(main, "switch.2").state == "dead" and step(main, "lamp.L").amps == pytest.approx(
        0.0, abs=1e-6
    )


@pytest.mark.parametrize(
    ("state", "why"),
    [
        ({"parted": ["plug"]}, "plug parted"),
        ({"lifted": ["hot-1.from"]}, "hot-1.from lifted"),
        ({"out": ["fuse"]}, "fuse out"),
        ({"out": ["lamp"]}, "lamp out"),
    ],
)
def test_what_is_taken_apart_is_a_gap(electrics: Electrics, state: dict[str, list[str]], why: str) -> None:
    """Parted connectors, lifted ends, fuses and bulbs that are out are named as such."""
    setting = put(electrics.harness, Setting(), positions={"switch": "on"}, **state)  # type: ignore[arg-type]  # one of three keywords
    trace = trace_function(electrics, "light", setting)
    assert why in [gap.why for route in trace.of("main") for gap in route.gaps]


def test_a_point_that_nothing_joins_to_the_frame_floats(electrics: Electrics) -> None:
    """Between an open switch and a parted plug a lead is neither live nor dead."""
    setting = put(electrics.harness, Setting(), parted=["plug"])
    (main,) = trace_function(electrics, "light", setting).of("main")
    assert step(main, "hot-1.from").state == "floating"


def test_a_lamp_on_a_winding_is_followed_in_alternating_current(electrics: Electrics) -> None:
    """The regime that feeds the lamp is found, and volts are RMS."""
    trace = trace_function(electrics, "tail-light")
    (main,) = trace.of("main")
    assert (main.regime, main.source, main.load) == ("ac", "lighting", "tail")
    assert step(main, "tail.58").volts == pytest.approx(13.7, abs=0.3)
    assert trace.of("return")[0].points[-1] == "lighting.31"


def test_spark_runs_from_winding_to_module_to_coil_to_plug(electrics: Electrics) -> None:
    """Winding to module in ac, module to coil as pulses, coil to plug by its ohms."""
    mains = trace_function(electrics, "spark").of("main")
    assert [(route.regime, route.points[0]) for route in mains] == [
        ("ac", "source.CH"),
        ("pulse", "module.OUT"),
        ("ohms", "coil.4"),
    ]
    assert step(mains[0], "module.CH").volts == pytest.approx(90 * 8000 / 8480, rel=0.01)
    assert step(mains[1], "coil.1").volts > 100
    assert mains[2].points == ("coil.4", "ht.from", "ht.to", "plug-1.HT")
    assert all(item.volts is None and item.amps is None for item in mains[2].steps)


def test_the_stop_leads_hang_on_the_spark_as_side_routes(electrics: Electrics) -> None:
    """Both switches that could earth the stop lead are told, open, with their positions."""
    sides = trace_function(electrics, "spark").of("side")
    assert [[gap.why for gap in route.gaps] for route in sides] == [["key at on"], ["stop-switch at run"]]
    assert sides[0].points[0] == "module.CH" and sides[1].points[0] == "stops"
    assert all(route.points[-1] == "frame" for route in sides)
    assert step(sides[0], "key.2").state == "live"


def test_a_closed_stop_switch_takes_the_volts_away(electrics: Electrics) -> None:
    """The side route conducts, and the winding's volts are gone: 90 V x 22/(480 + 22)."""
    setting = put(
        electrics.harness, Setting(), positions={"key": "on", "stop-switch": "stop"}, engine="cranking"
    )
    trace = trace_function(electrics, "spark", setting)
    side = next(route for route in trace.of("side") if "stop-switch.2" in route.points)
    assert side.conducts
    assert step(trace.of("main")[0], "module.CH").volts == pytest.approx(90 * 21.94 / 501.94, rel=0.01)
    assert step(side, "stop-switch.2").state == "dead"


def test_a_fault_can_be_traced(electrics: Electrics) -> None:
    """With a change the trace shows the faulty machine: an open lead is a gap of its own."""
    trace = trace_function(electrics, "light", changes=[Change(Mode.SERIES, "hot-2")])
    assert "hot-2" in [gap.branch for gap in trace.gaps]
    worse = trace_function(electrics, "light", changes=[Change(Mode.SERIES, "cold.to", value=2.0)])
    assert step(worse.of("main")[0], "lamp.31").volts > 2.0


def test_an_unknown_function_is_answered_with_the_nearest(electrics: Electrics) -> None:
    """A slip of the finger is met with the name that was meant."""
    with pytest.raises(UnknownName, match="did you mean 'light'"):
        trace_function(electrics, "lihgt")


def test_two_traces_agree(electrics: Electrics) -> None:
    """Tracing is a function of harness and setting only."""
    assert trace_function(electrics, "spark").routes == trace_function(electrics, "spark").routes
