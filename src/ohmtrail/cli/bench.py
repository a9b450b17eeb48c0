"""The whole job as one conversation."""

from __future__ import annotations

import contextlib
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ohmtrail.cli.options import Accept, Json, this_moment
from ohmtrail.cli.page import give_document, new_paper, put_out
from ohmtrail.errors import BusyError, InputError, JobError, OhmtrailError

if TYPE_CHECKING:
    from ohmtrail.reports.paper import Paper
    from ohmtrail.reports.results import Turn
    from ohmtrail.workbench import OpenJob

__all__ = ["attach"]


class _Left(Exception):
    """Whoever talked has closed the line."""


@dataclass
class _Talk:
    """A conversation: what is written goes out at once and is never written over."""

    aloud: bool
    quiet: bool
    heard: set[str] = field(default_factory=set)
    answered: threading.Event = field(default_factory=threading.Event)

    def say(self, write: Callable[[Paper], None]) -> None:
        """Write something for people; to standard error where standard output is for a program."""
        paper = new_paper()
        paper.aloud = self.aloud
        write(paper)
        self._out(str(paper))

    def ask(self, prompt: str) -> str:
        """Wait for one line."""
        self._out(prompt)
        line = sys.stdin.readline()
        self.answered.set()
        if not line:
            raise _Left
        if not sys.stdin.isatty():
            self._out(line if line.endswith("\n") else f"{line}\n")
        return line.strip()

    def _out(self, text: str) -> None:
        if self.quiet:
            sys.stderr.write(text)
            sys.stderr.flush()
        else:
            put_out(text)


def bench(
    job: Annotated[str, typer.Argument(metavar="JOB", help="The job file: gone on with, or begun where it is not there.")],
    harness: Annotated[str, typer.Option(help="The harness file of a job that is begun; else it is asked for.")] = "",
    complaint: Annotated[
        list[str] | None, typer.Option(help="What fails, as in 'spark absent'; else it is asked for.")
    ] = None,
    aloud: Annotated[bool, typer.Option("--aloud", help="For a screen reader: no columns and no bars.")] = False,
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Go through a whole job, one step after another.

    What to do, one short answer typed, the new shares, and on. Everything is kept at once: leave with 'quit',
    Ctrl-C or by closing the window, and go on later. With --json the conversation goes to standard error.
    """
    from ohmtrail import workbench

    talk = _Talk(aloud, as_json)
    try:
        if not Path(job).exists():
            _begin(talk, job, harness, complaint or [])
        elif harness or complaint:
            raise InputError(f"{job!r} is there already: leave out --harness and --complaint to go on with it")
        opened = workbench.open_job(job, accept_changed=accept_changed)
        _talk(talk, opened)
    except _Left:
        talk.say(lambda paper: paper.blank())
    except KeyboardInterrupt:
        talk.say(lambda paper: paper.line(f"Stopped. What was answered is kept in {job}." if Path(job).exists() else "Stopped."))
        raise
    if as_json and Path(job).exists():
        from ohmtrail.reports.as_json import document

        give_document(document("bench", workbench.suspects(workbench.open_job(job, accept_changed=accept_changed)), exit_code=0))


def _begin(talk: _Talk, job: str, harness: str, complaint: list[str]) -> None:
    """Ask what is needed, and begin the job file."""
    from ohmtrail import workbench
    from ohmtrail.reports.bench import write_functions

    file = harness or _machine(talk, job)
    machine = workbench.functions(file)
    if not complaint:
        talk.say(lambda paper: write_functions(paper, machine))
    said = complaint or None
    while said is None:
        try:
            said = list(workbench.complaints(machine, talk.ask(" what fails > ")))
            workbench.start(job, harness=file, complaint=said, now=this_moment())
            return
        except InputError as error:
            said = None
            _sorry(talk, error)
    workbench.start(job, harness=file, complaint=said, now=this_moment())


def _machine(talk: _Talk, job: str) -> str:
    """Ask which harness file."""
    from ohmtrail import workbench
    from ohmtrail.reports.bench import write_harnesses

    found = workbench.harnesses(Path(job).parent)
    talk.say(lambda paper: write_harnesses(paper, found))
    while True:
        said = talk.ask(" number or file > ")
        if said.isascii() and said.isdigit() and 1 <= int(said[:6]) <= len(found):
            return found[int(said[:6]) - 1].path
        if said and Path(said).is_file():
            return said
        _sorry(talk, InputError(f"{said!r} is neither a number from 1 to {len(found)} nor a harness file"))


def _talk(talk: _Talk, job: OpenJob) -> None:
    """Ask, take the answer, and again, until somebody leaves."""
    from ohmtrail import workbench
    from ohmtrail.reports.bench import write_hello, write_parting

    talk.say(lambda paper: write_hello(paper, workbench.suspects(job)))
    prompt, record = _ask(talk, job)
    while (turn := _turn(talk, job, talk.ask(prompt), record)) is None or turn.verb != "quit":
        if turn is not None and (turn.changes or turn.verb == "again"):
            prompt, record = _ask(talk, job, again=turn.verb == "again")
    talk.say(lambda paper: write_parting(paper, workbench.suspects(job)))


def _turn(talk: _Talk, job: OpenJob, said: str, record: int) -> Turn | None:
    """Take one answer to what was asked here, whatever went on elsewhere; or say why it cannot be taken."""
    from ohmtrail import workbench
    from ohmtrail.reports.bench import write_turn

    try:
        made = workbench.answer(job, said, now=this_moment(), answers=record)
    except (InputError, BusyError) as error:
        _sorry(talk, error)
        return None
    talk.say(lambda paper: write_turn(paper, made))
    return made


def _ask(talk: _Talk, job: OpenJob, *, again: bool = False) -> tuple[str, int]:
    """Write the next step, and work ahead while somebody measures; give the prompt and the record of what is asked."""
    from ohmtrail import workbench
    from ohmtrail.reports.bench import prompt_text, write_asking

    with job.lock:
        try:
            shown = workbench.next_step(job, now=this_moment())
        except JobError as error:
            _sorry(talk, error)
            return prompt_text(), 0
    heard = frozenset() if again else frozenset(talk.heard)
    talk.say(lambda paper: write_asking(paper, shown, heard=heard))
    talk.heard |= {item.id for item in shown.cautions}
    if sys.stdin.isatty():  # answers from a file leave no time for it
        talk.answered.clear()
        threading.Thread(target=_work_ahead, args=(job, talk.answered), daemon=True).start()
    return prompt_text(shown), shown.record


def _work_ahead(job: OpenJob, answered: threading.Event) -> None:
    """Work ahead until the answer comes; what is wrong with the job is said then."""
    from ohmtrail import workbench

    with contextlib.suppress(OhmtrailError):
        workbench.work_ahead(job, lambda: not answered.is_set())


def _sorry(talk: _Talk, error: OhmtrailError) -> None:
    talk.say(lambda paper: paper.line(f"{error}", indent=1, hang=3))


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(bench)
