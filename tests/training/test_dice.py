"""Chance that falls alike everywhere."""

import numpy as np
import pytest

from ohmtrail.training.dice import Dice

FIRST = [0.947456331467, 0.559422398626, 0.355159885201]
NORMAL = 1.6206750974088
PICKED = [1, 0, 2, 2, 0, 2, 2, 2, 2, 2, 2, 1]


def test_the_numbers_are_these_on_every_machine() -> None:
    """Written down once: another NumPy, system or year must not change what a seed plants."""
    dice = Dice(7, "fault")
    assert [round(float(dice.random()), 12) for _ in range(3)] == FIRST
    assert Dice(7, "fault").standard_normal() == pytest.approx(NORMAL, abs=1e-12)
    assert [Dice(seed, "pick").pick([1, 2, 3]) for seed in range(12)] == PICKED


def test_words_part_the_streams() -> None:
    """Another word, or the same words cut otherwise, gives other numbers."""
    drawn = {float(Dice(*words).random()) for words in ((1, "a"), (1, "b"), (2, "a"), ("1a",), (1, "", "a"))}
    assert len(drawn) == 5


def test_it_is_even_and_normal() -> None:
    """Means and spreads of many draws, four standard errors of room."""
    n = 40_000
    even, normal = np.asarray(Dice("even").uniform(2.0, 4.0, n)), np.asarray(Dice("normal").standard_normal(n))
    assert abs(even.mean() - 3.0) < 4.0 * (2.0 / 12**0.5) / n**0.5
    assert even.min() >= 2.0 and even.max() < 4.0
    assert abs(normal.mean()) < 4.0 / n**0.5
    assert abs(normal.std() - 1.0) < 4.0 / (2.0 * n) ** 0.5
    dice = Dice("weights")
    share = sum(dice.pick([1.0, 0.0, 3.0]) == 2 for _ in range(4000)) / 4000
    assert abs(share - 0.75) < 4.0 * (0.75 * 0.25 / 4000) ** 0.5
