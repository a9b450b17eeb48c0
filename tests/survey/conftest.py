"""Surveyed machines, each planned once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from ohmtrail.harness import load_harness
from ohmtrail.survey import Surveyor

CIRCUITS = Path(__file__).parents[2] / "circuits"


@cache
def _surveyor(name: str) -> Surveyor:
    return Surveyor(load_harness(str(CIRCUITS / f"{name}.yaml")), year=2026)


@pytest.fixture(scope="session")
def surveyor_of() -> Callable[[str], Surveyor]:
    """Give the surveyor of a shipped machine by its file's name."""
    return _surveyor
