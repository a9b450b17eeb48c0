"""Files by which something does not work: the one change that would put them right is found, and told in words."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from ohmtrail.circuit import Electrics
from ohmtrail.circuit.amendments import amendments, likeness
from ohmtrail.circuit.astray import Astray, astray_of, dead_functions
from ohmtrail.harness import Harness, load_harness, parse_harness
from ohmtrail.harness.text import read_tree

OUTBOARD = Path(__file__).parents[2] / "circuits" / "outboard.yaml"


def altered(missing: str = "", swapped: tuple[str, ...] = (), ends: dict[str, str] | None = None) -> Harness:
    """The outboard, wrongly described."""
    tree = yaml.load(OUTBOARD.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    leads = tree["leads"]
    if missing:
        del leads[missing]
    if swapped:
        one, two = swapped
        leads[one]["to"], leads[two]["to"] = leads[two]["to"], leads[one]["to"]
    for name, end in (ends or {}).items():
        leads[name]["to"] = end
    return parse_harness(read_tree(yaml.safe_dump(tree, allow_unicode=True, sort_keys=False), file="wrong.yaml"))


def astray(harness: Harness) -> Astray:
    """What does not work by it."""
    found = astray_of(Electrics(harness, count=1))
    assert found is not None
    return found


def test_the_true_file_is_not_astray() -> None:
    """Everything works: nothing is tried and nothing said."""
    electrics = Electrics(load_harness(OUTBOARD), count=1)
    assert dead_functions(electrics, electrics.harness.functions) == ()
    assert astray_of(electrics) is None


@pytest.mark.parametrize("lead", ["stop-3", "ign-winding", "feed-3", "lantern-earth-1", "plug-lead-top"])
def test_a_missing_lead_is_told_by_its_ends(lead: str) -> None:
    """The only change told is a lead between the ends of the one that is missing."""
    found = astray(altered(missing=lead))
    true = load_harness(OUTBOARD).leads[lead]
    assert [set(item.ends) for item in found.amendments] == [{true.from_, true.to}]
    assert found.more == 0
    assert true.to in found.words()


@pytest.mark.parametrize("leads", [("gen-trigger", "stop-1"), ("ign-earth", "lantern-1"), ("stop-4", "lanyard-earth-2"), ("return-1", "lantern-1")])
def test_two_leads_that_are_swapped_are_named(leads: tuple[str, str]) -> None:
    """Putting the two back is among the changes told, and each is said with its leads and where they would run."""
    found = astray(altered(swapped=leads))
    assert set(leads) in [set(item.leads) for item in found.amendments]
    assert all(name in found.points and name in found.words() for name in leads)


def test_an_end_at_the_wrong_terminal_is_moved_back() -> None:
    """An end written at its neighbour's cavity leaves its own bare."""
    found = astray(altered(ends={"lantern-3": "battery-fuse.2"}))
    assert found.functions == ("lantern-light",)
    assert "lantern.58" in found.points


def test_two_mistakes_are_not_talked_away() -> None:
    """Where no single change does, the functions are named and no change is."""
    tree = yaml.load(OUTBOARD.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    for name in ("lantern-3", "lantern-earth-1", "stop-3", "lanyard-earth-1"):
        del tree["leads"][name]
    harness = parse_harness(read_tree(yaml.safe_dump(tree, allow_unicode=True, sort_keys=False), file="wrong.yaml"))
    found = astray(harness)
    assert found.functions == ("stop-by-button", "stop-by-lanyard", "lantern-light")
    assert (found.amendments, found.words()) == ((), "")


def test_some_functions_only() -> None:
    """What is not looked at is not said."""
    electrics = Electrics(altered(missing="stop-3"), count=1)
    assert astray_of(electrics, ["spark-top"]) is None
    found = astray_of(electrics, ["stop-by-button"])
    assert found is not None and found.functions == ("stop-by-button",)


def test_every_change_told_does_it() -> None:
    """Each change told, written into the file, lets every function work."""
    tree = yaml.load(OUTBOARD.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    leads = tree["leads"]
    leads["charge-u"]["to"], leads["feed-3"]["to"] = leads["feed-3"]["to"], leads["charge-u"]["to"]
    found = astray(altered(swapped=("charge-u", "feed-3")))
    assert len(found.amendments) == 3
    for item in found.amendments:
        run = {name: {**leads[name], "from": a, "to": b} for name, (a, b) in zip(item.leads, item.joins, strict=True)}
        text = yaml.safe_dump({**tree, "leads": {**leads, **run}}, allow_unicode=True, sort_keys=False)
        assert astray_of(Electrics(parse_harness(read_tree(text, file="mended.yaml")), count=1)) is None


def test_colours_rank() -> None:
    """A change that brings like colours together goes before one that does not."""
    harness = altered(swapped=("gen-charge-v", "return-1"))
    groups = [item for group in amendments(harness) for item in group if set(item.leads) == {"gen-charge-v", "return-1"}]
    other = [item for group in amendments(harness) for item in group if set(item.leads) == {"gen-earth-1", "charge-v"}]
    assert max(likeness(harness, item) for item in groups) > max(likeness(harness, item) for item in other)
