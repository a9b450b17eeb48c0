"""Findings that need no electricity: each check fires on its own mistake and is quiet without it."""

import pytest

from ohmtrail.harness import Harness, parse_harness
from ohmtrail.harness.checks import HARNESS_CHECKS, check_harness
from ohmtrail.harness.findings import Finding
from ohmtrail.harness.text import read_tree

SOUND = """
harness: bench
places:
  tray: {reach: 1 min}
looms:
  loom: {passes: [tray]}
parts:
  battery: {kind: battery, at: tray}
  fuse: {kind: fuse, at: tray, rating: 10 A}
  plug: {kind: connector, at: tray, cavities: [1]}
  splice: {kind: splice, at: tray}
  lamp: {kind: lamp, at: tray, watts: 10 W, between: [L, 31], mounts: {31: frame}}
  earth: {kind: earth, at: tray}
leads:
  minus: {from: battery.-, to: earth, colour: BN, size: 2.5 mm2, length: 0.2 m}
  plus: {from: battery.+, to: fuse.1, colour: RD, size: 2.5 mm2, length: 0.2 m}
  feed-a: {from: fuse.2, to: splice, colour: RD/WH, size: 1 mm2, length: 0.5 m, loom: loom}
  feed-b: {from: splice, to: plug.1a, colour: RD, size: 1 mm2, length: 0.5 m}
  feed-c: {from: plug.1b, to: lamp.L, colour: BK, size: 1 mm2, length: 0.5 m}
functions:
  light: {needs: [{lit: lamp}, {dc: [lamp.L, frame], at_least: 10 V, weak: 8 V}]}
"""


def build(text: str) -> Harness:
    """A harness from its text."""
    return parse_harness(read_tree(text, file="bench.yaml"))


#: code -> (what is changed in the sound file, what it is changed to, path, words of the sentence)
CASES: dict[str, tuple[str, str, tuple[str | int, ...], str]] = {
    "dead-end": ("  feed-c: {from: plug.1b", "  feed-c: {from: fuse.2", ("leads", "feed-b", "to"), "plug.1a"),
    "bare-terminal": (", mounts: {31: frame}", "", ("parts", "lamp"), "lamp.31"),
    "unused-cavity": (
        "cavities: [1]",
        "cavities: [1, 7]",
        ("parts", "plug", "cavities", 1),
        "cavity 7 of plug",
    ),
    "colour-change": (
        "colour: RD/WH",
        "colour: GN",
        ("leads", "feed-b", "colour"),
        "feed-a is GN, feed-b is RD",
    ),
    "unread-colour": ("colour: BK", "colour: ZZ", ("leads", "feed-c", "colour"), "'ZZ'"),
    "look-alike": (
        "  minus:",
        "  feedb: {from: fuse.2, to: splice, size: 1 mm2, length: 1 m}\n  minus:",
        (),
        "'feed-b'",
    ),
    "unsold-fuse": ("rating: 10 A", "rating: 11 A", ("parts", "fuse", "rating"), "11 A"),
    "foreign-bulb": ("watts: 10 W,", "watts: 10 W, volts: 6 V,", ("parts", "lamp"), "6 V filament on a 12 V"),
    "thin-cable": (
        "leads:\n",
        (
            "  starter: {kind: motor, at: tray, resistance: 0.1 Ω, mounts: {2: frame}}\n"
            "leads:\n  cable: {from: battery.+, to: starter.1, size: 2.5 mm2, length: 1 m}\n"
        ),
        ("leads", "cable", "size"),
        "up to 120 A",
    ),
    "idle-loom": (", loom: loom", "", ("looms", "loom"), "loom loom"),
    "idle-place": ("looms:\n", "  boot: {reach: 1 min}\nlooms:\n", ("places", "boot"), "boot"),
    "no-functions": (SOUND[SOUND.index("functions:") :], "", ("functions",), "no functions"),
    "turned-limits": (
        "weak: 8 V",
        "weak: 11 V",
        ("functions", "light", "needs", 1, "weak"),
        "weakly at 11 V",
    ),
    "assumed": (
        "size: 1 mm2, length: 0.5 m, loom",
        "length: 0.5 m, loom",
        ("leads", "feed-a"),
        "1 mm² assumed",
    ),
}


def test_a_sound_harness_gives_no_finding() -> None:
    """Every check is quiet on a harness with nothing to remark."""
    assert check_harness(build(SOUND)) == ()


@pytest.mark.parametrize("code", CASES)
def test_each_check_tells_its_own_finding(code: str) -> None:
    """A finding names the ids and values, says what to do, and points at its key in the file."""
    before, after, path, words = CASES[code]
    assert before in SOUND
    text = SOUND.replace(before, after, 1)
    found = [item for item in check_harness(build(text)) if item.code == code]
    assert found, f"{code} is not told"
    finding = found[0]
    assert words in finding.sentence
    assert finding.remedy
    assert not finding.serious
    assert finding.path[: len(path)] == path
    assert read_tree(text, file="bench.yaml").where(finding.path).line > 1 or code == "no-functions"


def test_every_check_has_a_case() -> None:
    """No check stands in the list without a harness that makes it speak."""
    told = {item.code for code in CASES for item in check_harness(build(SOUND.replace(*CASES[code][:2], 1)))}
    assert told >= set(CASES)
    assert len(CASES) == len(HARNESS_CHECKS) + 1  # looms and places share a check


def test_a_splice_of_one_lead_is_a_dead_end() -> None:
    """A lead that ends at a splice of its own goes nowhere."""
    text = SOUND.replace("  feed-b: {from: splice", "  feed-b: {from: fuse.2", 1)
    assert [item.path for item in check_harness(build(text)) if item.code == "dead-end"] == [
        ("leads", "feed-a", "to")
    ]


def test_three_leads_at_a_splice_may_differ_in_colour() -> None:
    """Branching circuits change colour where they branch."""
    text = SOUND.replace(
        "leads:\n", "leads:\n  more: {from: splice, to: lamp.L, colour: GN, size: 1 mm2, length: 1 m}\n"
    )
    assert not [item for item in check_harness(build(text)) if item.code == "colour-change"]


def test_a_finding_is_a_plain_value() -> None:
    """Findings compare by value, so that two runs agree."""
    assert Finding("a", ("parts",), "b", "c") == Finding("a", ("parts",), "b", "c", serious=False)
