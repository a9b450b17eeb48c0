"""A job by a file that cannot do what it must: said from the first word on, with where to look, and nothing is named."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.circuit import Setting, function_setting
from ohmtrail.diagnosis import Bench, Case, Complaint, Posterior, Proposal, Seen
from ohmtrail.harness import load_harness
from ohmtrail.reports import Paper, document
from ohmtrail.reports.asked import write_asked
from ohmtrail.reports.cards import trouble_text
from ohmtrail.reports.jobs import write_recorded

CIRCUITS = Path(__file__).parents[2] / "circuits"
NOW = datetime(2031, 5, 4, 9, 12, tzinfo=UTC)
LEAD = "  lantern-3:\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """The outboard without a lead of its lantern."""
    text = (CIRCUITS / "outboard.yaml").read_text(encoding="utf-8")
    before, after = text.split(LEAD)
    path = tmp_path / "boat.yaml"
    path.write_text(before + after[after.index("  lantern-earth-1:") :], encoding="utf-8")
    return path


def _plain(paper: Paper) -> str:
    return " ".join(paper.text(line).strip() for line in paper.lines)


def test_a_job_says_at_once_that_the_file_may_be_wrong(tmp_path: Path, file: Path) -> None:
    """At the start, at the next step, on the page and as JSON: what does not work by it, and what would put it right."""
    made = workbench.start(tmp_path / "a.job", harness=file, complaint="lantern-light absent", now=NOW)
    paper = Paper()
    write_recorded(paper, made)
    said = _plain(paper)
    assert "By the harness file lantern-light does not work even with everything sound" in said
    assert "a lead from lantern-socket.1b to lantern.58" in said
    shown = workbench.next_step(tmp_path / "a.job", now=NOW)
    paper = Paper()
    write_asked(paper, shown)
    assert "the file may not match the machine" in _plain(paper)
    assert "lantern.58" in trouble_text(made.standing)
    found = document("start", made)["astray"]
    assert found == {"functions": ["lantern-light"], "changes": [{"leads": [], "between": [["lantern-socket.1b", "lantern.58"]]}], "more": 0}


def test_a_sound_file_is_not_doubted(tmp_path: Path) -> None:
    """Nothing of the kind is said where everything works by the file."""
    made = workbench.start(tmp_path / "a.job", harness=CIRCUITS / "outboard.yaml", complaint="lantern-light absent", now=NOW)
    assert made.standing.astray is None
    assert document("start", made)["astray"] is None


def test_check_tells_where_to_look(file: Path) -> None:
    """The finding names the ends of the lead that is missing, and stands at the part that lacks it."""
    found = [item for item, _, _ in workbench.check(file).findings if item.code == "astray"]
    assert len(found) == 1
    assert "a lead from lantern-socket.1b to lantern.58" in found[0].sentence
    assert found[0].path == ("parts", "lantern-socket")


@pytest.mark.parametrize("sound", [False, True])
def test_nothing_is_named_by_such_a_file(file: Path, sound: bool) -> None:
    """What the choice would name is tried, not named, where the file is wrong; where it is sound it is named."""
    case = Case(load_harness(CIRCUITS / "outboard.yaml" if sound else file), year=2031)
    setting = function_setting(case.harness, case.harness.functions["stop-by-button"])
    assessment = case.assess([Seen("stop-by-button", setting, 0)])

    def names(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> Proposal:
        return Proposal(None, 1.0, 0.0, posterior.best, (), False, ())

    assert assessment.posterior is not None and assessment.posterior.best is not None
    chosen = case.next_step(assessment, Bench(Setting()), choose=names)
    assert (chosen.named is not None) == sound
