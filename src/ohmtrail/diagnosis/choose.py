"""What to do next: the step with the least expected minutes to a proven mend."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ohmtrail.diagnosis.evidence import Complaint
from ohmtrail.diagnosis.gain import crisp, entropy
from ohmtrail.diagnosis.naming import before_a_mend, grouped, settled, try_mend, worth_trying
from ohmtrail.diagnosis.plan import Plan
from ohmtrail.diagnosis.posterior import Posterior
from ohmtrail.diagnosis.proposal import NAMED, Proposal, Scored
from ohmtrail.diagnosis.rivals import look_there
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.diagnosis.steps import Bench

__all__ = ["foresee", "propose", "propose_by_rate"]

Floats = NDArray[np.float64]

#: steps that go on from the first look to the plan
SHORTLIST = 14
#: hypotheses and share of the weight in the plan's small table
MOST_HYPOTHESES, HELD = 14, 0.985


def propose(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> Proposal:
    """Choose the next step.

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
        The step with the least expected minutes to a proven mend, with the reasons.
    """
    chooser = Chooser(posterior, bench, complaints)
    best = posterior.best
    if best is None or not len(chooser.rows):
        return Proposal(None, 0.0, 0.0, None, (), False, ())
    listed = chooser.candidates()
    if best.share >= NAMED:
        done = settled(chooser, best, listed)
        if done is not None:
            return done
    if (look := look_there(chooser, listed)) is not None:
        return look
    refined = chooser.refined(listed[:SHORTLIST])
    if not refined:
        return grouped(chooser, listed)
    plan, steps, answers = _plan(chooser, refined)
    by_step, by_mend = plan.values()
    others = _varied(steps)
    value, index = min(((v, i) for i, v in by_step.items()), default=(float("inf"), -1))
    mend_value, mend = min(((v, answers[a]) for a, v in by_mend.items()), default=(float("inf"), -1))
    if (mend_value <= value and worth_trying(chooser, mend, steps)) or index < 0:
        first = before_a_mend(chooser, mend, steps)
        if first is None:
            return try_mend(chooser, mend, others, mend_value)
        index, value = first, mend_value
    chosen = steps[index]
    return Proposal(chosen.step, chosen.minutes, chosen.bits, None, (), False, tuple(i for i in others if i is not chosen)[:6], value)


def propose_by_rate(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> Proposal:
    """Choose the step that tells most for its minutes, and look no further: what `propose` is compared with.

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
        A reading, or a mend where trying it tells more for its minutes; an answer likely enough is
        confirmed and named as `propose` does it.
    """
    chooser = Chooser(posterior, bench, complaints)
    best = posterior.best
    if best is None or not len(chooser.rows):
        return Proposal(None, 0.0, 0.0, None, (), False, ())
    listed = chooser.candidates()
    if best.share >= NAMED and (done := settled(chooser, best, listed)) is not None:
        return done
    refined = chooser.refined(listed[:SHORTLIST])
    if not refined:
        return grouped(chooser, listed)
    first = refined[0][0]
    others = tuple(item for item, _ in refined)
    rates = {group: entropy([p, 1.0 - p]) / max(chooser.lost(group, p), 0.1) for group, p in chooser.shares()}
    trial = max(rates, key=lambda group: rates[group])
    if rates[trial] > first.rate:
        return try_mend(chooser, trial, others, float("nan"))
    return Proposal(first.step, first.minutes, first.bits, None, (), False, others[1:7])


def foresee(posterior: Posterior, bench: Bench, complaints: Sequence[Complaint]) -> None:
    """Work out what every suspect would show in the steps that come into question now.

    A choice looks only at the suspects that shape it; after this the next ones find their numbers ready.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    bench : Bench
        Where the machine stands.
    complaints : sequence of Seen or Measured
        What is wrong, at least one.
    """
    chooser = Chooser(posterior, bench, complaints)
    if len(chooser.rows):
        chooser.outlook.asked = np.arange(len(chooser.table), dtype=np.int64)
        chooser.candidates()


def _plan(chooser: Chooser, refined: Sequence[tuple[Scored, Floats]]) -> tuple[Plan, list[Scored], list[int]]:
    """The small table: heavy rows, merged where no step on the list tells them apart."""
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
    made = Plan(
        [weight for _, weight in kept],
        [answers.index(key[0]) for key, _ in kept],
        outcome,
        [max(item.price, 0.1) for item in steps],
        [chooser.mend_minutes(answer) for answer in answers],
        [sum(step.mend.vain for step in chooser.mend_steps(answer) if step.mend) for answer in answers],
    )
    return made, steps, answers


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
