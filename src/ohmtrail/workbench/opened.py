"""A job that is open: its file, and the tables that stay warm from one question to the next."""

from __future__ import annotations

import os
import threading
from datetime import datetime

from ohmtrail.diagnosis import Assessment, Case, Proposal
from ohmtrail.job import JobState, Start, add_harness, read_job
from ohmtrail.reports.results import Standing

__all__ = ["OpenJob", "open_job"]


class OpenJob:
    """A job file, read afresh for every question; the machine's tables are kept while its harness stays.

    Parameters
    ----------
    path : str or path
        The job file.
    accept_changed : bool
        Go on although the harness file is not what it was; the next thing recorded keeps that.

    Attributes
    ----------
    lock : threading.RLock
        Held by whoever works with the job's tables where several threads do.
    """

    def __init__(self, path: str | os.PathLike[str], *, accept_changed: bool = False) -> None:
        self.path, self._accept = os.fspath(path), accept_changed
        self.lock = threading.RLock()
        self._case: Case | None = None
        self._key: tuple[object, ...] = ()
        self._assessed: tuple[Case, object, Assessment] | None = None
        self._chosen: tuple[Assessment, object, Proposal] | None = None

    def state(self) -> JobState:
        """Read the job file.

        Returns
        -------
        JobState
            As it is now.

        Raises
        ------
        JobError
            No job file, damaged, or its harness is gone or changed.
        """
        return read_job(self.path, accept_changed=self._accept)

    def case(self, job: JobState) -> Case:
        """Give the machine's case, the one of the last question where nothing in the machine changed.

        Parameters
        ----------
        job : JobState
            The job as it was read.

        Returns
        -------
        Case
            With whatever tables are warm.
        """
        key = _case_key(job.start)
        if self._case is None or key != self._key:
            self._case = Case(job.harness, meter=job.start.meter, year=job.start.year)
            self._key = key
        return self._case

    def standing(self) -> Standing:
        """Say how the job stands.

        Returns
        -------
        Standing
            State, suspects, what is to be proven.
        """
        with self.lock:
            job = self.state()
            case, history = self.case(job), job.history
            if self._assessed is None or self._assessed[0] is not case or self._assessed[1] != history:
                self._assessed = (case, history, case.assess(history))
            return Standing(job, case, self._assessed[2])

    def proposal(self, standing: Standing) -> Proposal:
        """Choose what to do next, once for every state of the job.

        Parameters
        ----------
        standing : Standing
            The job.

        Returns
        -------
        Proposal
            As `ohmtrail.diagnosis.Case.next_step` gives it.
        """
        with self.lock:
            assessment, bench = standing.assessment, standing.job.bench
            if self._chosen is None or self._chosen[0] is not assessment or self._chosen[1] != bench:
                self._chosen = (assessment, bench, standing.case.next_step(assessment, bench))
            return self._chosen[2]

    def accepted(self, job: JobState, now: datetime) -> JobState:
        """Keep in the file that a changed harness was accepted, where that is so.

        Parameters
        ----------
        job : JobState
            The job as it was read.
        now : datetime
            With its zone.

        Returns
        -------
        JobState
            The job to add to.
        """
        if not (self._accept and job.changed):
            return job
        add_harness(job, now)
        return read_job(self.path)


def _case_key(start: Start) -> tuple[object, ...]:
    return (start.sha256, start.meter, start.year)


def open_job(path: str | os.PathLike[str] | OpenJob, *, accept_changed: bool = False) -> OpenJob:
    """Open a job.

    Parameters
    ----------
    path : str, path or OpenJob
        The job file; an open job is given back as it is.
    accept_changed : bool
        Go on although the harness file is not what it was.

    Returns
    -------
    OpenJob
        Nothing is read yet.
    """
    return path if isinstance(path, OpenJob) else OpenJob(path, accept_changed=accept_changed)
