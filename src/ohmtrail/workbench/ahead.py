"""Work ahead while the technician measures, so that the step after is there at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from os import PathLike

from ohmtrail.circuit.memory import give_back_memory
from ohmtrail.diagnosis import Case, Event, Step
from ohmtrail.job import after
from ohmtrail.reports.results import Standing
from ohmtrail.workbench.opened import OpenJob, open_job
from ohmtrail.workbench.outcomes import next_events, step_outcomes

__all__ = ["work_ahead"]


class _Wanted(Exception):
    """Somebody else wants the job."""


def work_ahead(job: OpenJob | str | PathLike[str], go_on: Callable[[], bool] = lambda: True) -> bool:
    """Work out what follows from the likely results of the proposed step; nothing is recorded.

    The case's tables are filled on the way, and stay so. The job's lock is held for one piece at a time, and given up
    in the midst of a piece where somebody else wants the job.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    go_on : callable
        Asked all the time whether nobody else wants the job.

    Returns
    -------
    bool
        Whether all was worked out; false where it was stopped.
    """
    try:
        _work(open_job(job), go_on)
    except _Wanted:
        return False
    return True


@contextmanager
def _stoppable(opened: OpenJob, case: Case, go_on: Callable[[], bool]) -> Iterator[None]:
    """Hold the job, and let go of it as soon as somebody wants it."""

    def check() -> None:
        if not go_on():
            raise _Wanted

    with opened.lock:
        check()
        before, case.electrics.before_solving = case.electrics.before_solving, check
        try:
            yield
        finally:
            case.electrics.before_solving = before


def _work(opened: OpenJob, go_on: Callable[[], bool]) -> None:
    with opened.lock:
        standing = opened.standing()
        step = standing.job.proposed
        if step is None:
            return
    with _stoppable(opened, standing.case, go_on):
        likely = next_events(standing.posterior, step)
    for result in likely:
        for piece in _pieces(opened, standing, step, result):
            with _stoppable(opened, standing.case, go_on):
                if opened.state().history != standing.job.history:
                    raise _Wanted
                piece()
                give_back_memory()
    with _stoppable(opened, standing.case, go_on):
        job, case = standing.job, standing.case
        there, _ = after(job.harness, job.bench, step)
        case.foresee(standing.assessment, job.bench, [(opened.assessed(case, (*job.history, result)), there) for result in likely])
        give_back_memory()


def _pieces(opened: OpenJob, standing: Standing, step: Step, result: Event) -> tuple[Callable[[], None], ...]:
    """What would follow from one result, in pieces: the suspects, the next step, what its outcomes would mean."""
    job, case = standing.job, standing.case
    bench, _ = after(job.harness, job.bench, step)
    history = (*job.history, result)

    def suspects() -> None:
        opened.assessed(case, history)

    def follow() -> None:
        assessment = opened.assessed(case, history)
        if assessment.posterior is None or assessment.to_prove:
            return
        proposal = opened.chosen(case, assessment, bench)
        if proposal.step is not None:
            step_outcomes(assessment.posterior, proposal.step)

    return suspects, follow
