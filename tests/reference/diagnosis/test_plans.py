"""The cheapest order of steps and mends against published optima."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence

import numpy as np
import pytest

from ohmtrail.diagnosis.gain import entropy
from ohmtrail.diagnosis.plan import Plan, expected_cost, greedy_cost

_STATES = [(0, 0, 0, 0, 0), (0, 1, 0, 0, 1), (0, 0, 1, 1, 0), (1, 0, 0, 1, 1), (1, 1, 0, 0, 0), (1, 1, 1, 1, 0)]
_PRIOR = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12]


def sequence(weight: Sequence[float], outcome: Sequence[Sequence[int]]) -> Plan:
    """A table in which every hypothesis must be told from every other, at one unit a step."""
    count = len(weight)
    return Plan(weight, list(range(count)), outcome, [1.0] * len(outcome), [0.0] * count, trials=False)


def huffman(weight: Sequence[float]) -> float:
    """Mean length of the best prefix code."""
    heap, total = list(weight), 0.0
    heapq.heapify(heap)
    while len(heap) > 1:
        both = heapq.heappop(heap) + heapq.heappop(heap)
        total += both
        heapq.heappush(heap, both)
    return total


def test_the_test_sequencing_table_reaches_its_optimum() -> None:
    """From memory: the optimum is 2.18, one-step greedy pays 2.86; no plan goes below code or entropy."""
    plan = sequence(_PRIOR, [[row[test] for row in _STATES] for test in range(5)])
    choice = plan.best()
    assert (choice.step, choice.exact) == (1, True)
    assert expected_cost(plan) == pytest.approx(2.18, abs=1e-9)
    assert greedy_cost(plan) == pytest.approx(2.86, abs=1e-9)
    assert entropy(_PRIOR) <= huffman(_PRIOR) <= expected_cost(plan)
    assert huffman(_PRIOR) == pytest.approx(1.59)


@pytest.mark.parametrize("stages", [2, 4, 8, 16])
def test_a_chain_of_equal_stages_takes_its_logarithm(stages: int) -> None:
    """N like stages are told apart by log2 n probes, and the first is in the middle."""
    bad_at = [[int(fault <= probe) for fault in range(stages)] for probe in range(stages - 1)]
    plan = sequence([1 / stages] * stages, bad_at)
    assert expected_cost(plan) == pytest.approx(math.log2(stages))
    assert plan.best().step == stages // 2 - 1


def test_free_choice_of_questions_is_a_huffman_code() -> None:
    """From memory: 0.25 0.25 0.2 0.15 0.15 take 2.30 questions on average, of 2.2855 bit."""
    weight = [0.25, 0.25, 0.2, 0.15, 0.15]
    questions = [[mask >> item & 1 for item in range(5)] for mask in range(1, 16)]
    assert expected_cost(sequence(weight, questions)) == pytest.approx(2.30)
    assert huffman(weight) == pytest.approx(2.30)
    assert entropy(weight) == pytest.approx(2.2855, abs=5e-5)


#: three weighings of twelve balls, left and right, that tell all 24 cases apart
_WEIGHINGS = (
    ((5, 6, 7, 11), (8, 9, 10, 12)),
    ((2, 3, 4, 11), (5, 6, 10, 12)),
    ((1, 4, 6, 10), (2, 7, 9, 12)),
)


def test_twelve_balls_take_three_weighings() -> None:
    """Each of the 24 cases is known after three weighings; two could tell nine at most."""
    states = [(ball, weight) for ball in range(1, 13) for weight in (1, -1)]
    weighings = [
        [(weight if ball in left else -weight if ball in right else 0) % 3 for ball, weight in states]
        for left, right in _WEIGHINGS
    ]
    plan = sequence([1 / 24] * 24, weighings)
    assert expected_cost(plan) == pytest.approx(3.0)
    assert len(set(zip(*weighings, strict=True))) == 24


def test_nine_coins_take_two_weighings() -> None:
    """One heavy coin of nine: log3 9 = 2 weighings, whichever it is."""
    pairs = list(itertools.combinations(range(9), 3))
    weighings = [
        [1 if coin in left else 2 if coin in right else 0 for coin in range(9)]
        for left, right in itertools.combinations(pairs[:1] + pairs[-1:] + [(0, 3, 6), (1, 4, 7), (2, 5, 8), (3, 4, 5)], 2)
        if not set(left) & set(right)
    ]
    plan = sequence([1 / 9] * 9, weighings)
    assert expected_cost(plan) == pytest.approx(2.0)
    assert plan.best().exact


# ---- mends that are tried: p over C ----


def trials(chance: Sequence[float], cost: Sequence[float], vain: Sequence[float] = ()) -> Plan:
    """Causes that exclude each other, each checked and put right at a cost of its own; no other step."""
    return Plan(chance, list(range(len(chance))), [], [], cost, vain)


def in_order(chance: Sequence[float], cost: Sequence[float], order: Sequence[int]) -> float:
    """Expected cost of checking causes in an order until the right one is found."""
    left, total = 1.0, 0.0
    for item in order:
        total += left * cost[item]
        left -= chance[item]
    return total


@pytest.mark.parametrize("seed", range(12))
def test_causes_are_checked_in_order_of_chance_over_cost(seed: int) -> None:
    """One fault, independent checks: the order of falling p / C is the best of all orders, and is taken."""
    generator = np.random.default_rng(seed)
    chance = generator.dirichlet(np.ones(6)).tolist()
    cost = generator.uniform(1.0, 30.0, 6).tolist()
    rule = sorted(range(6), key=lambda item: -chance[item] / cost[item])
    plan = trials(chance, cost)
    best = min(in_order(chance, cost, order) for order in itertools.permutations(range(6)))
    assert expected_cost(plan) == pytest.approx(best)
    assert in_order(chance, cost, rule) == pytest.approx(best)
    assert plan.best().answer == rule[0]
    assert greedy_cost(plan) == pytest.approx(best)


@pytest.mark.parametrize(("p", "checks", "repairs"), [(0.3, (4.0, 9.0), (50.0, 10.0)), (0.6, (4.0, 9.0), (5.0, 80.0))])
def test_two_causes_of_a_broken_machine(p: float, checks: tuple[float, float], repairs: tuple[float, float]) -> None:
    """C1 + (1 - p) C2 + p R1 + (1 - p) R2 where 1 goes first, which it does if C1 / p < C2 / (1 - p); R do not matter."""
    (c1, c2), (r1, r2) = checks, repairs
    # a check in vain needs no repair
    plan = trials([p, 1 - p], [c1 + r1, c2 + r2], [-r1, -r2])
    one_first = c1 + (1 - p) * c2 + p * r1 + (1 - p) * r2
    two_first = c2 + p * c1 + p * r1 + (1 - p) * r2
    assert expected_cost(plan) == pytest.approx(min(one_first, two_first))
    assert plan.best().answer == (0 if c1 / p < c2 / (1 - p) else 1)
