"""Findings that need the circuit: each check fires on its own mistake and is quiet without it."""

import pytest

from ohmtrail.circuit import Electrics
from ohmtrail.circuit.checks import CIRCUIT_CHECKS, check_circuit
from ohmtrail.harness import parse_harness
from ohmtrail.harness.findings import Finding
from ohmtrail.harness.text import read_tree

SOUND = """
harness: bench
places:
  tray: {reach: 1 min}
parts:
  battery: {kind: battery, at: tray, volts: 12.6 V, resistance: 20 mΩ}
  fuse: {kind: fuse, at: tray, rating: 10 A}
  switch: {kind: switch, at: tray, rests: off, rating: 8 A, positions: {off: [], on: [[1, 2]]}}
  lamp: {kind: lamp, at: tray, watts: 20 W, between: [L, 31]}
  earth: {kind: earth, at: tray}
leads:
  minus: {from: battery.-, to: earth, size: 2.5 mm2, length: 0.2 m}
  plus: {from: battery.+, to: fuse.1, size: 2.5 mm2, length: 0.2 m}
  feed: {from: fuse.2, to: switch.1, size: 1.5 mm2, length: 1 m}
  hot: {from: switch.2, to: lamp.L, size: 1.5 mm2, length: 1 m}
  cold: {from: lamp.31, to: earth, size: 1.5 mm2, length: 1 m}
functions:
  light:
    when: {switch: on}
    needs: [{lit: lamp}, {dc: [lamp.L, frame], at_least: 11 V}]
"""


def findings(text: str, count: int = 4) -> tuple[Finding, ...]:
    """Findings of a harness from its text."""
    return check_circuit(Electrics(parse_harness(read_tree(text, file="bench.yaml")), count=count))


HOT = "hot: {from: switch.2, to: lamp.L, size: 1.5 mm2, length: 1 m"
HOT_THIN = "hot: {from: switch.2, to: lamp.L, size: 0.35 mm2, length: 30 m"
PLUS = "plus: {from: battery.+, to: fuse.1, size: 2.5 mm2, length: 0.2 m"
PLUS_UNFUSED = "plus: {from: battery.+, to: switch.1, size: 2.5 mm2, length: 1 m"

#: name -> (code, what is changed, what it is changed to, words of the sentence, serious)
CASES: dict[str, tuple[str, str, str, str, bool]] = {
    "an end without a lead": (
        "cut-off",
        "  cold: {from: lamp.31",
        "  cold: {from: battery.-",
        "lamp.31",
        True,
    ),
    "the other pole on the frame": (
        "earthed-pole",
        "places:\n",
        "supply: {earthed: positive}\nplaces:\n",
        "battery.- is on the frame, and the file takes the machine for positive earth",
        True,
    ),
    "no feed at all": (
        "unfed",
        "  hot: {from: switch.2",
        "  hot: {from: earth",
        "lamp has no way to a supply",
        True,
    ),
    "a limit out of reach": ("unmet", "at_least: 11 V", "at_least: 13 V", "comes to 12", True),
    "a lamp too dim": ("unmet", HOT, HOT_THIN, "lamp gets 8", True),
    "a limit on the edge": ("narrow", "at_least: 11 V", "at_least: 12.4 V", "of 4 sound machines", True),
    "a fuse too large": (
        "large-fuse",
        "rating: 10 A",
        "rating: 30 A",
        "lead feed behind it, 1.5 mm², carries 24 A",
        True,
    ),
    "a fuse too small": ("overload", "rating: 10 A", "rating: 1 A", "fuse fuse carries 1.", True),
    "a switch too small": ("overload", "rating: 8 A", "rating: 1 A", "switch switch carries 1.", False),
    "no fuse": ("unfused", PLUS, PLUS_UNFUSED, "lead plus (2.5 mm²) is fed by the battery", False),
    "a thin lead": ("lost-volts", HOT, HOT_THIN, "most of it hot (0.35 mm², 30 m", False),
    "a lamp that burns out": ("overfed", "volts: 12.6 V", "volts: 17 V", "lamp gets 14", False),
    "a battery too small": (
        "weak-battery",
        "resistance: 20 mΩ",
        "resistance: 4 Ω",
        "gives way to 7.5 V",
        False,
    ),
}


def changed(name: str) -> str:
    """The sound file with one mistake in it."""
    _, before, after, _, _ = CASES[name]
    assert before in SOUND
    return SOUND.replace(before, after, 1)


