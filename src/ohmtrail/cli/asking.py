"""The questions of a change that is added without options."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

import typer

from ohmtrail.errors import OhmtrailError

if TYPE_CHECKING:
    from ohmtrail.changes import Step
    from ohmtrail.harness.text import Plain
    from ohmtrail.workbench import Particulars

__all__ = ["ask_change"]


def ask_change(record: str, harness: str, about: Particulars, *, now: datetime) -> tuple[Particulars, list[Step]]:
    """Ask for everything about a change that was not given.

    Parameters
    ----------
    record, harness : str
        The files.
    about : Particulars
        What was given.
    now : datetime
        For the date that is proposed.

    Returns
    -------
    tuple of Particulars and list of Step
        Ready to be noted.

    Raises
    ------
    OhmtrailError
        The record cannot be used.
    """
    from ohmtrail import workbench

    workbench.step_for(record, "machine", "", "corrected", {"note": ""}, harness=harness)  # is the record usable at all
    asked = replace(
        about,
        by=about.by or _line("By whom"),
        why=about.why or _line("Why"),
        date=about.date or _line("When", default=now.date().isoformat()),
    )
    steps = [_step(record, harness)]
    while typer.confirm("Does another step belong to this change?", default=False):
        steps.append(_step(record, harness))
    if asked.kept is None and any(step.verb not in ("added", "corrected") for step in steps):
        kept = typer.confirm("Was the original kept?", default=True)
        asked = replace(asked, kept=kept, where=_line("Where is it", default="") if kept else "")
    if asked.reversible:
        asked = replace(asked, reversible=typer.confirm("Can it be undone?", default=True))
    return replace(asked, note=asked.note or _line("Anything else", default="")), steps


def _line(question: str, *, default: str | None = None) -> str:
    return str(typer.prompt(question, default=default, show_default=bool(default))).strip()


def _choice(question: str, words: tuple[str, ...]) -> str:
    """One of some words, or its beginning."""
    while True:
        said = _line(f"{question} ({', '.join(words)})").casefold()
        found = [word for word in words if word == said] or [word for word in words if said and word.startswith(said)]
        if len(found) == 1:
            return found[0]
        typer.echo(f"  {said!r} is none of these")


def _step(record: str, harness: str) -> Step:
    """Ask for one step until it can be."""
    from ohmtrail import workbench

    while True:
        what = _choice("What is it about", tuple(workbench.STEPS))
        verb = _choice("What was done", workbench.STEPS[what])
        name = _line("Its id") if what != "machine" else "it"
        try:
            if verb != "added" and what != "machine":
                workbench.step_for(record, what, name, "removed", {}, harness=harness)  # is there such a one
            values = {} if verb == "removed" else _values()
            return workbench.step_for(record, what, name, verb, values, harness=harness)
        except OhmtrailError as error:
            typer.echo(f"  {error}")


def _values() -> dict[str, Plain]:
    """Ask for keys and values until an empty line."""
    from ohmtrail import workbench

    values: dict[str, Plain] = {}
    typer.echo("What it is now, one KEY=VALUE a line; an empty line ends.")
    while line := _line(" ", default=""):
        try:
            values |= workbench.read_values(line)
        except OhmtrailError as error:
            typer.echo(f"  {error}")
    return values
