"""Take back the last thing that was done on a job."""

from __future__ import annotations

from datetime import datetime
from os import PathLike

from ohmtrail.errors import JobError
from ohmtrail.job import JobState, add_place, add_strike, add_wanted
from ohmtrail.reports.results import Undone
from ohmtrail.workbench.opened import OpenJob, open_job

__all__ = ["undo"]

Job = OpenJob | str | PathLike[str]


def undo(job: Job, *, now: datetime, token: str = "") -> Undone:
    """Take back what was done last: a reading or mend is struck, a skip or a barred place is lifted.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    now : datetime
        With its zone.
    token : str
        A mark of the request, by which it takes back nothing when it comes again.

    Returns
    -------
    Undone
        What was taken back, and how the job stands without it.

    Raises
    ------
    JobError
        Nothing was done since the complaint.
    """
    opened = open_job(job)
    state = opened.state()
    if token and token in state.tokens:
        return Undone(opened.standing(), None)
    if not state.doings:
        raise JobError("there is nothing to take back: nothing was done since the complaint")
    _take_back(opened.accepted(state, now), now, token)
    return Undone(opened.standing(), state.doings[-1])


def _take_back(state: JobState, now: datetime, token: str) -> None:
    last = state.doings[-1]
    if last.number:
        add_strike(state, last.number, "taken back", now, token=token)
    elif last.step is not None:
        add_wanted(state, last.step, now, token=token)
    else:
        add_place(state, last.place, "reachable", now, token=token)
