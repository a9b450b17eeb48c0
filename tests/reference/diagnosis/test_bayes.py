"""Bayes' rule as suspects are weighed by it, against published networks."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import pytest

from ohmtrail.diagnosis.posterior import posterior_of


def weighed(prior: Sequence[float], *likelihoods: Sequence[float]) -> np.ndarray:
    """Chances from plain numbers, one likelihood after the other multiplied in."""
    with np.errstate(divide="ignore"):
        return posterior_of(np.log(prior), sum(np.log(item) for item in likelihoods))


# ---- a car that does not start ----

#: fuel or none, plugs clean or dirty
_CAR = list(itertools.product((True, False), (True, False)))
_CAR_PRIOR = [(0.98 if fuel else 0.02) * (0.96 if clean else 0.04) for fuel, clean in _CAR]
_NO_START = [1.0 - (0.0 if not fuel else 0.99 if clean else 0.01) for fuel, clean in _CAR]
_GAUGE = {"half": (0.60, 0.001), "empty": (0.01, 0.998)}


@pytest.mark.parametrize(
    ("gauge", "no_fuel", "dirty", "digit"),
    [("", 0.293, 0.581, 5e-4), ("half", 0.0007, 0.804, 5e-4), ("empty", 0.976, 0.058, 5e-4)],
)
def test_a_car_that_does_not_start(gauge: str, no_fuel: float, dirty: float, digit: float) -> None:
    """From memory: no fuel 0.29 and dirty plugs 0.58; a gauge at half or at empty shifts it to the one or the other."""
    found = [_NO_START]
    if gauge:
        found.append([_GAUGE[gauge][0 if fuel else 1] for fuel, _ in _CAR])
    chance = weighed(_CAR_PRIOR, *found)
    assert sum(chance[i] for i, (fuel, _) in enumerate(_CAR) if not fuel) == pytest.approx(no_fuel, abs=digit)
    assert sum(chance[i] for i, (_, clean) in enumerate(_CAR) if not clean) == pytest.approx(dirty, abs=digit)


def test_entries_of_the_cars_joint_table() -> None:
    """0.01514 and 0.0233 as printed: fuel, dirty plugs and no start, with the gauge at full and at half."""
    entries = {
        (fuel, clean, start): prior * (no if not start else 1.0 - no)
        for (fuel, clean), prior, no in zip(_CAR, _CAR_PRIOR, _NO_START, strict=True)
        for start in (True, False)
    }
    half, full = 0.60, 0.39
    assert entries[True, False, False] * full == pytest.approx(0.01514, abs=5e-6)
    assert entries[True, False, False] * half == pytest.approx(0.0233, abs=5e-5)
    assert sum(value for (_, _, start), value in entries.items() if not start) == pytest.approx(0.0682, abs=5e-5)


# ---- the alarm ----


def test_the_burglar_alarm() -> None:
    """From memory: both neighbours call, and a burglary has a chance of 0.284."""
    states = list(itertools.product((True, False), repeat=3))
    rings = {(True, True): 0.95, (True, False): 0.94, (False, True): 0.29, (False, False): 0.001}
    prior = [
        (0.001 if burglary else 0.999)
        * (0.002 if quake else 0.998)
        * (rings[burglary, quake] if alarm else 1.0 - rings[burglary, quake])
        for burglary, quake, alarm in states
    ]
    john = [0.90 if alarm else 0.05 for _, _, alarm in states]
    mary = [0.70 if alarm else 0.01 for _, _, alarm in states]
    chance = weighed(prior, john, mary)
    assert sum(chance[i] for i, (burglary, _, _) in enumerate(states) if burglary) == pytest.approx(0.284, abs=5e-4)


# ---- a light print ----

_CAUSES = [0.4, 0.3, 0.2, 0.1]


def test_a_light_print() -> None:
    """A question, then an action that fails: 0.5714 and 0.4286; 0.1081, 0.0811, 0.5405 and 0.2703."""
    assert weighed(_CAUSES, [1, 1, 0, 0])[:2] == pytest.approx([0.5714, 0.4286], abs=5e-5)
    fails = [0.1, 0.1, 1.0, 1.0]
    assert weighed(_CAUSES, fails) == pytest.approx([0.1081, 0.0811, 0.5405, 0.2703], abs=5e-5)


# ---- the polybox ----

_PARTS = ("M1", "M2", "M3", "A1", "A2")
Values = dict[str, float]
#: part -> inputs, output; M are multipliers, A adders
_BOX = {"M1": ("A", "C", "X"), "M2": ("B", "D", "Y"), "M3": ("C", "E", "Z"), "A1": ("X", "Y", "F"), "A2": ("Y", "Z", "G")}
_INPUTS: Values = {"A": 3, "B": 2, "C": 2, "D": 3, "E": 3}


def followed(faulty: frozenset[str], known: Values) -> Values | None:
    """Every value that follows from the parts that work; None where two that follow differ."""
    known = dict(known)
    for _ in range(len(_PARTS)):
        for part in set(_PARTS) - faulty:
            one, two, out = _BOX[part]
            multiplies = part[0] == "M"
            told: Values = {}
            if one in known and two in known:
                told[out] = known[one] * known[two] if multiplies else known[one] + known[two]
            if out in known and one in known:
                told[two] = known[out] / known[one] if multiplies else known[out] - known[one]
            if out in known and two in known:
                told[one] = known[out] / known[two] if multiplies else known[out] - known[two]
            for name, value in told.items():
                if known.setdefault(name, value) != value:
                    return None
    return known


def likelihood(faulty: frozenset[str], seen: Sequence[tuple[str, float]], count: int = 16) -> float:
    """1 for each value that was predicted, 1 / count where nothing was, 0 for a contradiction."""
    known, total = dict(_INPUTS), 1.0
    for name, value in seen:
        before = followed(faulty, known)
        assert before is not None
        total *= 1.0 if before.get(name) == value else 0.0 if name in before else 1.0 / count
        known[name] = value
        if followed(faulty, known) is None:
            return 0.0
    return total


def candidates(*seen: tuple[str, float]) -> dict[frozenset[str], float]:
    """Every set of faulty parts that can be, with its chance; each part is faulty one time in a hundred."""
    sets = [frozenset(item) for count in range(6) for item in itertools.combinations(_PARTS, count)]
    chance = weighed([0.01 ** len(item) * 0.99 ** (5 - len(item)) for item in sets], [likelihood(item, seen) for item in sets])
    return {item: float(share) for item, share in zip(sets, chance, strict=True) if share > 0}


def minimal(found: dict[frozenset[str], float]) -> set[frozenset[str]]:
    """Candidates that hold no smaller one."""
    return {item for item in found if not any(other < item for other in found)}


def test_the_polybox_before_a_probe() -> None:
    """From memory: F = 10 and G = 12 leave 27 candidates of 32, four of them minimal; M1 and A1 have 0.4962 each."""
    found = candidates(("F", 10), ("G", 12))
    assert len(found) == 27
    assert minimal(found) == {frozenset(item) for item in (("A1",), ("M1",), ("A2", "M2"), ("M2", "M3"))}
    assert found[frozenset(["M1"])] == pytest.approx(0.4962, abs=5e-5)
    assert found[frozenset(["A1"])] == pytest.approx(0.4962, abs=5e-5)
    assert found[frozenset(["A1", "M1"])] == pytest.approx(0.0050, abs=5e-5)
    assert sorted(found.values())[-4] < 0.00035


@pytest.mark.parametrize(
    ("x", "left"), [(4, [("M1",)]), (6, [("A1",), ("M2", "M3"), ("A2", "M2")])]
)
def test_the_polybox_after_x(x: float, left: list[tuple[str, ...]]) -> None:
    """X = 4 leaves M1 alone; X = 6 leaves A1 and the two doubles."""
    found = candidates(("F", 10), ("G", 12), ("X", x))
    assert minimal(found) >= {frozenset(item) for item in left}
    single = max(found, key=lambda item: found[item])
    assert single == frozenset(left[0])
    assert found[single] > 0.98


# ---- the rule itself ----


def test_chances_sum_to_one_and_scale_does_not_matter() -> None:
    """Neither a common factor on the priors nor one on the likelihoods changes a chance; nought stays nought."""
    prior, like = np.array([0.2, 0.0, 0.5, 0.3]), np.array([1e-300, 1.0, 3e-300, 2e-300])
    with np.errstate(divide="ignore"):
        one, other = (posterior_of(np.log(prior * factor), np.log(like)) for factor in (1.0, 1e-9))
    assert one.sum() == pytest.approx(1.0)
    assert one == pytest.approx(other)
    assert one[1] == 0.0
    assert not posterior_of(np.array([-np.inf, -np.inf]), np.zeros(2)).any()
