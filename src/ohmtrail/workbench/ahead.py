"""Work ahead while the technician measures, so that the step after is there at once."""

from __future__ import annotations

from collections.abc import Callable
from os import PathLike

from ohmtrail.diagnosis import Evidence
from ohmtrail.job import after, step_for
from ohmtrail.reports.results import Standing
from ohmtrail.workbench.opened import OpenJob, open_job
from ohmtrail.workbench.outcomes import likely_results, step_outcomes

__all__ = ["work_ahead"]


def work_ahead(job: OpenJob | str | PathLike[str], go_on: Callable[[], bool] = lambda: True) -> None:
    """Work out what follows from the likely results of the proposed step; nothing is recorded.

    The case's tables are filled on the way, and stay so. The job's lock is held for one piece at a time.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    go_on : callable
        Asked before each piece whether nobody else wants the job.
    """
    opened = open_job(job)
    with opened.lock:
        standing = opened.standing()
        step, posterior = standing.job.proposed, standing.posterior
        if step is None or posterior is None or step.kind == "mend" or not go_on():
            return
        likely = likely_results(posterior, step)
    for result in likely:
        for piece in _pieces(standing, result):
            with opened.lock:
                if not go_on() or opened.state().history != standing.job.history:
                    return
                piece()
    with opened.lock:
        if go_on():
            standing.case.foresee(standing.assessment, standing.job.bench)


def _pieces(standing: Standing, result: Evidence) -> tuple[Callable[[], None], ...]:
    """What would follow from one result, in pieces: the suspects, the next step, what its outcomes would mean."""
    job, case = standing.job, standing.case
    bench, _ = after(job.harness, job.bench, step_for(result, job.bench.setting))
    history = (*job.history, result)

    def suspects() -> None:
        case.assess(history)

    def follow() -> None:
        assessment = case.assess(history)
        if assessment.posterior is None or assessment.to_prove:
            return
        proposal = case.next_step(assessment, bench)
        if proposal.step is not None:
            step_outcomes(assessment.posterior, proposal.step)

    return suspects, follow
