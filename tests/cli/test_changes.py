"""The restorer's record on the command line: begun, added to, listed, applied, undone."""

from __future__ import annotations

import io
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
Typed = Callable[..., Any]
WHO = ("--by", "A. Keel", "--why", "covering rotten: cracked")
RENEW = ("--step", "lead stop-1 renewed covering=crosslinked")


@pytest.fixture
def noted(typed: Typed) -> Typed:
    """The same, with a machine and a record of one change beside it."""
    shutil.copy(ROOT / "circuits" / "outboard.yaml", "ob.yaml")
    ran = typed("changes", "add", "ob.record", "--harness", "ob.yaml", *RENEW, *WHO, "--date", "2024-03", "--kept", "tin 2")
    assert ran.status == 0, ran.err
    return typed


def test_a_change_is_kept_with_what_was_found_before(noted: Typed) -> None:
    """The record says who, when, why, what was there before, and where the original is."""
    text = Path("ob.record").read_text(encoding="utf-8")
    assert "{lead: stop-1, renewed: {covering: crosslinked}, was: {covering: rubber}}" in text
    made = noted("changes", "list", "ob.record", "--json").made
    (entry,) = made["changes"]
    assert (entry["by"], entry["date"], entry["original"]) == ("A. Keel", "2024-03", {"kept": True, "where": "tin 2"})
    assert made["in_force"] == [1]


def test_what_stands_in_a_record_is_never_touched(noted: Typed) -> None:
    """A later entry is added behind what stands there, comments and odd spacing included."""
    with Path("ob.record").open("a", encoding="utf-8") as file:
        file.write("      # the tin is on the top shelf\n\n")
    before = Path("ob.record").read_text(encoding="utf-8")
    assert noted("changes", "add", "ob.record", "--step", "part lantern corrected watts='5 W'", *WHO).status == 0
    assert Path("ob.record").read_text(encoding="utf-8").startswith(before)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--step", "lead stop-9 renewed covering=pvc", *WHO), "did you mean 'stop-5'"),
        (("--step", "lead stop-1 painted colour=BK", *WHO), "no step of a lead 'painted'"),
        (("--step", "part lantern exchanged watts=21 W", *WHO), "'exchanged' wants the whole new part, nothing is kept of the old one; write 'part lantern exchanged {kind: lamp"),
        (("--step", "part stop-button removed", *WHO), "does not hold together: no terminal 'stop-button.2'"),
        (("--step", "lead stop-1 renewed covering=gold", *WHO), "'gold' is not allowed"),
        ((*RENEW, "--why", "x"), "who did it"),
        ((*RENEW, *WHO, "--date", "2099-01-01"), "still to come"),
        ((*RENEW, *WHO, "--date", "2024-02-30"), "not a day of the calendar"),
        (("--step", "lead stop-1", *WHO), "is no step"),
        ((*RENEW, *WHO, "--harness", "nowhere.yaml"), "there is no file"),
    ],
)
def test_a_change_that_cannot_be_is_refused(noted: Typed, words: tuple[str, ...], said: str) -> None:
    """One sentence, status 2, and the record stays as it was."""
    before = Path("ob.record").read_bytes()
    ran = noted("changes", "add", "ob.record", *words)
    assert (ran.status, ran.out) == (2, "")
    assert said in ran.err
    assert Path("ob.record").read_bytes() == before


def test_a_record_on_the_wrong_harness_is_refused_with_the_reason(noted: Typed) -> None:
    """Another machine, and a lead that is not as the record expects it."""
    text = Path("ob.yaml").read_text(encoding="utf-8")
    Path("ob.yaml").write_text(text.replace("covering: rubber", "covering: pvc"), encoding="utf-8")
    ran = noted("changes", "apply", "ob.record")
    assert ran.status == 2
    assert "ob.record:14: change 1 of 2024-03" in ran.err
    assert "lead 'stop-1' has covering 'pvc', where 'rubber' is expected" in ran.err
    Path("ob.yaml").write_text(text.replace("harness: Skerry 9", "harness: Skerry 8"), encoding="utf-8")
    assert "the record is for 'Skerry 9 outboard'" in noted("changes", "apply", "ob.record").err


def test_the_harness_as_it_is_now_is_a_harness(noted: Typed) -> None:
    """It is written beside the base, which stays; it checks, keeps its comments, and is not overwritten."""
    base = Path("ob.yaml").read_bytes()
    assert noted("changes", "apply", "ob.record", "-o", "now.yaml").status == 0
    now = Path("now.yaml").read_text(encoding="utf-8")
    assert "covering: crosslinked" in now
    assert all(line in now for line in base.decode().splitlines() if line.lstrip().startswith("#"))
    assert noted("check", "now.yaml").status == noted("check", "ob.yaml").status
    assert "add --replace" in noted("changes", "apply", "ob.record", "-o", "now.yaml").err
    assert "the base stays as it is" in noted("changes", "apply", "ob.record", "-o", "ob.yaml", "--replace").err
    assert Path("ob.yaml").read_bytes() == base


def test_undoing_keeps_the_history_and_can_be_undone(noted: Typed) -> None:
    """Back to a date the harness is the base, byte for byte; the entry stays, and comes back."""
    base = Path("ob.yaml").read_text(encoding="utf-8")
    ran = noted("changes", "undo", "ob.record", "--to", "2023-12", "--by", "A. Keel", "--why", "sold as it left the works")
    assert ran.status == 0
    assert "covering crosslinked → rubber" in ran.out
    assert noted("changes", "apply", "ob.record").out == base
    assert [entry["in_force"] for entry in noted("changes", "list", "ob.record", "--json").made["changes"]] == [False, False]
    assert "nothing to undo" in noted("changes", "undo", "ob.record", "--to", "2023-12", "--by", "a", "--why", "b").err
    back = noted("changes", "undo", "ob.record", "--change", "2", "--by", "A. Keel", "--why", "sale fell through")
    assert "In force again: 1" in back.out
    assert "covering: crosslinked" in noted("changes", "apply", "ob.record").out


def test_undoing_asks_for_no_work_on_what_stays(noted: Typed) -> None:
    """Of two changes the first is undone: the other stays on the machine, and an undoing is no change by itself."""
    assert noted("changes", "add", "ob.record", "--step", "lead stop-2 renewed covering=crosslinked", *WHO).status == 0
    ran = noted("changes", "undo", "ob.record", "--change", "1", "--by", "A. Keel", "--why", "the old one was sound")
    assert "lead stop-1 corrected: covering crosslinked → rubber" in ran.out
    assert "stop-2" not in ran.out
    assert "1 of 2 in force" in noted("changes", "list", "ob.record").out


def test_a_change_can_be_added_by_answering(noted: Typed, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each question in turn; a wrong answer is said and asked again."""
    answers = ["A. Keel", "measured", "", "lead", "renewed", "stop-22", "lead", "ren", "stop-2", "covering", "covering=pvc", "", "n", "y", "tin 3", "y", ""]
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(answers) + "\n"))
    ran = noted("changes", "add", "ob.record")
    assert ran.status == 0, ran.err
    assert "no lead 'stop-22'" in ran.out
    assert "original kept: tin 3" in ran.out
    assert len(noted("changes", "list", "ob.record", "--json").made["changes"]) == 2
