"""The report command: one file for the customer and the file, whatever state the job is in."""

import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from ohmtrail.diagnosis import caution

MACHINE = Path(__file__).parents[2] / "circuits" / "outboard.yaml"


#: job files made so far: each is typed once
_KEPT: dict[str, bytes] = {}
_BENCH = (
    ("start", "a.job", "--harness", "circuits/outboard.yaml", "--complaint", "spark-top absent"),
    ("read", "a.job", "ac ignition-module.CH ignition-module.E 4.3 with engine cranking"),
    ("read", "a.job", "spark-top works with stop-3.from lifted"),
)
_MENDED = (
    ("mend", "a.job", "renew stop-3"),
    ("read", "a.job", "ac ignition-module.CH ignition-module.E 86 with stop-3.from back and battery on and engine cranking"),
    ("read", "a.job", "spark-top works with engine cranking"),
)


def _job(typed: Any, folder: Path, *lines: tuple[str, ...]) -> Any:
    """A job of these commands; every test's folder holds its harness."""
    key = repr(lines)
    Path("circuits").mkdir()
    shutil.copy(MACHINE, "circuits")
    if key not in _KEPT:
        for line in lines:
            assert typed(*line).status == 0
        _KEPT[key] = (folder / "a.job").read_bytes()
    (folder / "a.job").write_bytes(_KEPT[key])
    return typed


@pytest.fixture
def on_the_bench(typed: Any, tmp_path: Path) -> Any:
    """A job with two readings."""
    return _job(typed, tmp_path, *_BENCH)


@pytest.fixture
def mended(typed: Any, tmp_path: Path) -> Any:
    """The same, mended, read again and proven."""
    return _job(typed, tmp_path, *_BENCH, *_MENDED)


def _plain(html: str) -> str:
    body = html.partition("<body>")[2].partition("<figure")[0]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", body))


def test_a_proven_job_is_told_from_complaint_to_proof(mended: Any) -> None:
    """Machine, complaint, readings in order with what a sound machine shows, mend, before and after, minutes."""
    assert mended("report", "a.job", "-o", "a.html").out == "Report in a.html.\n"
    told = _plain(Path("a.html").read_text(encoding="utf-8"))
    wanted = (
        "Skerry 9 outboard", "spark-top absent", "Proven", "Complaint", "4.3 V", "renew stop-3", "Before and after", "4.3 V (2)", "86 V (5)",
    )  # fmt: skip
    assert [words for words in wanted if words not in told] == []
    assert told.index("4.3 V") < told.index("Mend: renew stop-3") < told.index("proves the mend")
    assert re.search(r"In all .*?\d+ min", told)


def test_it_needs_no_other_file_and_says_who_decides(mended: Any) -> None:
    """No address, fonts inside, the picture with reading, fault and mend, cautions, the one line at the end."""
    html = mended("report", "a.job").out
    assert not re.search(r"""(?:src|href)=["'](?!#)|url\((?!data:|#)""", html)
    assert html.count("@font-face") == 2
    assert "renew stop-3" in html.partition("<figure")[2]
    assert 'title>reading 2: 4.3 V' in html
    assert html.index(caution("turning-parts").text.partition(":")[0]) < html.index("<figure")
    assert "a qualified person decide" in html.partition("<footer")[2]


def test_text_says_the_same(mended: Any) -> None:
    """--format text, or a file that ends in .txt; the lines fit."""
    text = mended("report", "a.job", "--format", "text").out
    assert mended("report", "a.job", "-o", "a.txt").status == 0
    kept = Path("a.txt").read_text(encoding="utf-8")
    for words in ("Skerry 9 outboard", "spark-top absent", "renew stop-3", "proves the mend", "Before and after", "before 4.3 V (2), after 86 V (5)"):
        assert words in re.sub(r"\s+", " ", text)
        assert words in re.sub(r"\s+", " ", kept)
    assert max(map(len, kept.splitlines())) <= 88
    assert "a qualified person decide" in text


def test_json_has_what_followed_from_each_reading(mended: Any) -> None:
    """Shares of the likeliest suspect, and the reading before and after the mend."""
    made = mended("report", "a.job", "--json").made
    taken = made["report"]["taken"]
    assert [item["number"] for item in taken] == [1, 2, 3, 4, 5, 6]
    assert taken[2]["share"] > taken[0]["share"]
    compared = made["report"]["before_and_after"]
    assert {(item["before"]["number"], item["after"]["number"]) for item in compared} == {(2, 5), (1, 6)}
    assert made["proven"] is True


def test_a_job_that_is_not_done_says_so(on_the_bench: Any) -> None:
    """Without a mend: the likeliest suspect; mended and not tried: what is still to be watched; struck readings stay."""
    typed = on_the_bench
    assert "Not finished. Likeliest: " in typed("report", "a.job", "--format", "text").out
    typed("strike", "a.job", "2", "--why", "slipped")
    assert "struck: it does not count" in typed("report", "a.job", "--format", "text").out
    typed("mend", "a.job", "renew stop-3")
    assert "Not proven yet: renew stop-3 done; still to be watched" in typed("report", "a.job", "--format", "text").out
    typed("read", "a.job", "spark-top", "absent", "with", "stop-3.from", "back")
    assert "did not cure it" in re.sub(r"\s+", " ", typed("report", "a.job", "--format", "text").out)


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("report", "none.job"), 2, "none.job"),
        (("report", "a.job", "-o", "a.svg"), 2, ".pdf"),
        (("report", "a.job", "--format", "docx"), 2, "html or text"),
        (("report", "a.job", "--paper", "folio"), 2, "a4"),
        (("report", "a.job", "-o", "none/a.html"), 74, "none/a.html"),
    ],
)
def test_what_cannot_be_reported_is_one_sentence(on_the_bench: Any, words: tuple[str, ...], status: int, said: str) -> None:
    """Nothing on standard output, nothing left behind."""
    before = sorted(Path().iterdir())
    ran = on_the_bench(*words)
    assert (ran.status, ran.out) == (status, "")
    assert said in ran.err
    assert ran.err.count("\n") == 1
    assert sorted(Path().iterdir()) == before


def test_a_job_without_a_reading_is_no_report(started: Any) -> None:
    """One sentence with what to do first."""
    ran = started("report", "a.job")
    assert (ran.status, ran.out) == (2, "")
    assert "ohmtrail next a.job" in ran.err
