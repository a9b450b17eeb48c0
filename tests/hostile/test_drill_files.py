"""Hostile drill files: a sentence with place, value and remedy or a drill rightly read, and every file as it was."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.hostile.asked import Answer, Asked, ask_all, check_answer
from tests.hostile.drill_cases import GO_ON, PLACEHOLDER, drill_cases
from tests.hostile.harness_cases import SOUND

from ohmtrail import workbench
from ohmtrail.journal import load
from ohmtrail.training import Wish

NAMES = [case.name for case in drill_cases(PLACEHOLDER)]


@pytest.fixture(scope="module")
def cases(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Asked]:
    """The cases, made from a drill that was begun for them."""
    folder = tmp_path_factory.mktemp("sound")
    (folder / "bike.yaml").write_text(SOUND, encoding="utf-8")
    here = Path.cwd()
    os.chdir(folder)
    try:
        workbench.new_drill("bike.yaml", wish=Wish(seed=3, unsplit=True), path="a.drill", now=datetime(2031, 5, 4, 9, 12, tzinfo=UTC))
    finally:
        os.chdir(here)
    (start,) = load(folder / "a.drill", kind="drill", version=1)
    return {case.name: case for case in drill_cases(dict(start.data))}


@pytest.fixture(scope="module")
def answers(cases: dict[str, Asked], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Answer]:
    """What `ohmtrail drill` said to each, all asked of one process."""
    return ask_all(list(cases.values()), tmp_path_factory.mktemp("drills"), Asked("warm", {}, GO_ON, 0, ()))


def test_there_are_enough_cases() -> None:
    """One hazard each, each under its own name."""
    assert len(NAMES) >= 80
    assert len(set(NAMES)) == len(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_hostile_drill(name: str, cases: dict[str, Asked], answers: dict[str, Answer]) -> None:
    """The status and the words wanted, in time and in memory, nothing written on a refusal."""
    check_answer(cases[name], answers[name])
