"""Every electrical value that a file leaves out is told with what stands in for it."""

from __future__ import annotations

import pytest

from ohmtrail import workbench
from ohmtrail.harness import parse_harness
from ohmtrail.harness.assumed import assumed_values
from ohmtrail.harness.text import read_tree
from ohmtrail.reports.machine import write_checked
from ohmtrail.reports.paper import Paper

TEXT = """\
harness: barge
places: {cabin: {reach: 1 min}}
parts:
  battery: {kind: battery, at: cabin, volts: 12.4 V}
  relay: {kind: relay, at: cabin}
  lamp: {kind: lamp, at: cabin, watts: 10 W}
  twin: {kind: lamp, at: cabin, filaments: {one: {between: [1, 2], watts: 5 W, volts: 12 V}}}
leads:
  red: {from: battery.+, to: relay.30}
  blue: {from: relay.87, to: lamp.1, size: 2 mm2}
"""


def test_each_value_with_those_it_stands_in_for() -> None:
    """Leads by value, parts by kind; what the file says is not told."""
    found = assumed_values(parse_harness(read_tree(TEXT, file="barge.yaml")))
    assert [(item.kind, item.values, item.names) for item in found] == [
        ("supply", "12 V, negative earth", ("battery",)),
        ("lead", "size 1 mm²", ("red",)),
        ("lead", "length 0.5 m", ("red", "blue")),
        ("battery", "20 mΩ ± 50 %", ("battery",)),
        ("relay", "90 Ω ± 15 %, coil 86-85, contact 30-87 open at rest, pulls at 7.5 V", ("relay",)),
        ("lamp", "12 V as the supply, terminals 1-2", ("lamp",)),
    ]


def test_check_prints_them_once() -> None:
    """As a table, not a line for each lead."""
    paper = Paper(width=100)
    write_checked(paper, workbench.check("barge.yaml", text=TEXT))
    text = str(paper)
    assert " lead: length 0.5 m: red, blue\n" in text
    assert "length not given" not in text


def test_usual_volts_go_with_the_supply() -> None:
    """Half of those of a 12 V machine on a 6 V one: a rested battery, a relay that pulls, a generator's regulator."""
    text = TEXT.replace("harness:", "supply: {nominal: 6 V}\nharness:", 1)
    told = {item.kind: item.values for item in assumed_values(parse_harness(read_tree(text, file="barge.yaml")))}
    assert told["supply"] == "negative earth"
    assert told["battery"].startswith("6.3 V") or "V" not in told["battery"]
    assert "pulls at 3.75 V" in told["relay"]
    part = parse_harness(read_tree("harness: x\nsupply: {nominal: 6 V}\nplaces: {a: {reach: 1 min}}\nparts: {d: {kind: dynamo, at: a}, b: {kind: battery, at: a}}\n", file="x.yaml")).parts
    assert part["d"].volts_at("limits", 6.0) == pytest.approx(7.1)
    assert part["b"].volts_at("volts", 6.0) == pytest.approx(6.3)