def test_a_sound_harness_gives_no_finding() -> None:
    """Every check is quiet on a harness with nothing to remark."""
    assert findings(SOUND) == ()


@pytest.mark.parametrize("name", CASES)
def test_each_check_tells_its_own_finding(name: str) -> None:
    """A finding names the ids and the numbers, is serious where it must be, and says what to do."""
    code, _, _, words, serious = CASES[name]
    found = [item for item in findings(changed(name)) if item.code == code]
    assert found, f"{code} is not told"
    assert any(words in item.sentence for item in found), found
    assert found[0].remedy
    assert found[0].serious is serious or code == "narrow"
    assert all(item.path[0] in ("parts", "leads", "functions") for item in found)


def test_a_lead_that_loses_a_tenth_is_named_with_its_volts() -> None:
    """30 m of 0.35 mm² are 1.48 Ω; at about 1.5 A they cost the lamp more than 1.2 V."""
    (finding,) = [item for item in findings(changed("a thin lead")) if item.code == "lost-volts"]
    assert finding.path == ("leads", "hot", "size")
    assert "hot (0.35 mm², 30 m" in finding.sentence


def test_starter_cables_and_short_feeds_need_no_fuse() -> None:
    """10 mm² and more, and 0.3 m from the battery to its fuse, are passed over."""
    cable = "leads:\n  cable: {from: battery.+, to: switch.2, size: 16 mm2, length: 1 m}\n"
    told = [item.path[1] for item in findings(SOUND.replace("leads:\n", cable)) if item.code == "unfused"]
    assert "cable" not in told and "plus" not in told


def test_what_only_a_winding_feeds_needs_no_fuse() -> None:
    """A winding limits its own current."""
    winding = "  gen: {kind: winding, at: tray, between: [1, 31], resistance: 1 Ω, volts: {cranking: 3 V, running: 14 V}, mounts: {31: frame}}\n"
    lamp = "  tail: {kind: lamp, at: tray, watts: 5 W, mounts: {2: frame}}\n"
    text = SOUND.replace(
        "leads:\n", winding + lamp + "leads:\n  ac: {from: gen.1, to: tail.1, size: 1 mm2, length: 1 m}\n"
    )
    assert findings(text) == ()


def test_a_lead_of_unknown_size_behind_a_large_fuse_is_not_called_serious() -> None:
    """What rests on an assumed size is said to, and does not stop anyone."""
    text = SOUND.replace("rating: 10 A", "rating: 20 A").replace(
        "to: switch.1, size: 1.5 mm2", "to: switch.1"
    )
    (finding,) = [item for item in findings(text) if item.code == "large-fuse" and item.path[1] == "feed"]
    assert "assumed" in finding.sentence and not finding.serious


def test_the_next_fuse_takes_over() -> None:
    """A thin lead behind a small fuse is no matter of the main fuse before it."""
    small = "  small: {kind: fuse, at: tray, rating: 3 A}\n"
    leads = "leads:\n  on: {from: fuse.2, to: small.1, size: 2.5 mm2, length: 1 m}\n"
    text = SOUND.replace("leads:\n", small + leads).replace("feed: {from: fuse.2", "feed: {from: small.2")
    text = text.replace("rating: 10 A", "rating: 30 A")
    assert [item for item in findings(text) if item.code == "large-fuse"] == []


def test_chattering_relays_are_told_as_a_finding() -> None:
    """A circuit without an answer is a serious finding of the function, in electrical words."""
    relay = "  buzzer: {kind: relay, at: tray, coil: [86, 85], contacts: [{between: [30, 87], rests: closed}], mounts: {85: frame}}\n"
    leads = (
        "leads:\n  in: {from: switch.2, to: buzzer.30, size: 1.5 mm2, length: 1 m}\n"
        "  loop: {from: buzzer.87, to: buzzer.86, size: 1.5 mm2, length: 1 m}\n"
    )
    found = [item for item in findings(SOUND.replace("leads:\n", relay + leads)) if item.code == "unsolved"]
    assert found and found[0].serious and "buzzer chatters" in found[0].sentence


def test_every_check_has_a_case() -> None:
    """No check stands in the list without a harness that makes it speak."""
    assert len({code for code, *_ in CASES.values()}) >= len(CIRCUIT_CHECKS)
