"""Working ahead changes nothing but the time it takes."""

from __future__ import annotations

import time

import numpy as np

from ohmtrail.circuit import Setting, function_setting
from ohmtrail.diagnosis import Bench, Case, Seen
from ohmtrail.diagnosis.foreseen import Known
from ohmtrail.harness import Harness
from ohmtrail.workbench.outcomes import likely_results


def _complaint(harness: Harness, function: str) -> Seen:
    return Seen(function, function_setting(harness, harness.functions[function]), 0)


def test_working_ahead_proposes_the_same_step(motorcycle: Case) -> None:
    """A case that worked ahead and one that did not propose the same, at the same price."""
    fresh = Case(motorcycle.harness, year=motorcycle.year)
    seen = _complaint(fresh.harness, "horn-sounds")
    fresh.foresee(fresh.assess([seen]), Bench(Setting()))
    ahead = fresh.next_step(fresh.assess([seen]), Bench(Setting()))
    plain = motorcycle.next_step(motorcycle.assess([seen]), Bench(Setting()))
    assert ahead.step == plain.step
    assert ahead.minutes == plain.minutes
    assert [item.step for item in ahead.others] == [item.step for item in plain.others]


def test_working_ahead_on_results_leaves_little_to_work_out(motorcycle: Case) -> None:
    """After results were thought of, a reading between them finds its numbers ready, and leads to the same step."""
    fresh = Case(motorcycle.harness, year=motorcycle.year)
    seen = _complaint(fresh.harness, "horn-sounds")
    first = fresh.assess([seen])
    step = fresh.next_step(first, Bench(Setting())).step
    assert step is not None and first.posterior is not None
    there = Bench(Setting()).after(fresh.harness, step)
    likely = likely_results(first.posterior, step)
    fresh.foresee(first, Bench(Setting()), [(fresh.assess([seen, result]), there) for result in likely])
    for result in likely:
        start = time.process_time()
        ahead = fresh.next_step(fresh.assess([seen, result]), there)
        took = time.process_time() - start
        bare = Case(motorcycle.harness, year=motorcycle.year)
        bare.assess([seen])
        start = time.process_time()
        plain = bare.next_step(bare.assess([seen, result]), there)
        assert ahead.step == plain.step
        assert took < 0.5 * (time.process_time() - start)


def test_a_second_look_is_ready(motorcycle: Case) -> None:
    """What was worked out is not worked out again: the second choice takes less than half of the first."""
    fresh = Case(motorcycle.harness, year=motorcycle.year)
    assessment = fresh.assess([_complaint(fresh.harness, "horn-sounds")])
    spent = []
    for _ in range(2):
        start = time.process_time()
        fresh.next_step(assessment, Bench(Setting()))
        spent.append(time.process_time() - start)
    assert spent[1] < 0.5 * spent[0]


def test_rows_are_filled_one_by_one() -> None:
    """What is known of some rows stays when others are put in, and goes with the rows into a smaller table."""
    known = Known.nothing(3, 5)
    known.fill(np.array([0, 2]), np.array([[1.0, 2.0], [3.0, 4.0], [0.1, 0.2]]))
    assert known.has(np.array([0, 2])) and not known.has(np.array([1])) and not known.has(None)
    assert known.prediction.mean[2] == 3.0
    known.fill(np.array([1, 3, 4]), np.zeros((3, 3)))
    assert known.has(None) and known.prediction.mean[2] == 3.0
    assert known.of(np.array([2, 4])).prediction.noise.tolist() == [0.2, 0.0]
