"""The survey command: as text and JSON, and what it refuses."""

from pathlib import Path
from typing import Any

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")


def test_text_and_json_say_the_same(typed: Any) -> None:
    """Every reading of the JSON stands in the text under its number, the stages in order, both figures printed."""
    made = typed("survey", MACHINE, "--year", "2026", "--json").made["survey"]
    said = typed("survey", MACHINE, "--year", "2026")
    assert said.status == 0
    text = " ".join(said.out.split())
    rows = [row for stage in made["stages"] for row in stage["readings"]]
    assert [stage["stage"] for stage in made["stages"]] == [1, 2, 3, 4]
    assert [row["number"] for row in rows] == list(range(1, len(rows) + 1))
    for row in rows:
        assert f"{row['number']} {row['text']}: {row['band']}" in text
    assert f"It takes {made['minutes']:.0f} min" in text
    assert f"would take {made['everything_minutes']:.0f} min" in text


def test_it_refuses(typed: Any) -> None:
    """A place that is not there, and minutes that do not reach for a safe start, are one sentence each."""
    wrong = typed("survey", MACHINE, "--unreachable", "tillr")
    assert wrong.status == 2
    assert "tiller" in wrong.err
    short = typed("survey", MACHINE, "--minutes", "1")
    assert short.status == 2
    assert "1 min do not reach" in short.err


def test_form_and_job(typed: Any) -> None:
    """One run plans, begins the job and writes the form: two boxes for each reading; the job shows its results later."""
    said = typed("survey", MACHINE, "--year", "2026", "-o", "s.job", "--form", "s.html")
    assert "In s.job. Next: ohmtrail next s.job" in said.out
    rows = [row for stage in typed("survey", "s.job", "--json").made["survey"]["stages"] for row in stage["readings"]]
    page = Path("s.html").read_text(encoding="utf-8")
    assert page.count('class="empty-box"') == 2 * len(rows)
    assert "ohmtrail read s.job 4: 3.2" in page
    assert typed("read", "s.job", "1:", "5M").status == 0
    typed("survey", "s.job", "--form", "again.html")
    assert '<div class="empty-box">5\u00a0MΩ</div>' in Path("again.html").read_text(encoding="utf-8")
    assert typed("survey", MACHINE, "-o", "s.job").status == 2
    assert typed("survey", "s.job", "--minutes", "20").status == 2


def test_a_reading_outside_its_band_is_said_to_be_so(typed: Any) -> None:
    """The survey says where it stands beside the suspects, and what to take again."""
    assert typed("survey", MACHINE, "-o", "a.job", "--minutes", "10").status == 0
    read = typed("read", "a.job", "1: 3.2")
    assert "outside its band, take it again" in read.out
    assert "are still to be taken" in read.out
