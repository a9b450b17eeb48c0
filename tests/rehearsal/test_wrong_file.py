"""The command that works machines by a file that does not match them: its files, what is seen in them, its sums."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

from ohmtrail.diagnosis import Case

OUTBOARD = Path(__file__).parents[2] / "circuits" / "outboard.yaml"
BENCH = Path(__file__).parents[1] / "bench"


@pytest.fixture
def wrong_file(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The command's module."""
    monkeypatch.syspath_prepend(str(BENCH))
    return import_module("wrong_file")


def test_files_are_wrong_and_load(wrong_file: ModuleType, outboard: Case) -> None:
    """Every file differs from the true one in the leads it says; only the last of a job passes `check`."""
    made = list(wrong_file.wrong_files(outboard, OUTBOARD, ["stop-by-button"], 1, 5))
    assert made
    for item in made:
        leads = item.harness.leads
        gone = set(outboard.harness.leads) - set(leads)
        moved = {name for name in leads if leads[name].to != outboard.harness.leads[name].to}
        assert gone | moved == set(item.leads)
    assert all(wrong_file.does_without(item.harness) for item in made[:-1])
    assert wrong_file.meet(outboard, made[0])[0] == "check" or len(made) == 1


def test_the_true_file_does_everything(wrong_file: ModuleType, outboard: Case) -> None:
    """`check` has nothing to say of it."""
    assert wrong_file.does_without(outboard.harness) == ""


def test_the_shares_are_of_the_files_that_check_does_not_see(wrong_file: ModuleType) -> None:
    """Six files, two of them seen: of the other four one names wrongly, two doubt, one of these near."""
    found = wrong_file.lines_of(["check", "check", "right", "wrong", "doubt", "near"])
    assert [line.found for line in found] == ["17%", "33%", "25%", "25%", "50%", "50%", "0%"]
    assert all(line.met for line in found)
    assert not wrong_file.lines_of(["wrong", "right"])[0].met
