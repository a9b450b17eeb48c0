"""Netlists for another program: what stands in them, and that it is the machine."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from ohmtrail.circuit import Change, Electrics, Mode, Setting, function_setting
from ohmtrail.circuit.changes import OPEN_OHM
from ohmtrail.circuit.flows import flow
from ohmtrail.circuit.netlist import netlist
from ohmtrail.harness import load_harness, parse_harness
from ohmtrail.harness.text import read_tree

CIRCUITS = sorted((Path(__file__).parents[2] / "circuits").glob("*.yaml"))

BENCH = """
harness: "Bénch &
  rig"
places: {tray: {reach: 1 min}}
parts:
  battery: {kind: battery, at: tray, volts: 12.6 V, resistance: 20 mΩ, mounts: {"-": frame}}
  switch: {kind: switch, at: tray, rests: off, positions: {off: [], on: [[1, 2]]}}
  plug: {kind: connector, at: tray, cavities: [1]}
  load: {kind: resistor, at: tray, resistance: 6 Ω, mounts: {2: frame}}
  relay: {kind: relay, at: tray, resistance: 80 Ω, pulls_at: 7 V, mounts: {85: frame}}
  worked: {kind: resistor, at: tray, resistance: 12 Ω, mounts: {2: frame}}
  slow: {kind: winding, at: tray, between: [1, 31], resistance: 2 Ω, inductance: 10 mH,
         volts: {cranking: 3 V, running: 20 V}, frequency: {cranking: 10 Hz, running: 50 Hz}, mounts: {31: frame}}
  fast: {kind: winding, at: tray, between: [1, 31], resistance: 3 Ω, inductance: 4 mH,
         volts: {cranking: 5 V, running: 30 V}, frequency: {cranking: 20 Hz, running: 100 Hz}, mounts: {31: frame}}
  stop: {kind: resistor, at: tray, resistance: 40 Ω, mounts: {2: frame}}
  condenser: {kind: capacitor, at: tray, capacitance: 20 µF, mounts: {2: frame}}
  spare: {kind: splice, at: tray}
leads:
  feed: {from: battery.+, to: switch.1, resistance: 0.02 Ω}
  hot: {from: switch.2, to: plug.1a, resistance: 0.03 Ω}
  lit: {from: plug.1b, to: load.1, resistance: 0.04 Ω}
  pull: {from: switch.2, to: relay.86, resistance: 0.05 Ω}
  supply: {from: battery.+, to: relay.30, resistance: 0.02 Ω}
  work: {from: relay.87, to: worked.1, resistance: 0.02 Ω}
  ac-1: {from: slow.1, to: stop.1, resistance: 0.1 Ω}
  ac-2: {from: fast.1, to: stop.1, resistance: 0.1 Ω}
  ac-3: {from: stop.1, to: condenser.1, resistance: 0.1 Ω}
