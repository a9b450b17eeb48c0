"""Hostile job files: a sentence with place, value and remedy or a job rightly read, and every file as it was."""

from __future__ import annotations

import pytest
from tests.hostile.asked import Answer, Asked, ask_all, check_answer
from tests.hostile.job_cases import JOB_CASES, SHOW

WARM = Asked("warm", {}, SHOW, 0, ())


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Answer]:
    """What the commands on a job said to each, all asked of one process."""
    return ask_all(JOB_CASES, tmp_path_factory.mktemp("jobs"), WARM)


def test_there_are_enough_cases() -> None:
    """One hazard each, each under its own name."""
    assert len(JOB_CASES) >= 160
    assert len({case.name for case in JOB_CASES}) == len(JOB_CASES)


@pytest.mark.parametrize("case", JOB_CASES, ids=[case.name for case in JOB_CASES])
def test_a_hostile_job(case: Asked, answers: dict[str, Answer]) -> None:
    """The status and the words wanted, in time and in memory, nothing written on a refusal."""
    check_answer(case, answers[case.name])
