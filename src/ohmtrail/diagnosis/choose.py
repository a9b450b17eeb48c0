"""What to do next: what tells most for its minutes, or the first step of the cheapest plan where one can be reckoned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.memory import give_back_memory
from ohmtrail.diagnosis.evidence import Complaint
from ohmtrail.diagnosis.gain import certainty, crisp, trial_rate
from ohmtrail.diagnosis.naming import grouped, settled, try_mend
from ohmtrail.diagnosis.plan import Choice, Plan
from ohmtrail.diagnosis.posterior import Posterior
from ohmtrail.diagnosis.proposal import NAMED, Proposal, Scored
from ohmtrail.diagnosis.rivals import look_there
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.diagnosis.steps import Bench
from ohmtrail.diagnosis.table import SuspectTable

__all__ = ["foresee", "propose", "propose_by_rate"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: steps that go on from the first look to the choice
SHORTLIST = 14
#: steps whose outcomes are worked out ahead for every suspect that may shape the choice
FORESEEN = 14
#: and a suspect may shape it that has so much of the likeliest one's chance
NEAR = 1e-4
#: hypotheses and share of the weight in the plan's small table; the share that it must hold to be followed
MOST_HYPOTHESES, HELD, PLANNED = 14, 0.985, 0.97
#: a plan counts on outcomes that are at least so certain, all suspects taken together
CERTAIN = 0.95


def propose(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> Proposal:
    """Choose the next step.

    Where the steps in question split the suspects cleanly and few are left, the cheapest plan is reckoned to its end.
    Everywhere else it is the step, or the mend on trial, that tells most for its minutes: rehearsed on five complaints of
    three machines, plans on a table that rounds doubtful outcomes took 4 to 12 % more minutes.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    bench : Bench
        Where the machine stands.
    complaints : sequence of Seen or Measured
        What is wrong, at least one.

    Returns
    -------
    Proposal
        A step or a mend, with the reasons; a likely answer is confirmed before it is named.
    """
    return _proposed(Chooser(posterior, bench, complaints), planned=True)


def propose_by_rate(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> Proposal:
    """Choose what tells most for its minutes, and look no further: what `propose` is compared with.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    bench : Bench
        Where the machine stands.
    complaints : sequence of Seen or Measured
        What is wrong, at least one.

    Returns
    -------
    Proposal
        As `propose` gives it, without plans.
    """
    return _proposed(Chooser(posterior, bench, complaints), planned=False)


def _proposed(chooser: Chooser, *, planned: bool) -> Proposal:
    """The next step, with or without plans."""
    best = chooser.posterior.best
    if best is None or not len(chooser.rows):
        return Proposal(None, 0.0, 0.0, None, (), False, ())
    listed = chooser.candidates()
    if chooser.posterior.needs(best.mends) >= NAMED and (done := settled(chooser, best, listed)) is not None:
        return done
    if (look := look_there(chooser, listed)) is not None:
        return look
    refined = chooser.refined(listed[:SHORTLIST])
    if not refined:
        return grouped(chooser, listed)
    others = _varied([item for item, _ in refined])
    first = _by_plan(chooser, refined) if planned and _clean(chooser, refined) else None
    group = first.answer if first is not None else _worth_a_trial(chooser, refined[0][0])
    if group is not None:
        return try_mend(chooser, group, others)
    index, value = (first.step or 0, first.cost) if first is not None else (0, math.nan)
    chosen = refined[index][0]
    return Proposal(chosen.step, chosen.minutes, chosen.bits, None, (), False, tuple(i for i in others if i is not chosen)[:6], value)


def _worth_a_trial(chooser: Chooser, step: Scored) -> int | None:
    """The group of mends whose trial tells more for its minutes than a step; None where the step tells more."""
    rates = {group: trial_rate(p, chooser.lost(group, p)) for group, p in chooser.shares()}
    group = max(rates, key=lambda group: rates[group])
    return group if rates[group] > step.rate else None


def _by_plan(chooser: Chooser, refined: Sequence[tuple[Scored, Floats]]) -> Choice | None:
    """The first move of the cheapest plan, its answer a mend group, and the minutes that it expects.

    None where too little of the weight is in the plan, and where too many ways would have to be tried.
    """
    plan, answers = _plan(chooser, refined)
    choice = plan.best()
    if sum(plan.weight) < PLANNED * chooser.weight.sum() or not choice.exact:
        return None
    return choice if choice.answer is None else replace(choice, answer=answers[choice.answer])


def _clean(chooser: Chooser, refined: Sequence[tuple[Scored, Floats]]) -> bool:
    """Whether every step's outcome is as good as certain under each suspect, so that a plan may count on it."""
    weight = chooser.weight / chooser.weight.sum()
    return all(float(weight @ certainty(outcomes)) >= CERTAIN for _, outcomes in refined)


