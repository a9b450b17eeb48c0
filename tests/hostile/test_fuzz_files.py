"""Random records, steps, lead lists and job files: an answer or one of our own sentences, and every file as it was."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from tests.hostile.harness_cases import SOUND
from tests.hostile.making_records import job_data, lead_lists, reasons, record_texts, step_lines
from tests.hostile.record_cases import RECORD

from ohmtrail import workbench
from ohmtrail.changes.reading import parse_record, read_record
from ohmtrail.errors import Bug, OhmtrailError
from ohmtrail.harness import load_harness
from ohmtrail.harness.text import read_tree
from ohmtrail.job import read_job
from ohmtrail.workbench.particulars import Particulars

NOW = datetime(2031, 5, 4, 9, 12, tzinfo=UTC)
RELAXED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])


def _refused(error: OhmtrailError, *, lines: int = 40) -> None:
    """One of our own sentences, or one for each mistake of a file."""
    assert not isinstance(error, Bug)
    assert str(error).strip() and str(error).count("\n") < lines


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder with the harness."""
    (tmp_path / "bike.yaml").write_text(SOUND, encoding="utf-8")
    return tmp_path


def _record(place: Path, text: str) -> None:
    """Read, applied, and added to; what is refused stays as it is, and what was added to reads back."""
    path = place / "a.record"
    data = text.encode("utf-8", errors="replace")
    path.write_bytes(data)
    try:
        listed = workbench.list_changes(path)
    except OhmtrailError as error:
        _refused(error)
        with pytest.raises(OhmtrailError):
            workbench.note_change(path, Particulars(by="A", why="b"), ["lead back renewed covering=silicone"], now=NOW)
        assert path.read_bytes() == data
        return
    assert listed.applied.harness.leads
    before = read_record(path).record
    try:
        workbench.note_change(path, Particulars(by="A", why="b"), ["lead strap renewed covering=silicone"], now=NOW)
    except OhmtrailError as error:
        _refused(error)
        assert path.read_bytes() == data
        return
    assert read_record(path).record.changes[:-1] == before.changes


@settings(RELAXED, max_examples=200)
@given(record_texts())
def test_any_record(place: Path, text: str) -> None:
    """A record with damage done to it."""
    _record(place, text)


@pytest.mark.slow
@settings(RELAXED, max_examples=10_000)
@given(record_texts())
def test_any_record_long(place: Path, text: str) -> None:
    """The same, for longer."""
    _record(place, text)


@settings(RELAXED, max_examples=200)
@given(step_lines(), reasons())
def test_any_change(place: Path, step: str, why: str) -> None:
    """Whatever is typed: refused with one sentence, or kept so that it reads back as it was said."""
    path = place / "a.record"
    path.write_text(RECORD, encoding="utf-8")
    try:
        noted = workbench.note_change(path, Particulars(by="A. Keel", why=why), [step], now=NOW)
    except OhmtrailError as error:
        _refused(error)
        assert path.read_text(encoding="utf-8") == RECORD
        return
    again = workbench.list_changes(path)
    assert again.source.record.changes[-1].why == " ".join(why.split())
    assert again.applied.harness == noted.applied.harness
    assert parse_record(read_tree(RECORD, file="a.record")).record.changes == again.source.record.changes[:-1]


@settings(RELAXED, max_examples=200)
@given(lead_lists())
def test_any_lead_list(place: Path, text: str) -> None:
    """A harness file that loads, or one sentence and no file."""
    (place / "leads.csv").write_bytes(text.encode("utf-8", errors="replace"))
    out = place / "new.yaml"
    out.unlink(missing_ok=True)
    try:
        made = workbench.import_leads(place / "leads.csv", out=out)
    except OhmtrailError as error:
        _refused(error, lines=1)
        assert not out.exists()
        return
    assert load_harness(out) == made.harness


def _job(place: Path, data: bytes) -> None:
    path = place / "a.job"
    path.write_bytes(data)
    try:
        read_job(str(path))
        workbench.suspects(str(path))
    except OhmtrailError as error:
        _refused(error, lines=1)
    assert path.read_bytes() == data


@settings(RELAXED, max_examples=100)
@given(job_data())
def test_any_job(place: Path, data: bytes) -> None:
    """Records whose sums are right and which say anything."""
    _job(place, data)


@pytest.mark.slow
@settings(RELAXED, max_examples=5_000)
@given(job_data())
def test_any_job_long(place: Path, data: bytes) -> None:
    """The same, for longer."""
    _job(place, data)
