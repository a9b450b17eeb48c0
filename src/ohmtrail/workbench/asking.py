"""Questions about a job: how it stands, what to do next, why."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from os import PathLike

from ohmtrail.diagnosis import (
    Answer,
    Posterior,
    Proposal,
    RuledOut,
    Step,
    cautions_for,
    places_of,
    ruled_out,
    weigh,
    weights_of,
)
from ohmtrail.errors import BusyError, StorageError, UnknownName
from ohmtrail.harness import Harness
from ohmtrail.job import add_proposal
from ohmtrail.reports.results import Explained, Next, Standing, Why
from ohmtrail.workbench.opened import OpenJob, open_job
from ohmtrail.workbench.outcomes import step_outcomes
from ohmtrail.workbench.progress import survey_proposal

__all__ = ["ahead", "gone", "next_step", "shown", "suspects", "why"]

Job = OpenJob | str | PathLike[str]


def suspects(job: Job) -> Standing:
    """Say what may be wrong.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.

    Returns
    -------
    Standing
        Readings, suspects, what is left to prove.
    """
    return open_job(job).standing()


def next_step(job: Job, *, now: datetime) -> Next:
    """Choose what to do next, and keep it in the job so that a bare answer can follow.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    now : datetime
        With its zone.

    Returns
    -------
    Next
        The step with everything that goes with it; its ``kept`` is false where the job file cannot be
        written, so that its answer must be written in full.
    """
    opened = open_job(job)
    standing = opened.standing()
    wanted = survey_proposal(standing)
    if wanted is None and standing.assessment.proven:
        return Next(standing, len(standing.job.events) + 1, Proposal(None, 0.0, 0.0, None, (), False, ()))
    proposal = wanted or _within_reach(opened.proposal(standing))
    record = _kept(opened, standing, proposal.step, now) if proposal.step is not None else 0
    return replace(shown(standing, proposal, kept=bool(record)), record=record)


def _within_reach(proposal: Proposal) -> Proposal:
    """The proposal, without its step where that is at a place that was said to be out of reach."""
    return proposal if math.isfinite(proposal.minutes) else replace(proposal, step=None)


def ahead(standing: Standing) -> Next | None:
    """Say what was proposed last, or else would be next, without keeping it in the job.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    Next or None
        None where nothing is left to do.
    """
    proposed = standing.job.proposed
    if proposed is not None:
        return shown(standing, Proposal(proposed, 0.0, 0.0, None, (), False, ()))
    wanted = survey_proposal(standing)
    if wanted is not None:
        return shown(standing, wanted, kept=False)
    if standing.assessment.proven or (standing.posterior is None and not standing.assessment.to_prove):
        return None
    return shown(standing, _within_reach(standing.case.next_step(standing.assessment, standing.job.bench)), kept=False)


def _kept(opened: OpenJob, standing: Standing, step: Step, now: datetime) -> int:
    """Put the proposal into the job file; give its record, 0 where it cannot be written."""
    job = standing.job
    if step == job.proposed and job.proposal:
        return job.proposal
    try:
        job = opened.accepted(job, now)
        add_proposal(job, step, now)
    except BusyError:
        raise
    except StorageError:
        return 0
    return job.records + 1


def shown(standing: Standing, proposal: Proposal, *, kept: bool = True) -> Next:
    """Put together what goes with a proposal.

    Parameters
    ----------
    standing : Standing
        The job.
    proposal : Proposal
        What to do.
    kept : bool
        Whether the job file holds it.

    Returns
    -------
    Next
        With places, outcomes and cautions.
    """
    step, number = proposal.step, len(standing.job.events) + 1
    if step is None:
        return Next(standing, number, proposal, kept=False)
    harness, bench = standing.job.harness, standing.job.bench
    needed = places_of(harness, step, bench) - bench.opened
    outcomes = step_outcomes(standing.posterior, step) if standing.posterior is not None else ()
    cautions = cautions_for(harness, step)
    planned = next((item for item in standing.job.planned if item.step == step), None)
    return Next(standing, number, proposal, _outer_first(harness, needed), outcomes, cautions, kept, planned)


def _outer_first(harness: Harness, places: frozenset[str]) -> tuple[str, ...]:
    """Places in the order in which they can be opened."""

    def depth(place: str) -> int:
        inside = harness.places[place].inside
        return 0 if inside is None else 1 + depth(inside)

    return tuple(sorted(places, key=lambda place: (depth(place), place)))


def why(job: Job, *, about: str = "", most: int = 3) -> Why:
    """Say how every reading bears on the leading suspects, and which reading ruled others out.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    about : str
        A mend, or what it is done to; the leading suspects where not given.
    most : int
        How many suspects.

    Returns
    -------
    Why
        For each a weight for every reading.

    Raises
    ------
    UnknownName
        No suspect is put right by such a mend.
    """
    standing = open_job(job).standing()
    posterior = standing.posterior
    if posterior is None:
        return Why(standing, (), ())
    answers = _about(posterior, about) if about else posterior.answers[:most]
    explained = tuple(Explained(item, weights_of(posterior, item)) for item in answers if item.share > 0 or about)
    return Why(standing, explained, gone(standing))


def gone(standing: Standing) -> tuple[RuledOut, ...]:
    """List what readings ruled out since the complaint.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    tuple of RuledOut
        The likeliest before first.
    """
    posterior = standing.posterior
    if posterior is None:
        return ()
    complaints = [item for item in posterior.evidence if item in standing.assessment.complaints]
    return ruled_out(posterior, weigh(posterior.table, complaints))


def _about(posterior: Posterior, about: str) -> tuple[Answer, ...]:
    """Answers that a mend, or work on one element, puts right."""
    said = about.casefold()
    tests: tuple[Callable[[str], bool], ...] = (lambda mend: mend == said, lambda mend: said in mend.split())
    for test in tests:
        found = [item for item in posterior.answers if any(test(mend.casefold()) for mend in item.mends)]
        if found:
            return tuple(found[:3])
    raise UnknownName("suspect", about, [mend for item in posterior.answers for mend in item.mends])
