"""Hostile lead lists: a harness that loads, or a sentence with place, value and remedy and nothing written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.hostile.asked import Answer, Asked, ask_all, check_answer
from tests.hostile.csv_cases import CSV_CASES

from ohmtrail.harness import load_harness

WARM = Asked("warm", {}, ("import", "leads.csv"), 0, ())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the lists stand."""
    return tmp_path_factory.mktemp("lists")


@pytest.fixture(scope="module")
def answers(folder: Path) -> dict[str, Answer]:
    """What `ohmtrail import` said to each, all asked of one process."""
    return ask_all(CSV_CASES, folder, WARM)


def test_there_are_enough_cases() -> None:
    """One hazard each, each under its own name."""
    assert len(CSV_CASES) >= 120
    assert len({case.name for case in CSV_CASES}) == len(CSV_CASES)


@pytest.mark.parametrize("case", CSV_CASES, ids=[case.name for case in CSV_CASES])
def test_a_hostile_list(case: Asked, answers: dict[str, Answer]) -> None:
    """The status and the words wanted, in time and in memory."""
    check_answer(case, answers[case.name])


def test_what_was_made_loads(folder: Path, answers: dict[str, Answer]) -> None:
    """Every harness file that was written has as many leads as was said."""
    made = list(_made(folder, answers))
    assert len(made) > 40
    for path, said in made:
        assert f"{len(load_harness(path).leads)} leads" in said


def _made(folder: Path, answers: dict[str, Answer]) -> Iterator[tuple[Path, str]]:
    for index, case in enumerate(CSV_CASES):
        if answers[case.name].changed:
            yield folder / str(index) / "new.yaml", answers[case.name].out
