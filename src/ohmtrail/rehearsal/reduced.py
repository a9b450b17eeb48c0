"""Small problems with nothing doubtful in them, on which the least possible minutes can be reckoned.

A few suspects and a few steps are drawn from a complaint as it stands, every outcome taken as certain and every price as
it is at the start. On such a table the true optimum comes of dynamic programming, and the way in which `choose.propose`
chooses can be followed through every branch, so that both are exact expectations and no draw is involved.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ohmtrail.circuit import function_setting
from ohmtrail.diagnosis.case import Case
from ohmtrail.diagnosis.evidence import Seen
from ohmtrail.diagnosis.gain import crisp, entropy, trial_rate
from ohmtrail.diagnosis.plan import Plan, greedy_cost
from ohmtrail.diagnosis.proposal import NAMED
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.diagnosis.steps import Bench

__all__ = ["Reduced", "least_by_entropy", "reduced_problems", "rule_cost"]

#: suspects and steps of a problem; sets that the exact search may visit, all of them with so few suspects
SUSPECTS, STEPS, SETS = 12, 12, 1 << 12
#: so few suspects that a plan in a job is never too large to be followed: all their sets are fewer than `plan.MOST_SETS`
PLANNED = 10
#: steps of the complaint from which those of a problem are drawn
SHORTLIST = 60
#: draws for each problem before a complaint counts as too small for one
TRIES = 4


@dataclass(frozen=True)
class Reduced:
    """One small problem.

    Attributes
    ----------
    function : str
        The complaint it was drawn from.
    least : float
        Expected minutes to a proven mend by the true optimum.
    search, rate : float
        As Ohmtrail chooses, and by bits a minute without looking ahead.
    bound : float
        What no way of searching can beat by the entropy alone.
    direct : float
        Walking straight to the right mend, which nobody can without knowing it.
    """

    function: str
    least: float
    search: float
    rate: float
    bound: float
    direct: float


def reduced_problems(case: Case, function: str, bench: Bench, count: int, seed: int) -> Iterator[Reduced]:
    """Draw small problems from a complaint, and reckon them.

    Parameters
    ----------
    case : Case
        The machine.
    function : str
        What fails.
    bench : Bench
        Where the machine stands.
    count : int
        How many problems.
    seed : int
        Of the draws.

    Yields
    ------
    Reduced
        Fewer where the complaint has too few suspects or steps.
    """
    seen = Seen(function, function_setting(case.harness, case.harness.functions[function]), 0)
    posterior = case.assess([seen]).posterior
    if posterior is None or posterior.best is None:
        return
    chooser = Chooser(posterior, bench, [seen])
    refined = chooser.refined(chooser.candidates()[:SHORTLIST])
    generator = np.random.default_rng([seed, 4])
    made, tried = 0, 0
    while made < count and tried < TRIES * count:
        tried += 1
        plan = _drawn(chooser, [(item.price, outcomes) for item, outcomes in refined], generator)
        if plan is not None:
            made += 1
            yield Reduced(function, plan.best().cost, rule_cost(plan), greedy_cost(plan), least_by_entropy(plan), _straight_to(plan))


def _drawn(chooser: Chooser, steps: list[tuple[float, np.ndarray]], generator: np.random.Generator) -> Plan | None:
    """A table of a few suspects and steps; None where they are no problem."""
    reach = [group for group, _ in chooser.shares()]
    rows = np.flatnonzero(np.isin(chooser.group, reach) & (chooser.weight > 0))
    if len(rows) < SUSPECTS or not steps:
        return None
    chance = chooser.weight[rows] / chooser.weight[rows].sum()
    rows = np.sort(generator.choice(rows, size=SUSPECTS, replace=False, p=chance))
    groups = list(dict.fromkeys(int(chooser.group[row]) for row in rows))
    labels = [(price, crisp(outcomes[rows])) for price, outcomes in steps]
    telling = [(price, found) for price, found in labels if found.max() > 0]
    if len(groups) < 3 or len(telling) < 2:
        return None
    chosen = [telling[i] for i in np.sort(generator.permutation(len(telling))[:STEPS])]
    return Plan(
        [float(weight) for weight in chooser.weight[rows]],
        [groups.index(int(chooser.group[row])) for row in rows],
        [[int(value) for value in found] for _, found in chosen],
        [max(price, 0.1) for price, _ in chosen],
        [chooser.mend_minutes(group) for group in groups],
        [sum(step.mend.vain for step in chooser.mend_steps(group) if step.mend) for group in groups],
        most_sets=SETS,
    )


def rule_cost(plan: Plan) -> float:
    """Give the expected cost of choosing as `ohmtrail.diagnosis.choose.propose` does, followed through every branch.

    Parameters
    ----------
    plan : Plan
        A table small enough for the exact search.

    Returns
    -------
    float
        In the unit of its costs, per unit of weight.
    """
    return _follow(plan, plan.everything) / plan.mass(plan.everything)


def _follow(plan: Plan, group: int) -> float:
    if group == 0:
        return 0.0
    mass = plan.mass(group)
    share = {answer: 1.0 - plan.mass(plan.without(group, answer)) / mass for answer in plan.answers(group)}
    likeliest = max(share, key=lambda answer: share[answer])
    step, answer = (None, likeliest) if share[likeliest] >= NAMED else _move(plan, group, share)
    if step is not None:
        return mass * plan.cost[step] + sum(_follow(plan, part) for part in plan.split(group, step))
    assert answer is not None
    return plan.mend_mass(group, answer) + _follow(plan, plan.without(group, answer))


def _move(plan: Plan, group: int, share: dict[int, float]) -> tuple[int | None, int | None]:
    """Step or answer: by the plan where so many hypotheses are planned for, else what tells most for its minutes."""
    if group.bit_count() <= PLANNED:
        choice = plan.at(group)
        return choice.step, choice.answer
    step = max(range(len(plan.cost)), key=lambda step: (plan.rate(group, step), -step))
    answer = max(share, key=lambda answer: _trial(plan, answer, share[answer]))
    return (None, answer) if _trial(plan, answer, share[answer]) > plan.rate(group, step) else (step, None)


def _trial(plan: Plan, answer: int, share: float) -> float:
    vain = plan.vain_cost[answer] if plan.vain_cost else 0.0
    return trial_rate(share, plan.mend_cost[answer] + (1.0 - share) * vain)


def least_by_entropy(plan: Plan) -> float:
    """Give a bound by the entropy of the answers: what is not known must be learned, and nothing teaches faster.

    Parameters
    ----------
    plan : Plan
        The table.

    Returns
    -------
    float
        Never above the least expected cost: the right mend, and at the best rate of any step or trial what its own
        success, one bit at most, leaves to be learned.

    Notes
    -----
    A step with n outcomes teaches log2 n bits at most, a mend that works or does not one bit (Shannon 1948, section 6).
    """
    share = _shares(plan)
    rates = [math.log2(len(plan.split(plan.everything, step))) / cost for step, cost in enumerate(plan.cost)]
    rates += [1.0 / max(cost, 0.1) for cost in plan.mend_cost]
    return _straight_to(plan) + max(entropy(share) - 1.0, 0.0) / max(rates)


def _straight_to(plan: Plan) -> float:
    """The right mend alone, which nobody can go for without knowing it."""
    return sum(part * plan.mend_cost[answer] for part, answer in zip(_shares(plan), plan.answers(plan.everything), strict=True))


def _shares(plan: Plan) -> list[float]:
    """Chance of each answer, in their order."""
    total = plan.mass(plan.everything)
    return [1.0 - plan.mass(plan.without(plan.everything, answer)) / total for answer in plan.answers(plan.everything)]
