"""The draw command: every kind of picture, of a machine and of a job, and what it refuses."""

import re
import shutil
from pathlib import Path
from typing import Any

import pytest

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")
LANTERN = ("draw", MACHINE, "--function", "lantern-light")


@pytest.fixture
def on_the_bench(started: Any) -> Any:
    """A job with a complaint and one reading more, and a proposal."""
    assert started("read", "a.job", "spark-top", "works", "with", "stop-3.from", "lifted").status == 0
    assert started("next", "a.job").status == 0
    return started


def _leads(svg: str) -> list[tuple[str, str]]:
    """Routes of the leads, by id."""
    return re.findall(r'data-id="([^"]+)"[^>]*><title>lead [^<]*</title><path d="([^"]*)"', svg.partition('class="legend"')[0])


def test_a_picture_goes_to_standard_output_or_to_a_file(typed: Any) -> None:
    """The same bytes both ways; a file is named, and a page holds the ladder for a phone as well."""
    ran = typed(*LANTERN)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("<svg")
    assert typed(*LANTERN, "-o", "a.svg").out == "Drawn in a.svg.\n"
    assert Path("a.svg").read_text(encoding="utf-8") == ran.out
    typed(*LANTERN, "-o", "a.html")
    page = Path("a.html").read_text(encoding="utf-8")
    assert page.count("<svg") == 2
    assert 'width="390"' in page
    assert page.count("@font-face") == 2


def test_set_turns_switches_and_moves_nothing(typed: Any) -> None:
    """A contact opens, leads go dead or float, every lead stays where it is."""
    on, off = typed(*LANTERN).out, typed(*LANTERN, "--with", "lantern-switch off").out
    assert _leads(on)
    assert _leads(on) == _leads(off)
    assert "floating" not in on.partition("</style>")[2]
    assert 'class="lead dead"' in off or 'class="lead floating"' in off


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ((), "whole"),
        (("--whole",), "whole"),
        (("--whole", "--with", "lantern-switch on"), "whole"),
        (("--book",), "book"),
        (("--book", "--paper", "letter"), "book"),
        (("--graph",), "graph"),
        (("--function", "charging"), "path"),
        (("--function", "charging", "--phone"), "ladder"),
        (("--before", MACHINE), "union"),
        (("--before", MACHINE, "--function", "charging"), "union"),
    ],
)
def test_every_kind_of_picture(typed: Any, words: tuple[str, ...], kind: str) -> None:
    """Each is drawn, says as JSON what it is, and holds its fonts and nothing of the network."""
    ran = typed("draw", MACHINE, *words, "--json")
    assert ran.status == 0, ran.err
    drawn = ran.made["drawn"]
    assert drawn["kind"] == kind
    assert drawn["text"].count("@font-face") == 2
    assert not re.search(r"""(?:src|href)=["']?https?:""", drawn["text"])


def test_places_stand_as_listed_where_that_is_asked_for(typed: Any) -> None:
    """From left to right in the order of the file."""
    listed = re.findall(r"^  ([\w-]+): +\{reach", Path(MACHINE).read_text(encoding="utf-8"), re.MULTILINE)
    svg = typed("draw", MACHINE, "--whole", "--as-listed").out
    assert re.findall(r'class="place" data-id="([^"]+)"', svg) == listed


def test_a_job_is_drawn_with_what_is_known(on_the_bench: Any) -> None:
    """Numbered readings, suspects with their shares, the next reading's probes and its sentence."""
    ran = on_the_bench("draw", "a.job", "--json")
    marks = ran.made["drawn"]["marks"]
    assert [item["number"] for item in marks["readings"]] == [1, 2]
    assert marks["readings"][1]["value"] == "lifted: works"
    assert any("stop" in element for item in marks["suspects"] for element in item["elements"])
    assert 0 < sum(item["share"] for item in marks["suspects"]) <= 1
    assert marks["next"]["text"]
    svg = ran.made["drawn"]["text"]
    assert "suspect, with its share" in svg
    assert "Next" in svg


