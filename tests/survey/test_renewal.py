"""Renew or keep: what the harness says, what was measured, and what is original."""

from __future__ import annotations

from pathlib import Path

import yaml

from ohmtrail.circuit import Network
from ohmtrail.faults import faults_of
from ohmtrail.harness import Harness, parse_harness
from ohmtrail.harness.text import read_tree
from ohmtrail.survey import VERDICTS, Advice, advice_of

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "circuits" / "outboard.yaml").read_text(encoding="utf-8")


def _advice(harness: Harness, **more: dict[str, float]) -> dict[str, Advice]:
    found = advice_of(harness, faults_of(Network.of(harness), year=2026), year=2026, **more)
    order = [VERDICTS.index(item.verdict) for item in found]
    assert order == sorted(order)
    return {item.element: item for item in found}


def _harness(*changes: tuple[str, str]) -> Harness:
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return parse_harness(read_tree(text, file="outboard"))


def test_the_trade_facts() -> None:
    """Stop leads and modules of the period go whatever the meter says; each advice has a reason and a source."""
    found = _advice(_harness())
    assert {found[name].verdict for name in ("stop-1", "stop-3", "ignition-module", "plug-lead-top")} == {"regardless"}
    assert found["lantern-1"].verdict == "sound"
    assert all(item.reason and item.source for item in found.values())
    # 12 min for the lead, cowl and tiller open for its ends (harness file): 1 + 5
    assert found["stop-3"].minutes == 18.0


def test_what_was_renewed_is_young() -> None:
    """A lead renewed lately is no longer advised on by its age."""
    found = _advice(_harness(("from: stop-splice, to: tiller-plug.1a,", "from: stop-splice, to: tiller-plug.1a, renewed: 2023,")))
    assert found["stop-2"].verdict == "sound"
    assert found["stop-2"].age == 3


def test_original_is_weighed() -> None:
    """What is marked original gets one step milder advice, except where it is a matter of safety."""
    marked = _harness(
        ("feed-3:\n    {", "feed-3:\n    {original: yes, "),
        ("stop-3:\n    {", "stop-3:\n    {original: yes, "),
        ("    called: ignition module\n", "    called: ignition module\n    original: yes\n"),
    )
    plain, found = _advice(_harness()), _advice(marked)
    assert (plain["feed-3"].verdict, found["feed-3"].verdict) == ("unless-original", "watch")
    assert (plain["ignition-module"].verdict, found["ignition-module"].verdict) == ("regardless", "unless-original")
    assert found["stop-3"].verdict == "regardless"
    assert found["stop-3"].original


def test_what_was_measured_counts() -> None:
    """What readings point at is to be renewed; what they clear is sound by them."""
    found = _advice(_harness(), suspected={"lantern-1": 0.97}, noticed={"lantern-2": 0.93})
    assert found["lantern-1"].verdict == "regardless"
    assert "97 %" in found["lantern-1"].reason
    assert found["lantern-2"].verdict == "sound"
    assert "93 %" in found["lantern-2"].reason


def test_every_rule_is_whole() -> None:
    """Each row of the data file has a kind, an age, a verdict, a reason and a source, and asks nothing unknown."""
    path = ROOT / "src" / "ohmtrail" / "survey" / "data" / "renewal.yaml"
    keys = {"on", "age", "verdict", "reason", "source"}
    asked = {"safety", "from", "to", "ignition_stop", "high_tension", "covering", "flexes", "hot", "strap", "wet"}
    for rule in yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)["rules"]:
        assert keys <= rule.keys() <= keys | asked
        assert rule["verdict"] in VERDICTS
