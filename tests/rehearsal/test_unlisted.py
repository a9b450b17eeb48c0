"""The command that counts blame for faults in no table: its sums, and one job by way of the search itself."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

from ohmtrail.diagnosis import Case
from ohmtrail.rehearsal.draws import drawn_by_rate

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
    assert done.named != mends[done.wanted.faults[0]]
    assert done.readings > 0
    assert done.minutes > 0.0


def test_the_share_is_of_all_jobs(unlisted: ModuleType) -> None:
    """One wrong name in two jobs is 50 %, over the limit; one in four is 25 %, under it."""
    wrong = unlisted.Unlisted(None, "renew x", 4, 10.0, 0.1)
    none = unlisted.Unlisted(None, "", 2, 20.0, 0.3)
    first = unlisted.lines_of([wrong, none])
    assert (first[0].found, first[0].met) == ("50%", False)
    assert (first[1].found, first[2].found) == ("3.00", "15.0 min")
    assert unlisted.lines_of([wrong, none, none, none])[0].met
