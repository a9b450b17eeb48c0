"""The paper of a record: what was done, the comparison, pictures, what to buy and to cut."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.changes.shopping import cut_length_m, leads_to_cut, parts_to_buy, reels
from ohmtrail.reports.change_report import change_report_html, cut_list_csv, pictured
from ohmtrail.reports.changed import Reported

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def made() -> Reported:
    """The report of the worked example."""
    return workbench.change_report(ROOT / "examples" / "restored-trail.record")


@pytest.fixture(scope="module")
def page(made: Reported) -> str:
    """Its page."""
    return change_report_html(made, paper="letter")


def test_every_lead_to_make_is_listed_with_size_length_and_ends(made: Reported) -> None:
    """New, renewed and lengthened leads, none else; a removed one is not cut."""
    cuts = {item.id: item for item in leads_to_cut(made.compared)}
    added = {item.id for item in made.compared.differences if item.section == "leads" and item.kind == "added"}
    assert {name for name, item in cuts.items() if item.reason == "new"} == added
    assert {name for name, item in cuts.items() if item.reason == "longer"} == {"main-2", "tail-2"}
    assert {"stop-1", "stop-7", "light-3", "headlamp-earth"} <= {name for name, item in cuts.items() if item.reason == "renewed"}
    assert "dip-2" not in cuts
    assert cuts["headlamp-earth"].ends[1] == ("earth-splice", "splice")
    assert cuts["light-3"].lead.size_mm2 == 2.5
    # 1.05 x 0.9 m + 0.06 m = 1.005 m, rounded up
    assert cuts["light-3"].cut_m == cut_length_m(0.9) == 1.01
    assert sum(item.metres for item in reels(cuts.values())) == pytest.approx(sum(item.cut_m for item in cuts.values()))
    assert {item.id for item in parts_to_buy(made.compared)} == {"light-relay", "dip-relay", "lighting-fuse"}


def test_the_cut_list_opens_in_a_spreadsheet(made: Reported) -> None:
    """One heading line, one line a lead, all of one width, with the mark by which UTF-8 is known."""
    text = cut_list_csv(made.compared)
    assert text.startswith("\ufeff")
    rows = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"))))
    assert {len(row) for row in rows} == {11}
    assert len(rows) == 1 + len(leads_to_cut(made.compared))


def test_the_pictures_show_every_lead_that_a_function_reaches(made: Reported, page: str) -> None:
    """The functions chosen show the stop lead and the headlamp; each adds something."""
    names = pictured(made.compared)
    assert len(names) == len(set(names)) <= 5
    pictures = "".join(re.findall(r"<svg.*?</svg>", page, re.DOTALL))
    assert not [name for name in ("stop-2", "light-relay", "lighting-fuse-feed", "dip-2", "main-feed") if name not in pictures]
    assert page.count("<svg") == 3 * len(names)


def test_the_page_is_one_file_that_says_what_was_done_and_what_follows(page: str) -> None:
    """Nothing is fetched; who, when, why, where the original is; volts before and after; who decides."""
    assert not re.search(r"(src|href)=\"https?:", page)
    for said in ("2024-11-16", "A. Keel", "tin 4, taped into a coil", "13.32 V", "13.46 V", "a qualified person decide", "VT/WH (violet-white)"):
        assert said in page.replace("\u00a0", " ")
    assert page.index("What was done") < page.index("What it does to the circuits") < page.index("Parts to buy") < page.index("Leads to cut")