"""
ON = Setting(positions=(("switch", "on"),))
RUNNING = Setting(positions=(("switch", "on"),), engine="running")


@pytest.fixture(scope="module")
def bench() -> Electrics:
    """A small machine whose laws are all straight lines."""
    return Electrics(parse_harness(read_tree(BENCH, file="bench.yaml")), count=2)


def cards(text: str) -> Iterator[list[str]]:
    """The cards of a netlist, word by word; comments and what begins with a dot are left out."""
    # what a battery on charge refuses is nought here: nothing charges this one
    text = re.sub(r"^\* battery-uptake \(uptake\)\nB.*\n", "", text, flags=re.MULTILINE)
    yield from (line.split() for line in text.splitlines() if line[0] not in "*.")


def points(text: str) -> dict[str, str]:
    """Node -> point, from the table at the head."""
    found = {}
    for nodes, point in re.findall(r"^\* (n\d+(?: a\d+)?) = (\S+)$", text, re.MULTILINE):
        found.update(dict.fromkeys(nodes.split(), point))
    return found


def solve(text: str) -> dict[str, complex]:
    """A small program of its own: sources, resistors, coils and condensers by modified nodal equations."""
    frequency = re.search(r"^\.ac lin 1 (\S+) ", text, re.MULTILINE)
    omega = 2 * np.pi * float(frequency[1]) if frequency else 0.0
    every = list(cards(text))
    names = sorted({node for card in every for node in card[1:3] if node != "0"})
    sources = [card for card in every if card[0][0] == "V"]
    index = {name: place for place, name in enumerate(names)}
    size = len(names) + len(sources)
    matrix, right = np.zeros((size, size), dtype=complex), np.zeros(size, dtype=complex)
    for card in every:
        ends = [(index[node], sign) for node, sign in zip(card[1:3], (1, -1), strict=True) if node != "0"]
        if card[0][0] == "V":
            row = len(names) + sources.index(card)
            for end, sign in ends:
                matrix[row, end] += sign
                matrix[end, row] += sign
            right[row] = float(card[-1])
            continue
        value = float(card[3])
        siemens = {"R": lambda x: 1 / x, "L": lambda x: 1 / (1j * omega * x), "C": lambda x: 1j * omega * x}[
            card[0][0]
        ](value)
        for one, sign in ends:
            for two, other in ends:
                matrix[one, two] += sign * other * siemens
    volts = np.linalg.solve(matrix, right)
    return {name: complex(volts[place]) for name, place in index.items()}


def check(electrics: Electrics, setting: Setting, changes: tuple[Change, ...] = (), draw: int = 0) -> None:
    """A netlist solved anew gives every node the volts of our own solution."""
    text = netlist(electrics, setting, changes=changes, draw=draw)
    theirs = solve(text)
    for letter, regime in (("n", "dc"), ("a", "ac")) if setting.engine != "still" else (("n", "dc"),):
        ours = flow(electrics, setting, regime, changes=changes, machine=draw)  # type: ignore[arg-type]  # one of two
        for node, point in points(text).items():
            if node.startswith(letter):
                told = complex(ours.volts[electrics.network.node_index[point]])
                assert told == pytest.approx(theirs[node], rel=1e-3, abs=1e-5), (point, regime)


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_every_point_is_in_the_table_under_a_name_that_any_program_takes(path: Path) -> None:
    """Node names are a letter and a number, each stands for one point, and no card uses another."""
    electrics = Electrics(load_harness(path), count=1)
    for function in electrics.harness.functions.values():
        text = netlist(electrics, function_setting(electrics.harness, function))
        assert text.isascii()
        assert text.endswith(".end\n")
        table = points(text)
        assert [table[f"n{i}"] for i in range(1, len(electrics.network.nodes) + 1)] == list(
            electrics.network.nodes
        )
        used = {node for card in cards(text) for node in card[1:3]}
        assert {node for node in used if not re.fullmatch(r"0|[na]\d+|[xy][na]\d+", node)} == set()
        assert {node for node in used if node[0] in "na"} == set(table)
        names = [card[0].upper() for card in cards(text)]
        assert len(names) == len(set(names))


@pytest.mark.parametrize(
    ("setting", "changes"),
    [
        (ON, ()),
        (Setting(), ()),
        (RUNNING, ()),
        (ON, (Change(Mode.SERIES, "lit", value=3.0),)),
        (ON, (Change(Mode.SERIES, "lit"),)),
        (ON, (Change(Mode.SHUNT, a="load.1", b="frame", value=2.0),)),
        (ON, (Change(Mode.EMF, "battery", value=9.0), Change(Mode.SERIES, "battery", value=0.5))),
        (ON, (Change(Mode.SERIES, "lit"), Change(Mode.SERIES, "lit", value=3.0), Change(Mode.SERIES, "lit"))),
        (ON, (Change(Mode.SERIES, "relay.coil"),)),
        (ON, (Change(Mode.KILL, "relay.30-87"),)),
        (RUNNING, (Change(Mode.STRESS, a="stop.1", b="frame", value=5.0),)),
        (RUNNING, (Change(Mode.SCALE, "slow", value=0.6),)),
        (
            RUNNING,
            (Change(Mode.SERIES, "fast", value=7.0), Change(Mode.SHUNT, a="slow.1", b="frame", value=9.0)),
        ),
        (Setting(positions=ON.positions, lifted=frozenset({"lit.to"})), ()),
        (Setting(positions=ON.positions, parted=frozenset({"plug"})), ()),
        (Setting(positions=ON.positions, battery=False, engine="cranking"), ()),
    ],
)
def test_a_netlist_solved_by_a_program_of_its_own_gives_our_volts(
    bench: Electrics, setting: Setting, changes: tuple[Change, ...]
) -> None:
    """Sound and with each kind of change, in DC and AC, every node agrees."""
    check(bench, setting, changes)


def test_another_machine_within_its_tolerances_is_that_machine(bench: Electrics) -> None:
    """The netlist of a draw has that draw's ohms and volts."""
    assert netlist(bench, RUNNING, draw=1) != netlist(bench, RUNNING)
    check(bench, RUNNING, draw=1)


