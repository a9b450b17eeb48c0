"""What is added to a job: its beginning, readings, strikes, what cannot or shall not be done."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from os import PathLike, fspath
from typing import Literal

from ohmtrail.circuit import Electrics, Setting, function_level
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Evidence, Measured, Seen
from ohmtrail.errors import CircuitError, InputError, JobError, OhmtrailError, ReadingError, UnknownName
from ohmtrail.grammar import Context, read_complaint, read_line
from ohmtrail.harness import Harness, load_harness
from ohmtrail.job import (
    JobState,
    add_events,
    add_note,
    add_place,
    add_skip,
    add_strike,
    after,
    answered,
    begin,
    check_fits,
    step_for,
)
from ohmtrail.reports.results import Recorded, Standing
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.opened import OpenJob, open_job

__all__ = ["reachable", "read", "skip", "start", "strike"]

Job = OpenJob | str | PathLike[str]


def start(
    job: str | PathLike[str],
    *,
    harness: str | PathLike[str],
    complaint: str | Sequence[str],
    now: datetime,
    meter: Meter | None = None,
    year: int | None = None,
) -> Recorded:
    """Begin a job.

    Parameters
    ----------
    job : str or path
        The job file to make; nothing is overwritten.
    harness : str or path
        The harness file.
    complaint : str or sequence of str
        What fails, such as ``spark absent``; several where several functions fail.
    now : datetime
        With its zone.
    meter : Meter, optional
        What readings are taken with; an ordinary handheld where not given.
    year : int, optional
        The year that ages are counted to; the present one where not given.

    Returns
    -------
    Recorded
        The complaint, and how the job stands.

    Raises
    ------
    InputError
        The complaint is no function that fails, or the harness cannot be used.
    JobError
        Something has the job file's name already.
    """
    machine, tool = load_harness(existing(fspath(harness))), meter or Meter()
    said = [complaint] if isinstance(complaint, str) else list(complaint)
    seen = [_complaint(machine, tool, text) for text in said]
    _solvable(machine, seen, fspath(harness))
    begin(
        fspath(job),
        harness_path=fspath(harness),
        machine=machine.harness,
        complaint="; ".join(said),
        seen=seen,
        meter=tool,
        year=year or now.year,
        now=now,
    )
    standing = OpenJob(job).standing()
    return Recorded(standing, "start", standing.job.events)


def _complaint(harness: Harness, meter: Meter, text: str) -> Seen:
    if not harness.functions:
        raise InputError(f"{harness.harness} has no functions yet, so nothing can be complained of: write under 'functions:' what it must do")
    names = ", ".join(harness.functions)
    rule = f"name a function and how it fails, as in '{next(iter(harness.functions))} absent' (or weak, or sometimes); there is {names}"
    seen = read_complaint(text, Context(harness, Setting(), meter))
    if seen.level < 2 or seen.sometimes:
        return seen
    raise InputError(f"{text!r} is no complaint: {rule}")


def _solvable(harness: Harness, seen: Sequence[Seen], path: str) -> None:
    """Refuse a complaint whose circuit has no answer by the file: nothing could be found out about it."""
    electrics = Electrics(harness, count=1)
    for item in seen:
        try:
            function_level(electrics, harness.functions[item.function], item.setting)
        except CircuitError as error:
            raise InputError(f"{error}; by {path} nothing can be found out about {item.function}: put the file right first, 'ohmtrail check {path}' says where") from error


def read(job: Job, what: str | Evidence, *, now: datetime, token: str = "", answers: int = 0) -> Recorded:
    """Add readings, one on each line; all of them or, where one cannot be used, none.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    what : str or Evidence
        Lines as a person types them, see `ohmtrail help reading`; or a piece of evidence as it is.
    now : datetime
        With its zone.
    token : str
        A mark of the request: when it comes again, nothing is added and the first result is given.
    answers : int
        The record of the proposal that a bare value answers; the last one where not given.

    Returns
    -------
    Recorded
        What was added, and how the job stands.

    Raises
    ------
    InputError
        A line that cannot be understood, or a reading that cannot have been taken so.
    BusyError, StorageError
        The file is in use, or cannot be written.
    """
    opened = open_job(job)
    state = opened.state()
    if token and token in state.tokens:
        return _again(opened, "read", token)
    if answers:
        state = replace(state, proposed=state.asked.get(answers))
    if isinstance(what, str):
        found, notes = _lines(state, [line.strip() for line in what.splitlines() if line.strip()])
    else:
        check_fits(state.harness, what)
        found, notes = [(what, "")], []
    state = opened.accepted(state, now)
    add_events(state, found, now, token=token)
    for later, note in enumerate(notes):
        mark = f"{token}.note-{later}" if token and (found or later) else token
        add_note(replace(state, records=state.records + len(found) + later), note, now, token=mark)
    standing = opened.standing()
    events = standing.job.events[len(standing.job.events) - len(found) :] if found else ()
    return Recorded(standing, "read", events, tuple(notes))


def _again(opened: OpenJob, verb: Literal["read", "strike"], token: str) -> Recorded:
    """What a request that comes again had added before."""
    standing = opened.standing()
    events = tuple(item for item in standing.job.events if item.token.partition(".")[0] == token)
    return Recorded(standing, verb, events)


def _lines(state: JobState, lines: Sequence[str]) -> tuple[list[tuple[Evidence, str]], list[str]]:
    """Evidence and notes of some lines, each read with the machine as the one before left it."""
    if not lines:
        raise ReadingError("no reading was given: write it as in 'ohms RED BLACK 3.2' or 'spark absent'")
    context = Context(state.harness, state.bench.setting, state.start.meter, state.proposed)
    bench, found, notes = state.bench, [], []
    for number, text in enumerate(lines, start=1):
        try:
            line = read_line(*_numbered(state, text, context))
        except OhmtrailError as error:
            if len(lines) == 1:
                raise
            raise ReadingError(f"line {number}: {error}; nothing was stored") from None
        if line.evidence is None:
            notes.append(line.note)
            continue
        found.append((_way_round(state, line.evidence), text))
        bench, _ = after(state.harness, bench, step_for(line.evidence, bench.setting))
        context = replace(context, setting=bench.setting, proposed=None)
    return found, notes


_NO_VALUE = re.compile(r"(\d{1,4})\s*:\s*")
_NUMBER = re.compile(r"(\d{1,4})\s*:\s*(\S.*)")


def _numbered(state: JobState, text: str, context: Context) -> tuple[str, Context]:
    """A line that begins with the number of a reading of the survey answers that reading, in its setting."""
    if state.planned and (bare := _NO_VALUE.fullmatch(text)):
        raise ReadingError(f"reading {bare[1]} wants its value after the colon, as in '{bare[1]}: 3.2'")
    found = _NUMBER.fullmatch(text) if state.planned else None
    if found is None:
        return text, context
    planned = next((item for item in state.planned if item.number == int(found[1])), None)
    if planned is None:
        known = f"1 to {state.planned[-1].number}"
        raise ReadingError(f"{found[1]} is no reading of this survey: it has {known}")
    return found[2], replace(context, proposed=planned.step)


def _way_round(state: JobState, what: Evidence) -> Evidence:
    """A current at the battery with the sign that the harness gives its lead: which way round the meter stood says nothing."""
    if not isinstance(what, Measured) or what.quantity != "amps":
        return what
    sound = next((item.sound for item in state.planned if item.step.quantity == "amps" and answered(item.step, what)), None)
    return what if sound is None else replace(what, value=math.copysign(what.value, sound.value))


def strike(job: Job, number: int, *, why: str = "", now: datetime, token: str = "") -> Recorded:
    """Strike a reading or a mend; it stays in the file and no longer counts.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    number : int
        As the readings are numbered.
    why : str
        The reason.
    now : datetime
        With its zone.
    token : str
        A mark of the request: when it comes again, nothing is added.

    Returns
    -------
    Recorded
        What was struck, and how the job stands without it.

    Raises
    ------
    JobError
        There is no such reading, or it is struck already.
    """
    opened = open_job(job)
    state = opened.state()
    if token and token in state.tokens:
        return _again(opened, "strike", token)
    if 1 <= number <= len(state.events):
        state = opened.accepted(state, now)
    add_strike(state, number, why, now, token=token)
    standing = opened.standing()
    return Recorded(standing, "strike", standing.job.events[number - 1 : number])


def skip(job: Job, *, now: datetime, token: str = "", answers: int = 0) -> Standing:
    """Say that the proposed step is not wanted; it will not be proposed again.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    now : datetime
        With its zone.
    token : str
        A mark of the request: when it comes again, nothing is added.
    answers : int
        The record of the proposal that is not wanted; the last one where not given.

    Returns
    -------
    Standing
        The job.

    Raises
    ------
    JobError
        Nothing is proposed.
    """
    opened = open_job(job)
    state = opened.state()
    step = state.asked.get(answers, state.proposed)
    if token and token in state.tokens:
        return opened.standing()
    if step is None:
        raise JobError(f"nothing is proposed that could be skipped: ask for a step first, 'ohmtrail next {state.path}'")
    add_skip(opened.accepted(state, now), step, now, token=token)
    return opened.standing()


def reachable(job: Job, place: str, *, can: bool, now: datetime, token: str = "") -> Standing:
    """Say whether a place can be reached; what cannot is not proposed.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    place : str
        Id of a place.
    can : bool
        Whether it can.
    now : datetime
        With its zone.
    token : str
        A mark of the request: when it comes again, nothing is added.

    Returns
    -------
    Standing
        The job.

    Raises
    ------
    UnknownName
        There is no such place.
    """
    opened = open_job(job)
    state = opened.state()
    if token and token in state.tokens:
        return opened.standing()
    folded = {item.called.casefold(): name for name, item in state.harness.places.items() if item.called}
    folded |= {name.casefold(): name for name in state.harness.places}
    if place.casefold() not in folded:
        raise UnknownName("place", place, state.harness.places)
    add_place(opened.accepted(state, now), folded[place.casefold()], "reachable" if can else "unreachable", now, token=token)
    return opened.standing()
