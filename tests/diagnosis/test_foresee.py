"""Working ahead changes nothing but the time it takes."""

from __future__ import annotations

import time

import numpy as np

from ohmtrail.circuit import Setting, function_setting
from ohmtrail.diagnosis import Bench, Case, Seen
from ohmtrail.diagnosis.foreseen import Known
from ohmtrail.harness import Harness


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