def test_reactances_are_those_of_each_windings_own_frequency(bench: Electrics) -> None:
    """At 100 Hz, 10 mH of a 50 Hz winding stand as 5 mH, 4 mH of the 100 Hz one and 20 µF as they are."""
    found = {card[0][0]: [] for card in cards(netlist(bench, RUNNING))}
    for card in cards(netlist(bench, RUNNING)):
        found[card[0][0]].append(float(card[3]) if card[0][0] in "LC" else 0.0)
    assert found["L"] == pytest.approx([5e-3, 4e-3])
    assert found["C"] == pytest.approx([20e-6])
    assert ".ac lin 1 100 100" in netlist(bench, RUNNING)


def test_a_machine_that_stands_still_has_no_alternating_current(bench: Electrics) -> None:
    """Without a turning engine there is one circuit and one analysis."""
    text = netlist(bench, ON)
    assert ".ac" not in text
    assert not any(node.startswith("a") for card in cards(text) for node in card[1:3])


def test_a_gap_is_ten_gigohms_and_an_open_switch_is_not_there(bench: Electrics) -> None:
    """A lead that broke keeps a dirty gap; a switch contact that is open has no card."""
    broken = netlist(bench, Setting(), changes=(Change(Mode.SERIES, "hot"),))
    index = bench.network.index["hot"] + 1
    assert next(float(card[3]) for card in cards(broken) if card[0] == f"Rn{index}") == pytest.approx(
        OPEN_OHM
    )
    assert f"Rn{bench.network.index['switch.1-2'] + 1}" not in {card[0] for card in cards(broken)}


def test_what_hangs_free_is_held_by_a_stray_gigohm(bench: Electrics) -> None:
    """A splice that no lead meets has a path to the frame, and the netlist says why."""
    text = netlist(bench, ON)
    node = bench.network.node_index["spare"] + 1
    assert "* spare hangs free" in text
    assert [card for card in cards(text) if card[1] == f"n{node}"] == [
        [f"Rnf{node}", f"n{node}", "0", "1000000000"]
    ]


def test_the_head_says_what_it_stands_for(bench: Electrics) -> None:
    """Machine, setting and changes are told in comments, in letters that any program reads."""
    text = netlist(bench, ON, changes=(Change(Mode.SERIES, "lit", value=3.0),))
    assert text.splitlines()[:4] == [
        "* B?nch & rig",
        "* setting: switch at on",
        "* machine: nominal",
        "* change: series lit 3",
    ]


def test_filaments_and_chargers_stand_as_their_laws() -> None:
    """A bent branch is a B source in DC and a resistor in AC."""
    path = next(path for path in CIRCUITS if path.stem == "trail-motorcycle")
    electrics = Electrics(load_harness(path), count=1)
    setting = next(
        s
        for f in electrics.harness.functions.values()
        if (s := function_setting(electrics.harness, f)).engine == "running"
    )
    text = netlist(electrics, setting)
    kinds = {branch.kind: index + 1 for index, branch in enumerate(electrics.network.branches)}
    names = {card[0] for card in cards(text)}
    for kind in ("filament", "diode", "clamp", "charger"):
        assert f"Bn{kinds[kind]}" in names
    assert f"Ra{kinds['filament']}" in names
    assert f"Ra{kinds['clamp']}" in names
