"""Where the survey of a job goes on."""

from __future__ import annotations

import math

from ohmtrail.diagnosis import Proposal, minutes_of
from ohmtrail.reports.results import Standing

__all__ = ["survey_proposal"]


def survey_proposal(standing: Standing) -> Proposal | None:
    """Say which reading of the survey comes next.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    Proposal or None
        A reading that lay outside its band once is taken again first; while something is wrong, or is still to be
        proven, there is none; nor where all was done that is within reach and wanted.
    """
    job, assessment = standing.job, standing.assessment
    progress = job.progress
    again = [item for item, state in zip(job.planned, progress, strict=True) if state == "again"]
    going_on = assessment.posterior is None and not assessment.to_prove
    left = [item for item, state in zip(job.planned, progress, strict=True) if state == "open"] if going_on else []
    for item in (*again, *left):
        minutes = minutes_of(job.harness, item.step, job.bench)
        if item.step not in job.bench.skipped and math.isfinite(minutes):
            return Proposal(item.step, minutes, 0.0, None, (), item in again, ())
    return None
