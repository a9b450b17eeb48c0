"""What a hand has been at weighs otherwise as a suspect, and the suspects say so."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.circuit.network import Network
from ohmtrail.faults import faults_of
from ohmtrail.faults.rates import LATELY_YEARS, weighed
from ohmtrail.harness import Harness, load_harness
from ohmtrail.reports.jobs import write_standing
from ohmtrail.reports.json_job import standing_json
from ohmtrail.reports.paper import Paper

ROOT = Path(__file__).parents[2]
NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


def rate(harness: Harness, fault: str, year: int) -> float:
    """Relative rate of a fault."""
    return next(item.rate for item in faults_of(Network.of(harness), year=year) if item.id == fault)


def with_lead(harness: Harness, name: str, **values: object) -> Harness:
    """The harness with something said about one lead."""
    leads = {**harness.leads, name: harness.leads[name].model_copy(update=values)}
    return harness.model_copy(update={"leads": leads})


def test_altered_lately_weighs_more_and_less_so_with_the_years() -> None:
    """Four times in the first years, half more after them; what was never touched stands between nothing and that."""
    plain = load_harness(ROOT / "circuits" / "trail-motorcycle.yaml")
    changed = with_lead(plain, "light-3", altered=2025)
    shares = [rate(changed, "light-3 open", year) / rate(plain, "light-3 open", year) for year in (2026, 2025 + LATELY_YEARS, 2026 + LATELY_YEARS)]
    assert shares == pytest.approx([4.0, 4.0, 1.5])


def test_renewed_weighs_less() -> None:
    """A renewed lead is a third as often at fault as the same lead left alone, and its age no longer counts."""
    plain = load_harness(ROOT / "circuits" / "trail-motorcycle.yaml")
    renewed = with_lead(plain, "light-3", renewed=2025)
    assert rate(renewed, "light-3 open", 2026) < 0.31 * rate(plain, "light-3 open", 2026)


def test_the_suspects_of_a_changed_machine_say_why_they_weigh_so(tmp_path: Path) -> None:
    """A record applied, a job begun on what it gives: what is in question says what was done to it, nothing else does."""
    base, record, now = (str(tmp_path / name) for name in ("ob.yaml", "ob.record", "now.yaml"))
    shutil.copy(ROOT / "circuits" / "outboard.yaml", base)
    steps = ["lead lantern-1 rerouted length=1 m", "lead lantern-2 renewed covering=crosslinked", "lead stop-1 renewed covering=crosslinked"]
    about = workbench.Particulars("A. Keel", "lantern dim", "2025-03")
    workbench.note_change(record, about, steps, harness=base, now=NOW)
    workbench.apply_changes(record, out=now, now=NOW)
    workbench.start(str(tmp_path / "a.job"), harness=now, complaint=["lantern-light absent"], now=NOW)
    standing = workbench.suspects(workbench.open_job(tmp_path / "a.job"))
    paper = Paper(100)
    write_standing(paper, standing)
    assert "Altered in 2025, so weighed more (4 times): lantern-1." in str(paper)
    assert "Renewed in 2025, so weighed less (0.3 times): lantern-2." in str(paper)
    assert [item["elements"] for item in standing_json(standing)["weighed"]] == [["lantern-1"], ["lantern-2"]]
    assert {item.elements for item in weighed(standing.job.harness, 2026) if item.how == "renewed"} == {("stop-1", "lantern-2")}
