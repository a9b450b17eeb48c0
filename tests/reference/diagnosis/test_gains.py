"""What a step tells, in bits, against published and hand-made sums."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from ohmtrail.diagnosis.gain import entropy, gains


def bits(outcomes: Sequence[Sequence[int]], chance: Sequence[float], group: Sequence[int] | None = None) -> list[float]:
    """Gain of each step with crisp outcomes, (n_steps, n_hypotheses)."""
    table = np.eye(max(map(max, outcomes)) + 1)[np.array(outcomes)]
    names = np.arange(len(chance)) if group is None else np.array(group)
    return gains(table, np.array(chance), names).tolist()


@pytest.mark.parametrize(
    ("stages", "told"),
    [(4, (0.8113, 1.0, 0.8113)), (8, (0.5436, 0.8113, 0.9544, 1.0, 0.9544, 0.8113, 0.5436))],
)
def test_a_chain_is_halved(stages: int, told: tuple[float, ...]) -> None:
    """Good in, bad out, one of n like stages at fault: each probe's bits, and the middle is best."""
    bad_at = [[int(fault <= probe) for fault in range(stages)] for probe in range(stages - 1)]
    found = bits(bad_at, [1 / stages] * stages)
    assert found == pytest.approx(told, abs=5e-5)
    assert max(found) == found[stages // 2 - 1]
    assert entropy([1 / stages] * stages) == pytest.approx(math.log2(stages))


def test_a_reading_of_the_chain_is_worth_nothing_twice() -> None:
    """Once the middle is known to be bad, the probes behind it tell nothing more."""
    bad_at = [[int(fault <= probe) for fault in range(8)] for probe in range(7)]
    found = bits(bad_at, [1 / 4] * 4 + [0.0] * 4)
    assert found[3:] == pytest.approx([0.0] * 4, abs=1e-12)
    assert found[1] == pytest.approx(1.0)


#: candidates A1, M1, {A2, M2}, {M2, M3}, and what X, Y and Z are under each: 0 for 6, 1 for 4, 2 for 8
_SHARES = (0.99 / 2, 0.99 / 2, 0.0099 / 2, 0.0099 / 2)
_PROBES = {"X": (0, 1, 0, 0), "Y": (0, 0, 1, 1), "Z": (0, 0, 0, 2)}


def test_the_polybox_is_probed_at_x() -> None:
    """From memory: F = 10, G = 12 leave A1, M1 and two doubles; X gains 1.000 bit, Y 0.081, Z 0.045."""
    weight = np.array([0.01 * 0.99**4, 0.01 * 0.99**4, 0.01**2 * 0.99**3, 0.01**2 * 0.99**3])
    chance = weight / weight.sum()
    assert chance == pytest.approx([0.495, 0.495, 0.005, 0.005], abs=5e-4)
    assert entropy(chance) == pytest.approx(1.0808, abs=5e-5)
    found = dict(zip(_PROBES, bits(list(_PROBES.values()), chance.tolist()), strict=True))
    assert found == pytest.approx({"X": 1.000, "Y": 0.081, "Z": 0.045}, abs=5e-4)
    left = {probe: entropy(chance) - gain for probe, gain in found.items()}
    assert left == pytest.approx({"X": 0.0809, "Y": 1.0000, "Z": 1.0354}, abs=5e-5)


def test_first_steps_of_the_test_sequencing_table() -> None:
    """From memory: t1 0.8415, t4 0.7950, t2 0.6801, t3 0.5842, t5 0.4999 bit, of 1.4549."""
    states = [(0, 0, 0, 0, 0), (0, 1, 0, 0, 1), (0, 0, 1, 1, 0), (1, 0, 0, 1, 1), (1, 1, 0, 0, 0), (1, 1, 1, 1, 0)]
    chance = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12]
    found = bits([[row[test] for row in states] for test in range(5)], chance)
    assert found == pytest.approx([0.8415, 0.6801, 0.5842, 0.7950, 0.4999], abs=5e-5)
    assert entropy(chance) == pytest.approx(1.4549, abs=5e-5)


def test_the_first_weighing_of_twelve_balls() -> None:
    """One of twelve is heavy or light: k against k gives 0.817 to 1.000 bit, four against four the most."""
    states = [(ball, weight) for ball in range(12) for weight in (1, -1)]

    def tips(k: int) -> list[int]:
        return [weight % 3 if ball < k else -weight % 3 if ball < 2 * k else 0 for ball, weight in states]

    found = bits([tips(k) for k in range(1, 7)], [1 / 24] * 24)
    assert found == pytest.approx([0.817, 1.252, 1.500, 1.585, 1.483, 1.000], abs=5e-4)
    assert math.log2(24) == pytest.approx(4.585, abs=5e-4)
    assert math.log2(24) <= 3 * math.log2(3)


def test_suspects_with_one_mend_are_not_told_apart_for_nothing() -> None:
    """A step that splits each mend's suspects alike gains nothing; one that splits the mends gains their entropy."""
    steps = [(0, 1, 0, 1), (0, 0, 1, 1), (0, 1, 0, 0)]
    # the last: an outcome of one suspect alone leaves one against two of the other mend, three times in four
    found = bits(steps, [0.25] * 4, [0, 0, 1, 1])
    assert found == pytest.approx([0.0, 1.0, 1.0 - 0.75 * entropy([1 / 3, 2 / 3])], abs=1e-12)
