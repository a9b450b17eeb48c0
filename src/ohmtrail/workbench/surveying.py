"""The survey of a machine that has stood for years."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from os import PathLike, fspath

from ohmtrail.circuit.meter import Meter
from ohmtrail.errors import InputError, JobError, UnknownName
from ohmtrail.harness import Harness, load_harness
from ohmtrail.job import JobState, answered, begin
from ohmtrail.reports.phrases import command_text, result_text
from ohmtrail.reports.results import Standing, Surveyed
from ohmtrail.reports.survey_form import survey_form
from ohmtrail.survey import Survey, Surveyor, advice_of, coverage_of, everything_minutes
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.machine import is_job
from ohmtrail.workbench.opened import open_job
from ohmtrail.workbench.printing import save_paper

__all__ = ["save_survey", "survey"]


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
        A harness file; or a job file that began with a survey, which is then shown with its results.
    year : int
        The year that ages are counted to; a job has its own.
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
        The plan, stage by stage, its coverage, and what to renew.

    Raises
    ------
    UnknownName
        There is no such place.
    InputError
        Nothing on this machine can be measured or watched, or the minutes do not reach for a safe start.
    JobError
        Something has the job file's name already, or the job has no survey.
    """
    name = existing(fspath(file))
    if job and os.path.lexists(job):
        raise JobError(f"{fspath(job)!r} is there already; choose another name")
    if is_job(name):
        if job or minutes is not None or unreachable:
            raise InputError(f"{name!r} is a job with its survey: a new one is planned from the harness file")
        return _kept(open_job(name).standing())
    harness = load_harness(name)
    surveyor = Surveyor(harness, meter=meter, year=year, barred=_places(harness, unreachable))
    plan = _planned(surveyor, name, minutes)
    advice = advice_of(harness, surveyor.effects.faults, year=year)
    found = Surveyed(plan, coverage_of(surveyor, plan), advice)
    if not job:
        return found
    if now is None:
        raise InputError("a job file needs the time at which it begins")
    tool = replace(surveyor.meter, clamp=True)
    begin(
        fspath(job), harness_path=name, machine=harness.harness, complaint="", seen=(), meter=tool, year=year, now=now, survey=plan
    )
    return replace(found, notes=(f"In {fspath(job)}. Next: {command_text('next', fspath(job))}",))


def _places(harness: Harness, unreachable: Sequence[str]) -> tuple[str, ...]:
    for place in unreachable:
        if place not in harness.places:
            raise UnknownName("place", place, harness.places)
    return tuple(unreachable)


def _planned(surveyor: Surveyor, name: str, minutes: float | None) -> Survey:
    plan = surveyor.plan(within=minutes)
    if not plan.planned:
        raise InputError(f"{name!r} has nothing within reach that a meter could be put to or that could be watched")
    if minutes is not None and plan.minutes > minutes:
        raise InputError(
            f"{minutes:g} min do not reach for what makes the machine safe to connect, {plan.minutes:.1f} min: allow as many, "
            "or put the machine away with its battery off"
        )
    return plan


def _kept(standing: Standing) -> Surveyed:
    """The survey of a job, with what was read."""
    state = standing.job
    if not state.planned:
        raise JobError(f"{state.path!r} did not begin with a survey: plan one from the harness file, {state.harness_path!r}")
    surveyor = Surveyor(state.harness, meter=state.start.meter, year=state.start.year, barred=sorted(state.bench.barred))
    minutes = sum(item.minutes for item in state.planned)
    plan = Survey(state.harness, state.start.year, None, state.planned, minutes, everything_minutes(state.harness))
    inside = replace(plan, planned=tuple(item for item, told in zip(state.planned, state.progress, strict=True) if told == "in"))
    checked = coverage_of(surveyor, inside) if inside.planned else None
    noticed = checked.by_owner if checked is not None else {}
    advice = advice_of(
        state.harness, surveyor.effects.faults, year=state.start.year, noticed=noticed, suspected=_suspected(standing)
    )
    return Surveyed(plan, coverage_of(surveyor, plan), advice, _taken(state), checked)


def _suspected(standing: Standing) -> dict[str, float]:
    """Lead or part -> chance that it is what is wrong."""
    found: dict[str, float] = {}
    posterior = standing.posterior
    for answer in posterior.answers if posterior is not None else ():
        for fault in posterior.table.rows[answer.rows[0]].faults if posterior is not None else ():
            owner = fault.element.partition(".")[0]
            found[owner] = found.get(owner, 0.0) + answer.share
    return found


def _taken(state: JobState) -> Mapping[int, str]:
    """Number of a reading -> its last result in words."""
    found: dict[int, str] = {}
    for item in state.planned:
        for what in state.history:
            if answered(item.step, what):
                found[item.number] = result_text(what)
    return found


def save_survey(found: Surveyed, out: str | PathLike[str], *, job: str = "", paper: str = "a4") -> None:
    """Write the paper form of a survey to a file of the kind that its name ends in.

    Parameters
    ----------
    found : Surveyed
        The survey.
    out : str or path
        The file: ``.html`` or ``.pdf``.
    job : str
        The job file that results are entered into; "" for none.
    paper : str
        ``a4`` or ``letter``.

    Raises
    ------
    InputError
        The name ends in nothing known.
    UnknownName
        No such paper.
    MissingTool
        PDF, and no browser is at hand.
    StorageError
        It cannot be written; nothing is left behind.
    """
    save_paper(out, lambda: survey_form(found, job=job, paper=paper))
