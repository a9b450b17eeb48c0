"""Comparisons: the same circuit under other names, and what a change does to loads, fuses and what hangs together."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest

from ohmtrail.changes import Comparison, Machine, Step, apply_steps, compare_machines
from ohmtrail.changes.flow import flow
from ohmtrail.changes.hanging import hanging
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import load_text, read_tree

CIRCUITS = Path(__file__).parents[2] / "circuits"
NAMES = sorted(path.stem for path in CIRCUITS.glob("*.yaml"))

#: a battery, a fuse, a switch and two lamps that share an earth point or have one each
BENCH = """
harness: bench
places: {tray: {reach: 1 min}}
parts:
  battery: {kind: battery, at: tray, volts: 12 V, resistance: 1 mΩ}
  fuse: {kind: fuse, at: tray, rating: 10 A}
  switch: {kind: switch, at: tray, rests: off, rating: 5 A, positions: {off: [], on: [[15, 56], [15, 58]]}}
  head: {kind: lamp, at: tray, watts: 36 W, between: [56, 31]}
  tail: {kind: lamp, at: tray, watts: 6 W, between: [58, 31]}
  E1: {kind: earth, at: tray}
  E2: {kind: earth, at: tray}
  E3: {kind: earth, at: tray}
leads:
  minus: {from: battery.-, to: E3, size: 2.5 mm2, length: 0.2 m}
  plus: {from: battery.+, to: fuse.1, size: 2.5 mm2, length: 0.2 m}
  feed: {from: fuse.2, to: switch.15, size: 1 mm2, length: 1 m}
  head-feed: {from: switch.56, to: head.56, size: 0.5 mm2, length: 2 m}
  tail-feed: {from: switch.58, to: tail.58, size: 1 mm2, length: 2 m}
  head-earth: {from: head.31, to: E1, size: 1 mm2, length: 0.5 m}
  tail-earth: {from: tail.31, to: E2, size: 1 mm2, length: 0.5 m}
functions:
  headlamp: {when: {switch: on}, needs: [{lit: head}]}
  taillamp: {when: {switch: on}, needs: [{lit: tail}]}
"""


def data_of(text: str) -> dict[str, Any]:
    """Plain values of a harness."""
    read = read_tree(text, file="bench.yaml").data
    assert isinstance(read, dict)
    return read


def machine(data: Any, name: str = "bench") -> Machine:
    """A machine from plain values."""
    tree = read_tree(flow(data), file=name)
    return Machine(parse_harness(tree), tree.data, name)


def after(*steps: dict[str, Any]) -> Comparison:
    """The bench compared with itself after some steps."""
    base = data_of(BENCH)
    return compare_machines(machine(base), machine(apply_steps(base, [Step.model_validate(item) for item in steps])))


def renamed(data: dict[str, Any], seed: int) -> dict[str, Any]:
    """The same machine with every id and position under another name, and its order shuffled."""
    shuffled = random.Random(seed)
    names: dict[str, dict[str, str]] = {}
    for section in ("parts", "leads", "functions", "places", "looms"):
        ids = list(data.get(section, {}))
        names[section] = {item: f"{section[0]}{number}x" for number, item in enumerate(shuffled.sample(ids, len(ids)))}
    positions = {word: f"{word}-other" for part in data["parts"].values() for word in part.get("positions", {})}

    sections = dict.fromkeys(("at", "inside", "passes", "flexes_at"), "places") | {"loom": "looms"}
    refers = {"at", "from", "to", "loom", "inside", "on", "bolted_to", "seen_at", "lit", "works", "sound"}
    lists = {"passes", "flexes_at", "dc", "ac", "pulse", "ohms"}

    def word(text: str, key: str) -> str:
        head, dot, tail = text.partition(".")
        return names[sections.get(key, "parts")].get(head, head) + dot + tail

    def mapping(value: dict[str, Any], path: tuple[str, ...]) -> dict[str, Any]:
        items = [(key, walk(item, (*path, key))) for key, item in value.items()]
        if path[-1] == "positions":
            return {positions[key]: item for key, item in items}
        if path[-1] == "when":
            parts = names["parts"]
            return {parts.get(key, key): positions[item] if key in parts else item for key, item in items}
        if len(path) == 1 and path[0] in names:
            shuffled.shuffle(items)
            return {names[path[0]][key]: item for key, item in items}
        return dict(items)

    def walk(value: Any, path: tuple[str, ...]) -> Any:
        if isinstance(value, dict):
            return mapping(value, path)
        if isinstance(value, list):
            return [walk(item, (*path, "[]")) for item in value]
        if path[-1] == "rests" and "contacts" not in path:
            return positions[value]
        key = path[-2] if path[-1] == "[]" else path[-1]
        if key in (lists if path[-1] == "[]" else refers) or (len(path) > 1 and path[-2] == "mounts"):
            return word(value, key)
        return value

    return {key: walk(value, (key,)) if isinstance(value, dict) else value for key, value in data.items()}


@pytest.mark.parametrize("name", NAMES)
def test_renaming_everything_is_the_same_circuit(name: str) -> None:
    """Ids, positions, places and order changed consistently: the same circuit, each thing found again."""
    base = data_of(load_text(CIRCUITS / f"{name}.yaml"))
    found = compare_machines(machine(base), machine(renamed(base, 3)))
    assert found.same
    assert found.renamed
    assert len(found.match or {}) == len(base["leads"]) + len(base["parts"]) + len(base["functions"])
    assert {item.kind for item in found.differences if item.section in ("parts", "leads", "functions")} == {"renamed"}


@pytest.mark.parametrize(
    "step",
    [
        {"lead": "feed", "renewed": {"size": "1.5 mm2"}, "was": {"size": "1 mm2"}},
        {"lead": "tail-earth", "moved": {"to": "E1"}, "was": {"to": "E2"}},
        {"part": "fuse", "corrected": {"rating": "15 A"}, "was": {"rating": "10 A"}},
        {"part": "tail", "corrected": {"watts": "5 W"}, "was": {"watts": "6 W"}},
        {"function": "taillamp", "corrected": {"when": {"switch": "off"}}, "was": {"when": {"switch": "on"}}},
        {"part": "switch", "corrected": {"rests": "on"}, "was": {"rests": "off"}},
    ],
)
def test_one_electrical_change_is_another_circuit(step: dict[str, Any]) -> None:
    """A size, an end, a rating, a wattage, a position asked for, where a switch rests: each is told apart."""
    found = after(step)
    assert not found.same
    assert len(found.differences) == 1


def test_what_is_not_electrical_keeps_the_circuit() -> None:
    """Another colour and covering: the same circuit, and the difference is told in the file's words."""
    found = after({"lead": "feed", "renewed": {"colour": "BK", "covering": "pvc"}, "was": {"colour": ""}})
    assert found.same
    assert [(item.key, item.before, item.after) for item in found.differences[0].values] == [("colour", "", "BK"), ("covering", "", "pvc")]


