"""The command that works machines by files that do not match them: its files, what is said, its sums."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

from ohmtrail.circuit import Electrics
from ohmtrail.circuit.astray import dead_functions
from ohmtrail.diagnosis import Case
from ohmtrail.harness import Harness

OUTBOARD = Path(__file__).parents[2] / "circuits" / "outboard.yaml"
BENCH = Path(__file__).parents[1] / "bench"


@pytest.fixture
def wrong_file(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The command's module."""
    monkeypatch.syspath_prepend(str(BENCH))
    return import_module("wrong_file")


@pytest.fixture
def misdescribed(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The module that makes the files."""
    monkeypatch.syspath_prepend(str(BENCH))
    return import_module("misdescribed")


def _dead(harness: Harness) -> tuple[str, ...]:
    """What does not work by a file."""
    return dead_functions(Electrics(harness, count=1), harness.functions)


@pytest.mark.parametrize("sound", [False, True])
def test_files_are_wrong_and_load(misdescribed: ModuleType, outboard: Case, sound: bool) -> None:
    """Every file differs from the true one in the leads it says, and works or does not as was asked for."""
    made = list(misdescribed.Misdescribed(outboard, OUTBOARD).jobs(["stop-by-button", "lantern-light"], 4, 5, sound=sound))
    assert len(made) == 4
    for item in made:
        leads, true = item.harness.leads, outboard.harness.leads
        moved = {name for name in leads if leads[name].to != true[name].to}
        assert (set(true) - set(leads)) | moved == set(item.altered.leads)
        assert bool(_dead(item.harness)) != sound


def test_the_true_file_does_everything(outboard: Case) -> None:
    """`check` has nothing to say of it."""
    assert _dead(outboard.harness) == ()


def test_a_few_files_are_doubted_at_once(wrong_file: ModuleType, misdescribed: ModuleType, outboard: Case) -> None:
    """By a file that cannot do what is complained of a job says so, points at the wrong lead, and names nothing."""
    made = misdescribed.Misdescribed(outboard, OUTBOARD).jobs(["stop-by-lanyard", "lantern-light"], 10, 8, sound=False)
    dead = [item for item in made if item.wanted.function in _dead(item.harness)]
    done = [wrong_file.meet(outboard, item, sound=False) for item in dead]
    assert len(done) > 3
    assert all(item.at_once and item.near and item.end in ("nothing", "doubt") for item in done)
    assert sum(item.exact for item in done) > len(done) / 2


def test_sums(wrong_file: ModuleType) -> None:
    """Two sorts: of the first both doubted and one of them exact; of the second one named wrongly, one right."""
    met = wrong_file.Met
    done = [
        met(False, True, ("a",), True, True, "nothing", ""),
        met(False, True, ("b",), False, False, "right", "renew a"),
        met(True, False, (), False, False, "wrong", "renew b"),
        met(True, False, (), False, False, "right", "renew a"),
    ]
    lines = wrong_file.lines_of(done)
    assert [line.found for line in lines[:6]] == ["25%", "50%", "50%", "50%", "50%", "75%"]
    assert [line.found for line in lines[6:12]] == ["0%", "100%", "50%", "50%", "50%", "100%"]
    assert [line.found for line in lines[12:]] == ["50%", "0%", "0%", "0%", "50%", "50%"]
    assert not lines[12].met
