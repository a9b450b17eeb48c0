"""What is asked for before an answer is named: nobody may have listed what is really wrong, or it is listed and rare."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ohmtrail.diagnosis.evidence import Evidence
from ohmtrail.diagnosis.likelihood import log_likelihood
from ohmtrail.diagnosis.posterior import Answer, Posterior
from ohmtrail.diagnosis.proposal import NAMED, TELLING, Proposal, Scored
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.diagnosis.steps import Step, minutes_of
from ohmtrail.diagnosis.table import SuspectTable
from ohmtrail.diagnosis.unlisted import Rival, log_mean

__all__ = ["alike_to", "look_there", "nameable", "rivals_of", "sets_apart", "tells_apart"]

Floats = NDArray[np.float64]

#: steps that are weighed closely to tell an answer from its unlisted rivals; rows of it with less of its share are left out
SHORTLIST, MATTERS = 14, 1e-3
#: what is listed reads alike where the readings are at least so many times as likely under it; so many at most; a step
#: that takes no more minutes is quick; own choice
ALIKE, MOST_ALIKE, QUICK, LEAST = 0.5, 12, 1.0, 1e-300
#: from this share of unlisted faults on, what the readings point at is looked at, where it holds so much of them
LOST, WORTH_A_LOOK, MOST_LOOKS = 0.5, 0.1, 3
#: an answer is not named while the readings are so many times likelier under something unlisted elsewhere
DOUBT = 3.0


def rivals_of(posterior: Posterior, answer: Answer) -> tuple[Rival, ...]:
    """Give what nobody listed and the readings do not rule out against an answer.

    Parameters
    ----------
    posterior : Posterior
        Suspects, and the strangers they are held against.
    answer : Answer
        Commonly the likeliest one.

    Returns
    -------
    tuple of Rival
        Elsewhere than where the answer is mended; the likeliest first.
    """
    if posterior.strangers is None:
        return ()
    faults = [fault for row in answer.rows for fault in posterior.table.rows[row].faults]
    own = {name for fault in faults for name in (fault.element, fault.mend.element)}
    likely = log_mean(posterior.table, posterior.evidence, answer.rows)
    return posterior.strangers.rivals(posterior.evidence, likely, own)


def nameable(posterior: Posterior, answer: Answer, rivals: Sequence[Rival] | None = None) -> tuple[Answer | None, tuple[str, ...]]:
    """Say whether an answer may be named: it is likely, and nothing unlisted elsewhere explains the readings much better.

    Parameters
    ----------
    posterior : Posterior
        Suspects, and the strangers they are held against.
    answer : Answer
        Commonly the likeliest one.
    rivals : sequence of Rival, optional
        As `rivals_of` gives them, where they are known already.

    Returns
    -------
    tuple of (Answer or None, tuple of str)
        The answer where it may be named; the elements that stand against it where it is likely and may not.
    """
    if posterior.needs(answer.mends) < NAMED:
        return None, ()
    found = rivals_of(posterior, answer) if rivals is None else rivals
    doubts = tuple(item.element for item in found if item.times > DOUBT)
    return (None if doubts else answer), doubts


def tells_apart(chooser: Chooser, answer: Answer, rivals: Sequence[Rival]) -> Scored | None:
    """Give the step within reach that tells an answer from its unlisted rivals for the fewest minutes.

    Parameters
    ----------
    chooser : Chooser
        What the choice is made from.
    answer : Answer
        Commonly the likeliest one.
    rivals : sequence of Rival
        What it is told from.

    Returns
    -------
    Scored or None
        None where no step tells them apart.
    """
    strangers = chooser.posterior.strangers
    assert strangers is not None
    theirs = [row for item in rivals for row in item.rows]
    mine = [row for row in answer.rows if chooser.posterior.chance[row] > MATTERS * answer.share]
    few = strangers.table.restricted(np.array([0, *theirs]))
    both = few.widened([chooser.table.rows[row] for row in mine])
    weight = np.concatenate([_within(few, chooser.posterior.evidence, rivals), chooser.posterior.chance[mine] / answer.share])
    posterior = Posterior(both, chooser.posterior.evidence, weight / weight.sum(), 0.0)
    return _first_telling(chooser, posterior)


def alike_to(posterior: Posterior, answer: Answer) -> tuple[Answer, ...]:
    """Give what is listed and rare, but has not been told from an answer: the readings are about as likely under it.

    Parameters
    ----------
    posterior : Posterior
        Suspects.
    answer : Answer
        Commonly the likeliest one.

    Returns
    -------
    tuple of Answer
        The one under which the readings are likeliest first.
    """
    of_answer = _likely(posterior, answer)
    times = [(_likely(posterior, item) / of_answer, item) for item in posterior.answers if not set(answer.mends) <= set(item.mends)]
    return tuple(item for much, item in sorted(times, key=lambda pair: -pair[0])[:MOST_ALIKE] if much > ALIKE)


def sets_apart(chooser: Chooser, answer: Answer, alike: Sequence[Answer]) -> Scored | None:
    """Give the quick step that tells an answer from listed ones that read alike so far, each taken for as likely.

    Parameters
    ----------
    chooser : Chooser
        What the choice is made from.
    answer : Answer
        Commonly the likeliest one.
    alike : sequence of Answer
        As `alike_to` gives them.

    Returns
    -------
    Scored or None
        None where no quick step tells them apart.
    """
    posterior = chooser.posterior
    weight = np.zeros(len(posterior.table))
    for item in (answer, *alike):
        weight[list(item.rows)] = posterior.chance[list(item.rows)] / item.share
    even = Posterior(posterior.table, posterior.evidence, weight / weight.sum(), 0.0)
    return _first_telling(chooser, even, within=QUICK)


def _first_telling(chooser: Chooser, posterior: Posterior, *, within: float = np.inf) -> Scored | None:
    """The step that tells most for its minutes about a narrower question; None where none tells enough in so many minutes."""
    near = Chooser(posterior, chooser.bench, chooser.complaints)
    if len(near.groups) < 2:
        return None
    listed = [item for item in near.candidates() if item.minutes <= within][:SHORTLIST]
    return next((item for item, _ in near.refined(listed) if item.bits >= TELLING), None)


def _likely(posterior: Posterior, answer: Answer) -> float:
    """How likely complaint and readings are under an answer, however common it is; not scaled."""
    return answer.share / max(float(posterior.table.prior[list(answer.rows)].sum()), LEAST)


def _within(few: SuspectTable, evidence: Sequence[Evidence], rivals: Sequence[Rival]) -> Floats:
    """Chances of the rivals' rows, the sound machine first, that sum to one."""
    log = log_likelihood(few, sorted(evidence, key=repr))
    with np.errstate(divide="ignore"):
        log = log + np.log(few.prior)
    weight = np.exp(log - log.max())
    shares: Floats = weight / weight.sum()
    return shares


def look_there(chooser: Chooser, listed: Sequence[Scored]) -> Proposal | None:
    """Where nothing that is listed explains the readings: look at what they point at.

    Parameters
    ----------
    chooser : Chooser
        What the choice is made from.
    listed : sequence of Scored
        Steps that were weighed, the best first.

    Returns
    -------
    Proposal or None
        None where something listed explains them, or what they point at was looked at.
    """
    posterior = chooser.posterior
    if posterior.unlisted <= LOST:
        return None
    for element, share in posterior.unlisted_at[:MOST_LOOKS]:
        step = Step("look", chooser.bench.setting, element=element)
        minutes = minutes_of(chooser.harness, step, chooser.bench)
        if share >= WORTH_A_LOOK and np.isfinite(minutes) and chooser.wanted(step):
            return Proposal(step, minutes, 0.0, None, (), False, tuple(listed[:6]), against=(element,))
    return None
