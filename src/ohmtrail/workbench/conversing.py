"""A job as a conversation: one line typed, what came of it."""

from __future__ import annotations

from datetime import datetime
from os import PathLike

from ohmtrail.diagnosis import places_of
from ohmtrail.errors import BusyError, InputError
from ohmtrail.grammar import Said, read_answer
from ohmtrail.job import JobState
from ohmtrail.reports.results import Turn
from ohmtrail.workbench.asking import why
from ohmtrail.workbench.mending import mend
from ohmtrail.workbench.opened import OpenJob, open_job
from ohmtrail.workbench.recording import reachable, read, skip, strike
from ohmtrail.workbench.undoing import undo

__all__ = ["answer"]

Job = OpenJob | str | PathLike[str]

#: how often a line is tried again when another program adds to the job in between
_TRIES = 5


def answer(job: Job, line: str, *, now: datetime, token: str = "", answers: int = 0) -> Turn:
    """Take one line of a conversation: a reading, or what else somebody wants.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    line : str
        As typed: ``12.4``, ``ol``, ``no spark``, ``skip``, ``can't reach``, ``why``, ``undo``, ``done`` ...
    now : datetime
        With its zone.
    token : str
        A mark of the line: when it comes again, nothing is added.
    answers : int
        The record of the proposal that the line answers; the last one where not given.

    Returns
    -------
    Turn
        What came of it.

    Raises
    ------
    InputError
        A line that cannot be understood or does not fit; nothing was stored.
    BusyError, StorageError
        The job file is in use, or cannot be written.
    """
    opened, said = open_job(job), read_answer(line)
    with opened.lock:
        for left in reversed(range(_TRIES)):
            try:
                return _turn(opened, said, now, token, answers)
            except BusyError:
                if not left:
                    raise
    raise AssertionError("tries are counted")


def _turn(job: OpenJob, said: Said, now: datetime, token: str, answers: int) -> Turn:
    """One line, once."""
    verb, rest = said.verb, said.rest
    if verb in ("help", "quit", "again"):
        return Turn(verb)
    if verb in ("readings", "suspects"):
        return Turn(verb, job.standing())
    if verb == "why":
        found = why(job, about=rest)
        return Turn(verb, found.standing, why=found)
    if verb == "skip":
        return Turn(verb, skip(job, now=now, token=token, answers=answers))
    if verb in ("bar", "unbar"):
        place = rest or _place_meant(job.state(), answers, can=verb == "unbar")
        return Turn(verb, reachable(job, place, can=verb == "unbar", now=now, token=token), place=place)
    if verb == "undo":
        undone = undo(job, now=now, token=token)
        return Turn(verb, undone.standing, undone=undone)
    return _recorded(job, said, now, token, answers)


def _recorded(job: OpenJob, said: Said, now: datetime, token: str, answers: int) -> Turn:
    """A line that adds an event or strikes one."""
    if said.verb == "strike":
        number, _, reason = said.rest.partition(" ")
        made = strike(job, int(number), why=reason.removeprefix("because ").strip(), now=now, token=token)
    elif said.verb == "mend":
        made = mend(job, said.rest, now=now, token=token)
    elif said.verb == "done":
        if _done_is_leaving(job):
            return Turn("quit")
        made = mend(job, now=now, token=token)
    else:
        made = read(job, said.rest, now=now, token=token, answers=answers)
    return Turn(made.verb, made.standing, made)


def _done_is_leaving(job: OpenJob) -> bool:
    """Whether all is done, so that nothing is left which could be; a reading is never done by saying so."""
    step = job.state().proposed
    if step is None:
        return True
    if step.kind != "mend":
        raise InputError("'done' says that a mend is made: say what this showed instead, or 'quit' to leave")
    return False


def _place_meant(state: JobState, answers: int, *, can: bool) -> str:
    """The one place that must have been meant, where none was named."""
    if can:
        places, none = sorted(state.bench.barred), "every place can be reached as far as this job says"
    else:
        step = state.asked.get(answers, state.proposed)
        needed = places_of(state.harness, step, state.bench) if step else frozenset()
        places = sorted(needed - state.bench.opened) or sorted(needed)
        none = "nothing is proposed that must be reached: name the place, as in \"can't reach PLACE\""
    if not places:
        raise InputError(none)
    if len(places) > 1:
        verb = "can" if can else "can't"
        raise InputError(f"which place do you mean? Write {' or '.join(repr(f'{verb} reach {name}') for name in places)}")
    return places[0]
