"""The survey of a machine that has stood for years."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from os import PathLike, fspath

from ohmtrail.circuit.meter import Meter
from ohmtrail.errors import InputError, JobError, UnknownName
from ohmtrail.harness import load_harness
from ohmtrail.job import begin
from ohmtrail.reports.phrases import command_text
from ohmtrail.reports.results import Surveyed
from ohmtrail.survey import Surveyor, coverage_of
from ohmtrail.workbench.files import existing

__all__ = ["survey"]


def survey(
    file: str | PathLike[str],
    *,
    year: int,
    minutes: float | None = None,
    unreachable: Sequence[str] = (),
    meter: Meter | None = None,
    job: str | PathLike[str] = "",
    now: datetime | None = None,
) -> Surveyed:
    """Plan the survey of a machine, and count what it notices.

    Parameters
    ----------
    file : str or path
        A harness file.
    year : int
        The year that ages are counted to.
    minutes : float, optional
        Minutes that may be spent.
    unreachable : sequence of str
        Places that cannot be got at.
    meter : Meter, optional
        What readings are taken with; an ordinary handheld where not given.
    job : str or path, optional
        A job file to make, into which the survey's readings are entered; nothing is overwritten.
    now : datetime, optional
        With its zone; needed for a job file.

    Returns
    -------
    Surveyed
        The plan, stage by stage, and its coverage.

    Raises
    ------
    UnknownName
        There is no such place.
    InputError
        Nothing on this machine can be measured or watched, or the minutes do not reach for a safe start.
    JobError
        Something has the job file's name already.
    """
    name = existing(fspath(file))
    if job and os.path.lexists(job):
        raise JobError(f"{fspath(job)!r} is there already; choose another name")
    harness = load_harness(name)
    for place in unreachable:
        if place not in harness.places:
            raise UnknownName("place", place, harness.places)
    surveyor = Surveyor(harness, meter=meter, year=year, barred=unreachable)
    plan = surveyor.plan(within=minutes)
    if not plan.planned:
        raise InputError(f"{name!r} has nothing within reach that a meter could be put to or that could be watched")
    if minutes is not None and plan.minutes > minutes:
        raise InputError(
            f"{minutes:g} min do not reach for what makes the machine safe to connect, {plan.minutes:.1f} min: allow as many, "
            "or put the machine away with its battery off"
        )
    found = Surveyed(plan, coverage_of(surveyor, plan))
    if not job:
        return found
    if now is None:
        raise InputError("a job file needs the time at which it begins")
    # currents at the battery are read with the meter in series, which is as good as a clamp there
    tool = replace(surveyor.meter, clamp=True)
    begin(
        fspath(job), harness_path=name, machine=harness.harness, complaint="", seen=(), meter=tool, year=year, now=now, survey=plan
    )
    return replace(found, notes=(f"In {fspath(job)}. Next: {command_text('next', fspath(job))}",))
