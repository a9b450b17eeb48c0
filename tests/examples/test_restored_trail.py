"""The worked record of a restored machine does what it says, and so do the variants that come with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.changes import Comparison
from ohmtrail.changes.steptext import read_values
from ohmtrail.errors import RecordError
from ohmtrail.harness.checks import check_harness
from ohmtrail.reports.compared import way_texts

ROOT = Path(__file__).parents[2]
RECORD = ROOT / "examples" / "restored-trail.record"


@pytest.fixture(scope="module")
def compared() -> Comparison:
    """The machine before and after."""
    return workbench.compare(RECORD)


def test_the_headlamp_gets_more_volts(compared: Comparison) -> None:
    """Dipped and main beam alike, by a tenth of a volt and more."""
    for function, load in (("headlamp-dipped", "headlamp-bulb.dip"), ("headlamp-main", "headlamp-bulb.main")):
        before, after = compared.loads[function, load]
        assert before is not None
        assert after is not None
        assert after.volts - before.volts > 0.1


def test_the_switches_carry_less(compared: Comparison) -> None:
    """Light switch and dip switch carry a relay's coil only: less than a tenth of what they did."""
    for switch in ("light-switch", "dip-switch"):
        before, after = compared.contacts[switch]
        assert before is not None
        assert after is not None
        assert after.amps < 0.1 * before.amps


def test_every_lead_is_protected(compared: Comparison) -> None:
    """No lead lies behind a fuse no more, none without one or behind too large a one; the lighting leads gained one."""
    assert not [item for item in compared.protection if item.before and not item.after]
    assert not {item.code for item in compared.new.findings.values()} & {"unfused", "large-fuse", "overload"}
    assert {"light-3", "main-3", "tail-4"} <= {item.lead for item in compared.protection if item.after == ("lighting-fuse",)}


def test_nothing_else_changed(compared: Comparison) -> None:
    """No function lost, gained or weaker; no load of the old machine but headlamp and main beam lamp gets anything else.

    With the engine running the relays' coils take a quarter of a volt off what the battery is charged to, which the
    neutral tell-tale shows.
    """
    assert compared.functions == ()
    both = {key: pair for key in compared.changed_loads if None not in (pair := compared.loads[key])}
    assert {load for _, load in both} == {"headlamp-bulb.dip", "headlamp-bulb.main", "main-beam-tell-tale", "neutral-tell-tale"}
    less = [before.volts - after.volts for (_, load), (before, after) in both.items() if load == "neutral-tell-tale" and before and after]
    assert all(0.0 < item < 0.3 for item in less)
    assert compared.found_gone == ()
    assert {item.code for item in compared.found_new} == {"dead-end"}  # the free end of the old dipped-beam lead


@pytest.mark.parametrize(
    ("name", "lost"),
    [
        ("competition", {"brake-front", "brake-rear", "indicators-left", "indicators-right", "indicator-lamp", "horn-sounds", "neutral-light", "charging"}),
        ("1979", set()),
    ],
)
def test_the_variants_work(name: str, lost: set[str]) -> None:
    """Each applies, checks without anything serious, and does what it is there for; nothing counts as altered by hand."""
    found = workbench.compare(ROOT / "circuits" / f"trail-motorcycle-{name}.record")
    assert {item.function for item in found.functions if item.kind == "lost"} == lost
    assert all(item.kind == "lost" for item in found.functions)
    assert not [item for item in (*check_harness(found.new.harness), *found.found_new) if item.serious]
    new = found.new.harness
    assert all(item.altered is None and item.renewed in (None, 2024) for item in (*new.parts.values(), *new.leads.values()))


def test_the_ohms_of_every_way_are_listed(compared: Comparison) -> None:
    """Changed or not, for every function that both machines have."""
    assert {function for function, _ in compared.ways} >= {"spark", "horn-sounds", "headlamp-dipped"}
    assert way_texts(compared.ways["horn-sounds", "horn"])[1:] == ["", "same"]
    assert way_texts(compared.ways["headlamp-dipped", "headlamp-bulb.dip"])[1] == "→"


def test_two_values_in_one_are_refused() -> None:
    """A forgotten comma is no value."""
    with pytest.raises(RecordError, match="part them by a comma"):
        read_values("covering=pvc length=2 m")
    assert read_values("note='a=b and c=d'") == {"note": "a=b and c=d"}
