"""Hostile surveys and results off their form: a sentence with place, value and remedy, and every file as it was."""

from __future__ import annotations

import pytest
from tests.hostile.asked import Answer, Asked, ask_all, check_answer
from tests.hostile.survey_cases import SHOW, SURVEY_CASES

WARM = Asked("warm", {}, SHOW, 0, ())


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Answer]:
    """What the commands on a survey said to each, all asked of one process."""
    return ask_all(SURVEY_CASES, tmp_path_factory.mktemp("surveys"), WARM)


def test_there_are_enough_cases() -> None:
    """One hazard each, each under its own name."""
    assert len(SURVEY_CASES) >= 80
    assert len({case.name for case in SURVEY_CASES}) == len(SURVEY_CASES)


@pytest.mark.parametrize("case", SURVEY_CASES, ids=[case.name for case in SURVEY_CASES])
def test_a_hostile_survey(case: Asked, answers: dict[str, Answer]) -> None:
    """The status and the words wanted, in time and in memory, nothing written on a refusal."""
    check_answer(case, answers[case.name])
