"""The dossier command: one file with everything that is known of a machine."""

import re
import shutil
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
MACHINE = str(ROOT / "circuits" / "outboard.yaml")


def test_survey_and_job_in_one_file(typed: Any) -> None:
    """Contents lead to every part; nothing is fetched; what is open is said; boxes hold what was read."""
    shutil.copy(MACHINE, "skerry.yaml")
    typed("survey", "skerry.yaml", "-o", "s.job", "--year", "2026")
    typed("read", "s.job", "1:", "5M")
    typed("start", "lamp.job", "--harness", "skerry.yaml", "--complaint", "lantern-light absent")
    typed("read", "lamp.job", "volts lantern.58 frame 0.0 with lantern-switch on")
    made = typed("dossier", "skerry.yaml", "s.job", "lamp.job", "-o", "d.html", "--json")
    assert made.status == 0
    told = made.made["dossier"]
    assert (told["surveys"], told["jobs"], told["changes"]) == (["s.job"], ["lamp.job"], None)
    open_ = {item["head"]: item["lines"] for item in told["not_checked"]}
    assert "spark of the top cylinder" in open_["Functions that were not watched"]
    assert open_["Functions that did not work when last watched"] == ["lantern: fails"]
    assert any("lamp.job" in line for line in open_["Jobs without a proven end"])
    page = Path("d.html").read_text(encoding="utf-8")
    contents = page.partition("<nav")[2].partition("</nav>")[0]
    assert set(re.findall(r'href="#([^"]+)"', contents)) == set(re.findall(r'<section class="dossier-part" id="([^"]+)"', page))
    assert not re.findall(r'(?:src|href)="(?!#)[^"]*"', page)
    assert ">5\u00a0MΩ</div>" in page
    for word in ("lantern-earth-2", "Renew regardless", "Careful", "Lead list"):
        assert word in page


def test_a_record_stands_for_its_machine(typed: Any) -> None:
    """The record of changes gives the machine as it is now, and what was done to it."""
    made = typed("dossier", str(ROOT / "examples" / "restored-trail.record"), "-o", "d.html", "--json").made["dossier"]
    assert made["changes"]
    assert made["not_checked"][0]["head"] == "No survey was made of this machine"
    assert "Record of changes" in Path("d.html").read_text(encoding="utf-8")


def test_it_refuses(typed: Any) -> None:
    """A job on another machine, and what is no job, are one sentence."""
    typed("start", "s.job", "--harness", MACHINE, "--complaint", "spark-top absent")
    other = typed("dossier", str(ROOT / "circuits" / "ride-on-mower.yaml"), "s.job", "-o", "d.html")
    assert other.status == 2
    assert "is on 'Skerry 9 outboard'" in other.err
    assert typed("dossier", MACHINE, MACHINE, "-o", "d.html").status == 2
    assert not Path("d.html").exists()


def test_a_job_on_a_file_that_was_changed_since_is_taken_where_that_is_said(typed: Any) -> None:
    """The remedy that is told is an option of the command that tells it."""
    shutil.copy(MACHINE, "skerry.yaml")
    typed("start", "lamp.job", "--harness", "skerry.yaml", "--complaint", "lantern-light absent")
    Path("skerry.yaml").write_text(Path(MACHINE).read_text(encoding="utf-8") + "\n# looked over\n", encoding="utf-8")
    refused = typed("dossier", "skerry.yaml", "lamp.job", "-o", "d.html")
    assert refused.status == 2
    assert "--accept-changed" in refused.err
    assert typed("dossier", "skerry.yaml", "lamp.job", "-o", "d.html", "--accept-changed").status == 0
