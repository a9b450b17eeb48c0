"""Hostile records of changes: a sentence with place, value and remedy, and every file as it was."""

from __future__ import annotations

import pytest
from tests.hostile.asked import Answer, Asked, ask_all, check_answer
from tests.hostile.record_cases import RECORD_CASES


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Answer]:
    """What `ohmtrail changes` said to each, all asked of one process."""
    return ask_all(RECORD_CASES, tmp_path_factory.mktemp("records"), RECORD_CASES[0])


def test_there_are_enough_cases() -> None:
    """One hazard each, each under its own name."""
    assert len(RECORD_CASES) >= 130
    assert len({case.name for case in RECORD_CASES}) == len(RECORD_CASES)


@pytest.mark.parametrize("case", RECORD_CASES, ids=[case.name for case in RECORD_CASES])
def test_a_hostile_record(case: Asked, answers: dict[str, Answer]) -> None:
    """The status and the words wanted, in time and in memory, nothing written on a refusal."""
    check_answer(case, answers[case.name])
