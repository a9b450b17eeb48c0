"""The sheet command: as text, HTML, CSV, PDF and JSON."""

import csv
import re
from pathlib import Path
from typing import Any

import pytest

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")


def _csv(path: str) -> list[dict[str, str]]:
    with Path(path).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_paper_csv_and_json_say_the_same(typed: Any) -> None:
    """The same readings under the same numbers; a box for each on paper, an empty cell in the file."""
    rows = [item for place in typed("sheet", MACHINE, "--json").made["sheet"]["places"] for item in place["readings"]]
    assert typed("sheet", MACHINE, "-o", "a.csv").out == f"{len(rows)} readings in a.csv.\n"
    typed("sheet", MACHINE, "-o", "a.html")
    table, page = _csv("a.csv"), Path("a.html").read_text(encoding="utf-8")
    assert [int(item["number"]) for item in table] == [item["number"] for item in rows]
    assert page.count('class="empty-box"') == len(rows)
    assert {item["reading"] for item in table} == {""}
    assert all(item["careful"] for item in table if "engine" in item["setting"])
    fuse = next(item for item in table if item["red"] == "battery-fuse.1" and item["measure"] == "ohms")
    assert (fuse["black"], fuse["unit"], fuse["setting"]) == ("battery-fuse.2", "ohm", "battery off")
    assert float(fuse["low"]) <= float(fuse["expected"]) <= float(fuse["high"])


def test_a_function_limits_it(typed: Any) -> None:
    """Only what the lantern works through, and only the lantern is watched."""
    typed("sheet", MACHINE, "--function", "lantern", "-o", "a.csv")
    table = _csv("a.csv")
    assert [item["part"] for item in table if item["measure"] == "watch"] == ["lantern-light"]
    assert not any("ignition" in item["part"] for item in table)
    assert any(item["part"] == "lantern" for item in table)


def test_it_prints_on_a4_and_letter_and_fetches_nothing(typed: Any) -> None:
    """Page set-up by name; every caution that has a letter is written out."""
    for paper, named in (("a4", "size:A4"), ("letter", "size:letter")):
        assert typed("sheet", MACHINE, "-o", "a.html", "--paper", paper).status == 0
        page = Path("a.html").read_text(encoding="utf-8")
        assert named in page
        assert not re.search(r"""(?:src|href)=""", page)
    used = set(re.findall(r"\(([A-Z])\)", " ".join(re.findall(r'careful-line">(.*?)</p>', page))))
    assert used == set(re.findall(r"<li>([A-Z]):", page))


def test_a_job_gives_its_machine(started: Any) -> None:
    """The sheet of the machine on the bench."""
    assert started("sheet", "a.job", "--function", "lantern").out == started("sheet", MACHINE, "--function", "lantern").out


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("sheet", "none.yaml"), 2, "none.yaml"),
        (("sheet", MACHINE, "--function", "lantrn"), 2, "lantern-light"),
        (("sheet", MACHINE, "-o", "a.svg"), 2, ".csv"),
        (("sheet", MACHINE, "-o", "a.html", "--paper", "folio"), 2, "a4"),
        (("sheet", MACHINE, "-o", "none/a.csv"), 74, "none/a.csv"),
    ],
)
def test_what_cannot_be_made_is_one_sentence(typed: Any, words: tuple[str, ...], status: int, said: str) -> None:
    """Nothing on standard output, nothing left behind."""
    ran = typed(*words)
    assert (ran.status, ran.out) == (status, "")
    assert said in ran.err
    assert ran.err.count("\n") == 1
    assert not list(Path().iterdir())


def test_a_name_that_looks_like_a_formula_stays_a_text(typed: Any) -> None:
    """What a part is called comes from the file: a spreadsheet must not run it."""
    text = Path(MACHINE).read_text(encoding="utf-8")
    Path("m.yaml").write_text(text.replace('how: "one catch', 'how: "=1+1 one catch'), encoding="utf-8")
    typed("sheet", "m.yaml", "-o", "a.csv")
    assert not any(cell.startswith("=") for row in _csv("a.csv") for cell in row.values())
    assert any(cell.startswith("'=1+1") for row in _csv("a.csv") for cell in row.values())
