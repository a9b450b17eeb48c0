"""A job that is open: its file, and the tables that stay warm from one question to the next."""

from __future__ import annotations

import os
import threading
from collections import deque
from collections.abc import Sequence
from datetime import datetime

from ohmtrail.diagnosis import Assessment, Bench, Case, Event, Proposal
from ohmtrail.job import JobState, Start, add_harness, read_job
from ohmtrail.reports.results import Standing

__all__ = ["OpenJob", "open_job"]

#: assessments and choices that are kept: how the job stands, the results worked ahead on, and one more; own choice
_KEPT = 6


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
        self._assessed: deque[tuple[Case, object, Assessment]] = deque(maxlen=_KEPT)
        self._chosen: deque[tuple[Assessment, object, Proposal]] = deque(maxlen=_KEPT)

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
            return Standing(job, case, self.assessed(case, history))

    def assessed(self, case: Case, history: Sequence[Event]) -> Assessment:
        """Say what follows from a history, one that may come or the one that is; the last ones are kept.

        Parameters
        ----------
        case : Case
            The machine's.
        history : sequence of Event
            Evidence and mends in the order they happened.

        Returns
        -------
        Assessment
            As `ohmtrail.diagnosis.Case.assess` gives it.
        """
        with self.lock:
            kept = next((found for by, events, found in self._assessed if by is case and events == history), None)
            if kept is None:
                kept = case.assess(history)
                self._assessed.append((case, history, kept))
            return kept

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
        return self.chosen(standing.case, standing.assessment, standing.job.bench)

    def chosen(self, case: Case, assessment: Assessment, bench: Bench) -> Proposal:
        """Choose what to do next after an assessment; the last choices are kept.

        Parameters
        ----------
        case : Case
            The machine's.
        assessment : Assessment
            One that `assessed` gave.
        bench : Bench
            Where the machine stands then.

        Returns
        -------
        Proposal
            As `ohmtrail.diagnosis.Case.next_step` gives it.
        """
        with self.lock:
            kept = next((found for by, at, found in self._chosen if by is assessment and at == bench), None)
            if kept is None:
                kept = case.next_step(assessment, bench)
                self._chosen.append((assessment, bench, kept))
            return kept

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
