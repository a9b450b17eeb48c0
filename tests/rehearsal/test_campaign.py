"""Campaigns: each way works the same jobs, and the figures are sums a person can check."""

from __future__ import annotations

import math

import pytest

from ohmtrail.diagnosis import Case
from ohmtrail.rehearsal import WAYS, Rehearsal, Rehearsed, Wanted, rehearse, tasks_of
from ohmtrail.rehearsal.summary import calibrate, compare, summarise


def _job(minutes: float, *, share: float = 0.97, right: bool = True, named: bool = True) -> Rehearsed:
    wanted = Wanted("spark", ("x open",), (0.0,), 1)
    return Rehearsed(wanted, "search", minutes, 4.0, 3, 1, 0.0, "renew x", share, right, named, False, True)


def test_figures_are_the_plain_means() -> None:
    """Minutes 10, 20, 30: mean 20, excess (6 + 16 + 26) / 3 = 16; two of three right, one named of which none was."""
    done = [_job(10.0, named=False), _job(20.0, named=False), _job(30.0, right=False)]
    found = summarise(done)
    assert (found.minutes.value, found.excess.value, found.median_min, found.worst_min) == (20.0, 16.0, 20.0, 30.0)
    assert found.minutes.low <= 20.0 <= found.minutes.high
    assert (found.named, found.right_if_named) == (pytest.approx(1 / 3), 0.0)
    assert found.first_right == pytest.approx(2 / 3)


def test_the_same_jobs_compare_as_one() -> None:
    """A way compared with itself is 1 without any spread; half the minutes is 0.5."""
    done = [_job(10.0), _job(20.0), _job(44.0)]
    same = compare(done, done).total
    assert (same.value, same.low, same.high) == (1.0, pytest.approx(1.0), pytest.approx(1.0))
    half = [_job(5.0), _job(10.0), _job(22.0)]
    assert compare(half, done).total.value == pytest.approx(0.5)


def test_calibration_counts_what_was_said() -> None:
    """Nine in ten right among answers at 90 %: said 0.90, true 0.90; the one at 0.99 stands in the upper band."""
    done = [_job(9.0, share=0.9, right=index > 0) for index in range(10)] + [_job(9.0, share=0.99)]
    found = calibrate(done)
    assert [(b.count, b.stated, b.true) for b in found.bands] == [(10, pytest.approx(0.9), 0.9), (1, 0.99, 1.0)]
    assert found.likely is not None
    assert found.likely.count == 11
    assert found.certain is not None
    assert found.certain.count == 1


@pytest.fixture(scope="module")
def found(outboard: Case) -> Rehearsal:
    """A little rehearsal of one complaint."""
    functions = ("stop-by-button",)
    tasks = tasks_of(outboard, functions, count=3, pairs=1, every=False, seed=2)
    return Rehearsal(outboard.harness, functions, 2, (), tuple(rehearse(outboard.harness, tasks, year=2026)))


def test_each_way_works_the_same_jobs(found: Rehearsal) -> None:
    """Same faults, same severities, same way straight to the right mend; all end solved."""
    for worked in found.of("rates"):
        assert tuple(item.way for item in worked.done) == WAYS
        assert len({(item.wanted, item.direct) for item in worked.done}) == 1
        assert all(item.solved and item.minutes > item.direct for item in worked.done)


def test_a_group_has_every_way_and_the_search_against_each(found: Rehearsal) -> None:
    """Figures of three ways, ratios against two, and a calibration of the search."""
    group = found.group("rates")
    assert group is not None
    assert set(group.figures) == set(WAYS)
    assert set(group.against) == {"chart", "rate"}
    ours, chart = group.figures["search"], group.figures["chart"]
    assert group.against["chart"].total.value == pytest.approx(ours.minutes.value / chart.minutes.value)
    assert math.isnan(chart.right_if_named)
    assert sum(band.count for band in group.calibration.bands) == 3
    assert found.group("every") is None


def test_two_faults_are_set_against_the_two_alone(found: Rehearsal) -> None:
    """The minutes of a pair stand over the sum of its faults as jobs of their own."""
    pairs = found.pairs
    assert pairs is not None
    assert (pairs.jobs, pairs.solved) == (1, 1.0)
    alone = [worked.done[0].minutes for worked in found.of("singles")]
    assert len(alone) == 2
    assert pairs.ratio == pytest.approx(pairs.minutes / sum(alone))


def test_several_at_a_time_give_the_same(outboard: Case) -> None:
    """What is worked in other processes is what is worked in this one."""
    tasks = tasks_of(outboard, ["stop-by-lanyard"], count=2, pairs=0, every=False, seed=3, ways=("chart",))
    alone, many = (tuple(rehearse(outboard.harness, tasks, year=2026, jobs=jobs)) for jobs in (1, 2))
    assert [repr(item) for item in alone] == [repr(item) for item in many]