def test_nothing_moves_from_reading_to_reading(on_the_bench: Any) -> None:
    """The leads of a job's picture lie where they lie without the job, before and after a mend."""
    bare = _leads(on_the_bench("draw", MACHINE, "--function", "spark-top").out)
    assert _leads(on_the_bench("draw", "a.job").out) == bare
    on_the_bench("mend", "a.job", "renew stop-3")
    mended = on_the_bench("draw", "a.job")
    assert _leads(mended.out) == bare
    assert "renew stop-3" in mended.out


def test_drawing_a_job_writes_nothing_in_it(started: Any) -> None:
    """What would be proposed is shown, and the job file stays as it is."""
    before = Path("a.job").read_bytes()
    assert started("draw", "a.job", "--json").made["drawn"]["marks"]["next"]
    assert Path("a.job").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("draw", MACHINE, "--function", "lantrn"), 2, "lantern-light"),
        (("draw", MACHINE, "--function", "lantern-light", "--with", "lantern-switch offf"), 2, "'off'"),
        (("draw", MACHINE, "--with", "lantern-switch"), 2, "does not say how"),
        (("draw", MACHINE, "--phone"), 2, "--function"),
        (("draw", MACHINE, "--phone", "--whole"), 2, "one at a time"),
        (("draw", MACHINE, "--whole", "--function", "charging"), 2, "leave one"),
        (("draw", MACHINE, "--book", "--paper", "folio"), 2, "a4, letter"),
        (("draw", MACHINE, "--book", "--with", "lantern-switch on"), 2, "--with"),
        (("draw", MACHINE, "--book", "-o", "x.svg"), 2, ".pdf"),
        (("draw", MACHINE, "-o", "x.jpg"), 2, ".svg"),
        (("draw", MACHINE, "-o", "none/x.svg"), 74, "none/x.svg"),
        (("draw", "none.yaml"), 2, "none.yaml"),
        (("draw", "a.job", "--book"), 2, "harness file"),
        (("draw", "a.job", "--before", MACHINE), 2, "two harness files"),
        (("draw", MACHINE, "--before", "none.yaml"), 2, "none.yaml"),
        (("draw", MACHINE, "--before", MACHINE, "--graph"), 2, "leave out"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence(started: Any, words: tuple[str, ...], status: int, said: str) -> None:
    """Nothing on standard output, nothing half-written."""
    before = sorted(Path().iterdir())
    ran = started(*words)
    assert (ran.status, ran.out) == (status, "")
    assert said in ran.err
    assert ran.err.count("\n") == 1
    assert sorted(Path().iterdir()) == before


def test_a_missing_layout_engine_or_browser_is_one_sentence(typed: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """It says what to install and what can be had without, and nothing is written."""
    monkeypatch.setattr("ohmtrail.workbench.printing.BROWSERS", ())
    for name in ("a.png", "a.pdf"):
        ran = typed(*LANTERN, "-o", name)
        assert (ran.status, ran.err.count("\n")) == (2, 1)
        assert "chromium" in ran.err
    monkeypatch.setattr("ohmtrail.drawing.ranks.shutil.which", lambda name: None)
    ran = typed(*LANTERN, "-o", "a.svg")
    assert (ran.status, ran.err.count("\n")) == (2, 1)
    assert "graphviz-pure" in ran.err
    assert not list(Path().iterdir())


@pytest.mark.skipif(not (shutil.which("chromium") or shutil.which("chromium-browser")), reason="no browser on this machine")
def test_png_and_pdf_are_printed_by_a_browser(typed: Any) -> None:
    """Whole files of their kind: the PNG twice the picture's size, the PDF one page."""
    for name, start in (("a.png", b"\x89PNG"), ("a.pdf", b"%PDF-")):
        ran = typed(*LANTERN, "-o", name)
        assert ran.status == 0, ran.err
        assert Path(name).read_bytes().startswith(start)
    width = re.search(r'<svg [^>]*width="(\d+)', typed(*LANTERN).out)
    assert width is not None
    made = int.from_bytes(Path("a.png").read_bytes()[16:20], "big")
    assert abs(made - 2 * int(width.group(1))) <= 4
    assert len(re.findall(rb"/Type\s*/Page\b", Path("a.pdf").read_bytes())) == 1
