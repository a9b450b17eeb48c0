"""Drills on a small machine, planted once for all tests."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from ohmtrail.diagnosis import Case
from ohmtrail.harness import load_harness
from ohmtrail.training import YEAR, Drill, Level, Route, Wish, plant_drill

MACHINE = Path(__file__).parents[2] / "circuits" / "outboard.yaml"


@pytest.fixture(scope="session")
def case() -> Case:
    """The outboard."""
    return Case(load_harness(MACHINE), year=YEAR)


@pytest.fixture(scope="session")
def planted(case: Case) -> Callable[[Level, int], tuple[Drill, Route]]:
    """A drill of a level and a seed, with the tool's own way."""

    @cache
    def give(level: Level, seed: int) -> tuple[Drill, Route]:
        return plant_drill(case, Wish(level, "", seed))

    return give
