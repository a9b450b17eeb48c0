"""Files that version 1 wrote are read by every later program, and files of a later one are refused in words."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.changes.reading import read_record
from ohmtrail.errors import OhmtrailError
from ohmtrail.harness import load_harness
from ohmtrail.job import read_job
from ohmtrail.workbench.drill_file import read_drill

KEPT = Path(__file__).parent / "fixtures" / "version-1"
READERS = {
    "harness.yaml": load_harness,
    "record.record": read_record,
    "job.job": read_job,
    "survey.job": read_job,
    "drill.drill": read_drill,
}


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A copy of the files, which nobody writes to."""
    shutil.copytree(KEPT, tmp_path / "kept")
    return tmp_path / "kept"


def test_a_harness_is_read() -> None:
    """Every lead of it, and what a lead says."""
    harness = load_harness(str(KEPT / "harness.yaml"))
    assert len(harness.leads) == 37
    assert harness.leads["stop-3"].loom == "tiller-loom"


def test_a_job_is_read(kept: Path) -> None:
    """Readings, the struck one and the remark."""
    job = read_job(str(kept / "job.job"))
    assert len(job.events) == 3
    assert job.notes


def test_a_survey_is_read(kept: Path) -> None:
    """A planned survey with its first result."""
    job = read_job(str(kept / "survey.job"))
    assert len(job.planned) > 5
    assert any(state != "open" for state in job.progress)


def test_a_record_is_read(kept: Path) -> None:
    """Both entries, and the machine as it is now."""
    assert [item.by for item in read_record(str(kept / "record.record")).record.changes] == ["A. Keel", "B. Oar"]
    assert workbench.list_changes(kept / "record.record").applied is not None


def test_a_drill_is_read(kept: Path) -> None:
    """It has ended, by giving up."""
    (ended,) = workbench.summarise_drills([kept / "drill.drill"]).drills
    assert ended is not None


def test_a_lead_list_is_read(kept: Path) -> None:
    """What was exported comes back as the same number of leads."""
    made = workbench.import_leads(kept / "leads.csv")
    assert len(made.harness.leads) == 37


@pytest.mark.parametrize("name", READERS)
def test_a_newer_file_is_refused(kept: Path, name: str) -> None:
    """One sentence with the version; the file stays as it is."""
    path = kept / name
    text = path.read_text(encoding="utf-8")
    newer = text.replace("version: 1\n", "version: 2\n", 1).replace('version: "1"\n', 'version: "2"\n', 1)
    assert newer != text
    path.write_text(newer, encoding="utf-8")
    with pytest.raises(OhmtrailError, match=r"newer Ohmtrail \(version 2, this one knows up to 1\)"):
        READERS[name](str(path))
    assert path.read_text(encoding="utf-8") == newer
