"""A small machine that several tests rehearse."""

from __future__ import annotations

from pathlib import Path

import pytest

from ohmtrail.diagnosis import Case
from ohmtrail.harness import load_harness

OUTBOARD = Path(__file__).parents[2] / "circuits" / "outboard.yaml"


@pytest.fixture(scope="session")
def outboard() -> Case:
    """The outboard."""
    return Case(load_harness(OUTBOARD), year=2026)
