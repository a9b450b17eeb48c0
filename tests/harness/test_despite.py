"""All mistakes of a file are told in one go, and a wrong terminal's message says which the part has."""

from __future__ import annotations

import pytest

from ohmtrail.errors import HarnessError, Mistake
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree

TEXT = """\
harness: tiller
places: {box: {reach: 1 min}}
parts:
  battery: {kind: battery, at: box}
  fuse: {kind: fuse, at: box, rating: 15 A}
  starter: {kind: motor, at: box, resistance: 0.1 Ω, between: [30, 31], mounts: {31: frame}}
  key: {kind: switch, at: box, rests: off, positions: {off: [], on: [[30, 15]]}}
  horn: {kind: horn, at: box}
  plug: {kind: connector, at: box, cavities: [1]}
  E1: {kind: earth, at: box}
leads:
  a: {from: battery.+, to: fuse.1}
  b: {from: fuse.2, to: plug.1a}
  c: {from: plug.1b, to: starter.30}
  d: {from: key.15, to: horn.15}
  e: {from: horn.31, to: E1.1}
"""


def mistakes(text: str) -> tuple[Mistake, ...]:
    """What is wrong with it."""
    with pytest.raises(HarnessError) as caught:
        parse_harness(read_tree(text, file="tiller.yaml"))
    return caught.value.mistakes


def edited(*pairs: tuple[str, str]) -> str:
    """The file with slips of the pen."""
    text = TEXT
    for right, wrong in pairs:
        assert right in text
        text = text.replace(right, wrong, 1)
    return text


def test_the_message_says_what_to_write() -> None:
    """Which terminals the part has, and the very words that name them as the leads do."""
    told = [str(item).split(": ", 1)[1] for item in mistakes(TEXT)]
    horn = "horn has horn.1, horn.2; to name them as on the machine, write 'between: [15, 31]' in the part"
    assert told == [
        f"no terminal 'horn.15'; {horn}",
        f"no terminal 'horn.31'; {horn}",
        "no terminal 'E1.1'; the earth 'E1' has one terminal only, named like itself: write 'E1'",
    ]


@pytest.mark.parametrize(
    ("slip", "said"),
    [
        (("resistance: 0.1 Ω, ", ""), "'resistance' is missing in starter; write 'resistance: 0.5 Ω', as measured"),
        (("rating: 15 A", "rating: 15"), "the unit is missing"),
        (("kind: motor", "kind: moter"), "no kind of part 'moter'; did you mean 'motor'?"),
        (("cavities: [1]", "cavitys: [1]"), "did you mean 'cavities'?"),
        (("harness: tiller\n", ""), "'harness' is missing"),
        (("{reach: 1 min}", "{reach: soon}"), "soon"),
        (("{from: fuse.2, to: plug.1a}", "5"), "'b' cannot be only '5'"),
    ],
)
def test_a_slip_hides_no_other(slip: tuple[str, str], said: str) -> None:
    """Whatever is wrong besides, the terminals that do not exist are told with it, and no others."""
    told = [str(item) for item in mistakes(edited(slip))]
    assert any(said in item for item in told), told
    assert [item.split("'")[1] for item in told if "no terminal" in item] == ["horn.15", "horn.31", "E1.1"]


def test_what_is_uncertain_is_not_told() -> None:
    """Where the places cannot be read, no part is told that its place does not exist."""
    assert not any("no place" in str(item) for item in mistakes(edited(("places: {box: {reach: 1 min}}", "places: 5"))))