def test_the_same_quantity_written_otherwise_does_not_differ() -> None:
    """1 mm2 and 1.0 mm2, 1 m and 100 cm."""
    assert not after({"lead": "feed", "corrected": {"size": "1.0 mm2", "length": "100 cm"}, "was": {"size": "1 mm2", "length": "1 m"}}).differences


def test_an_earth_point_that_carries_two_functions_is_a_new_single_point_of_failure() -> None:
    """Both lamps on one earth point: it is named with both functions, and nothing else is."""
    found = after({"lead": "tail-earth", "moved": {"to": "E1"}, "was": {"to": "E2"}})
    assert found.shared == {"E1": (frozenset({"headlamp"}), frozenset({"headlamp", "taillamp"}))}


def test_what_hangs_on_an_element_is_what_opening_it_stops() -> None:
    """By hand: the feed and its fuse stop both lamps, each lamp's own leads only that lamp."""
    found = hanging(machine(data_of(BENCH)).bench)
    both = frozenset({"headlamp", "taillamp"})
    assert {name for name, functions in found.items() if functions == both} == {"minus", "plus", "feed", "fuse", "switch", "E3"}
    assert found["tail-feed"] == found["E2"] == frozenset({"taillamp"})


def test_volts_amps_and_ohms_are_those_of_the_hand_sized_sum() -> None:
    """Lamp 4 Ω hot at 12 V behind a 2 m lead of 0.5 mm²: 69 mΩ of 4.1 Ω; a lead of four times the size gives most back."""
    found = after({"lead": "head-feed", "renewed": {"size": "2 mm2"}, "was": {"size": "0.5 mm2"}})
    before, now = found.loads["headlamp", "head"]
    assert before is not None
    assert now is not None
    gained_ohm = 2.0 * 0.017241 * (1 / 0.5 - 1 / 2.0)  # IEC 60028 copper
    joints_ohm = 2 * 0.005 * (1 - 1 / 2.0)  # the thicker lead's joints have half the resistance
    (way,) = [pair for key, pair in found.ways.items() if key == ("headlamp", "head")]
    assert way[0] is not None
    assert way[1] is not None
    assert way[0].ohm - way[1].ohm == pytest.approx(gained_ohm + joints_ohm, rel=1e-3)
    # the filament's resistance follows its volts, so the gain is a little more than in proportion: 3 A through 57 mΩ
    assert now.volts - before.volts == pytest.approx(3.0 * (gained_ohm + joints_ohm), rel=0.1)


def test_a_lead_that_loses_its_fuse_is_named() -> None:
    """The tail lamp taken straight off the battery: no fuse before it, and a check says so; a larger fuse is found too."""
    found = after({"lead": "feed", "moved": {"from": "battery.+"}, "was": {"from": "fuse.2"}})
    lost = {item.lead for item in found.protection if not item.after}
    assert lost == {"feed", "head-feed", "tail-feed"}
    assert {item.path[1] for item in found.found_new if item.code == "unfused"} == lost
    larger = after({"part": "fuse", "corrected": {"rating": "30 A"}, "was": {"rating": "10 A"}})
    assert {item.path[1] for item in larger.found_new if item.code == "large-fuse"} >= {"head-feed"}
    assert larger.contacts["fuse"][1].rating == 30.0  # type: ignore[union-attr]


def test_functions_lost_gained_and_changed_are_told() -> None:
    """A function taken away, one added, one asked for otherwise."""
    found = after(
        {"function": "taillamp", "removed": "yes", "was": {"needs": [{"lit": "tail"}]}},
        {"function": "both", "added": {"when": {"switch": "on"}, "needs": [{"lit": "head"}, {"lit": "tail"}]}},
        {"function": "headlamp", "corrected": {"when": {"switch": "off"}}, "was": {"when": {"switch": "on"}}},
    )
    assert [(item.function, item.kind, item.before, item.after) for item in found.functions] == [
        ("headlamp", "changed", 2, 0),
        ("taillamp", "lost", 2, None),
        ("both", "gained", None, 2),
    ]
