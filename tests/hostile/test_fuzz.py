"""Random harness texts and reading lines: an answer or one of our own sentences, never anything else."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from tests.hostile.making import harness_texts, reading_lines

from ohmtrail.circuit import Setting
from ohmtrail.circuit.meter import Meter
from ohmtrail.errors import OhmtrailError
from ohmtrail.grammar import Context, read_line
from ohmtrail.harness import Harness, load_harness
from ohmtrail.workbench import check

OUTBOARD = Path(__file__).parents[2] / "circuits" / "outboard.yaml"


@pytest.fixture(scope="module")
def outboard() -> Harness:
    """A machine to read on."""
    return load_harness(OUTBOARD)


def _harness(text: str) -> None:
    try:
        found = check("fuzz.yaml", text=text)
    except OhmtrailError as error:
        assert "\n" not in str(error) or ":" in str(error)
        assert str(error).strip()
        return
    assert found.harness.leads


@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(harness_texts())
def test_any_harness_text(text: str) -> None:
    """Read and checked to the end, solved functions included, or refused with a sentence."""
    _harness(text)


@pytest.mark.slow
@settings(max_examples=20_000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(harness_texts())
def test_any_harness_text_long(text: str) -> None:
    """The same, for longer."""
    _harness(text)


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(reading_lines())
def test_any_reading(outboard: Harness, text: str) -> None:
    """A reading is understood, or refused with one sentence."""
    context = Context(outboard, Setting(), Meter(), None)
    try:
        line = read_line(text, context)
    except OhmtrailError as error:
        assert str(error).strip() and "\n" not in str(error)
        return
    assert line.evidence is not None or line.note
