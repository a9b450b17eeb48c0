"""The command that counts blame for faults in no table: its sums, and one job by way of the search itself."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

from ohmtrail.diagnosis import Case
from ohmtrail.rehearsal.draws import Wanted, drawn_by_rate
from ohmtrail.rehearsal.work import Rehearsed

BENCH = Path(__file__).parents[1] / "bench"


@pytest.fixture
def unlisted(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The command's module."""
    monkeypatch.syspath_prepend(str(BENCH))
    return import_module("unlisted")


def test_what_nobody_knows_is_never_named(unlisted: ModuleType, outboard: Case) -> None:
    """The mend left out cannot be the one named; the search that knows everything takes its readings as ever."""
    jobs = list(drawn_by_rate(outboard, ["stop-by-button"], 1, 2))
    mends = {fault.id: fault.mend.id for fault in outboard.every_fault}
    (done,) = unlisted.work_unlisted(outboard, jobs)
    assert done.ever != mends[done.wanted.faults[0]]
    assert done.first in ("", done.ever)
    assert done.known.readings > 0
    assert done.known.minutes > 0.0


def test_the_share_is_of_all_jobs(unlisted: ModuleType) -> None:
    """One wrong name in two jobs is 50 %, over the limit; one in four is 25 %, under it."""
    knew = Rehearsed(Wanted("f", ("a",), (0.0,), 1), "search", 10.0, 5.0, 4, 1, 0.0, "m", 0.97, True, True, False, True)
    other = replace(knew, readings=2, minutes=20.0, named=False, right=False)
    wrong = unlisted.Unlisted(None, "renew x", "renew x", True, knew, 0.1)
    none = unlisted.Unlisted(None, "", "", False, other, 0.3)
    first = unlisted.lines_of([wrong, none])
    found = {line.about: line.found for line in first}
    assert (first[0].found, first[0].met) == ("50%", False)
    assert found["the same, neither on its lead nor its connector"] == "0%"
    assert (found["everything known: named"], found["right when named"], found["first mend right"]) == ("50%", "100%", "50%")
    assert (found["readings"], found["minutes"]) == ("3.00", "15.0 min")
    assert unlisted.lines_of([wrong, none, none, none])[0].met


def test_nearness_is_one_lead_or_connector(unlisted: ModuleType, outboard: Case) -> None:
    """A joint's own lead is near it; a lead of another circuit is not."""
    assert unlisted.near_to(outboard, "stop-3.to open", "renew stop-3")
    assert not unlisted.near_to(outboard, "stop-3.to open", "exchange plug-top")
    assert not unlisted.near_to(outboard, "stop-3.to open", "")