def foresee(known: Sequence[tuple[Posterior, Bench, Sequence[Complaint]]]) -> None:
    """Work out what suspects would show in the steps that come into question now, and after what may well be read.

    A choice looks only at the suspects that shape it; after this the next one finds its numbers ready, also where
    what is read lies between what was thought of: then some of each of those suspects shape it.

    Parameters
    ----------
    known : sequence of (Posterior, Bench, sequence of (Seen or Measured))
        What is known, where the machine stands and what is wrong: first now, then after each result that was thought of.
    """
    choosers = [Chooser(*item) for item in known]
    together = [chooser for chooser in choosers if len(chooser.rows)]
    for chooser in together:
        alike = [other for other in together if other.table is chooser.table]
        shaping = _may_shape(chooser.table, alike)
        chooser.outlook.asked = np.arange(len(chooser.table), dtype=np.int64) if chooser is together[0] else shaping
        listed = chooser.candidates()
        for item in listed[:FORESEEN]:
            if item.step.kind == "measure":
                at = (item.step.red, item.step.black)
                chooser.table.measured(item.step.quantity, item.step.setting, [at], rows=shaping)
        give_back_memory()


def _may_shape(table: SuspectTable, choosers: Sequence[Chooser]) -> Ints:
    """Rows that shape the choice now or after a result, and those that are not far from it; the sound machine first."""
    near = np.zeros(len(table), dtype=bool)
    near[0] = True
    for chooser in choosers:
        near[chooser.rows] = True
        near |= chooser.posterior.chance > NEAR * chooser.posterior.chance.max()
    return np.flatnonzero(near)


def _plan(chooser: Chooser, refined: Sequence[tuple[Scored, Floats]]) -> tuple[Plan, list[int]]:
    """The small table, and the mend groups that are its answers: heavy rows, merged where no step tells them apart."""
    order = np.argsort(-chooser.weight, kind="stable")
    held = np.cumsum(chooser.weight[order]) / chooser.weight.sum()
    heavy = order[: int(np.searchsorted(held, HELD)) + 1]
    steps = [item for item, _ in refined]
    labels = np.array([crisp(outcomes[heavy]) for _, outcomes in refined]).reshape(len(steps), len(heavy))
    merged: dict[tuple[int, ...], float] = {}
    for column, row in enumerate(heavy):
        key = (int(chooser.group[row]), *(int(v) for v in labels[:, column]))
        merged[key] = merged.get(key, 0.0) + float(chooser.weight[row])
    kept = sorted(merged.items(), key=lambda item: (-item[1], item[0]))[:MOST_HYPOTHESES]
    answers = list(dict.fromkeys(key[0] for key, _ in kept))
    outcome = [[key[1 + step] for key, _ in kept] for step in range(len(steps))]
    plan = Plan(
        [weight for _, weight in kept],
        [answers.index(key[0]) for key, _ in kept],
        outcome,
        [max(item.price, 0.1) for item in steps],
        [chooser.mend_minutes(answer) for answer in answers],
        [sum(step.mend.vain for step in chooser.mend_steps(answer) if step.mend) for answer in answers],
    )
    return plan, answers


def _varied(steps: Sequence[Scored]) -> tuple[Scored, ...]:
    """The best step of each kind first, then the rest, each by bits per minute."""
    seen: set[tuple[str, str]] = set()
    first: list[Scored] = []
    rest: list[Scored] = []
    for item in sorted(steps, key=lambda item: -item.rate):
        kind = (item.step.kind, item.step.quantity if item.step.kind == "measure" else item.step.function)
        (rest if kind in seen else first).append(item)
        seen.add(kind)
    return (*first, *rest)
