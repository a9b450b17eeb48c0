"""A record of changes in words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from ohmtrail.changes import Change, Record, Step
from ohmtrail.reports.changed import Imported, Listed, Noted, Undone, Written
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import command_text

__all__ = ["original_text", "plain_text", "step_words", "write_imported", "write_listed", "write_noted", "write_undone", "write_written"]

#: a unit as it is typed, behind its number
_SQUARE = re.compile(r"(?<=\d )mm2\b|(?<=\d)mm2\b")
#: keys that say little in a line
_LONG = ("called", "note", "how")


def plain_text(value: Any) -> str:
    """Say a value of a harness file on one line.

    Parameters
    ----------
    value : object
        Text, list or mapping.

    Returns
    -------
    str
        Such as ``0.75 mm²``; ``not said`` where there is none.
    """
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {plain_text(item)}" for key, item in value.items())
    if isinstance(value, list | tuple):
        return "[" + ", ".join(plain_text(item) for item in value) + "]"
    return _SQUARE.sub("mm²", str(value)) if value not in ("", None) else "not said"


def step_words(step: Step) -> str:
    """Say a step in one line.

    Parameters
    ----------
    step : Step
        What was done.

    Returns
    -------
    str
        Such as ``lead stop-2 renewed: covering rubber → crosslinked``.
    """
    head = f"{step.what} {step.id} {step.verb}" if step.what != "machine" else f"machine {step.verb}"
    if step.verb in ("added", "removed", "exchanged"):
        values = step.was if step.verb == "removed" else step.values
        short = {key: value for key, value in values.items() if key not in _LONG}
        return f"{head}: {plain_text(short)}"
    told = [
        f"{key} {plain_text(step.was[key])} → {plain_text(value)}" if key in step.was else f"{key} {plain_text(value)}"
        for key, value in step.values.items()
    ]
    return f"{head}: {', '.join(told)}"


def original_text(change: Change) -> str:
    """Say whether a change can be undone, and what became of the original.

    Parameters
    ----------
    change : Change
        An entry.

    Returns
    -------
    str
        Such as ``can be undone; original kept: tin 4``.
    """
    undo = "can be undone" if change.reversible else "cannot be undone"
    if change.original is None:
        return undo
    kept = "original kept" if change.original.kept else "original not kept"
    return f"{undo}; {kept}" + (f": {change.original.where}" if change.original.where else "")


def write_listed(paper: Paper, listed: Listed) -> None:
    """Write all entries of a record, and which are in force.

    Parameters
    ----------
    paper : Paper
        Where to.
    listed : Listed
        The record.
    """
    record, force = listed.source.record, set(listed.applied.numbers)
    kind = "variant" if record.variant else "changes"
    paper.edges(f" {record.record} · {kind} over {record.over}", f"{len(force)} of {record.made} in force")
    if record.note:
        paper.line(record.note, indent=1)
    for number, change in enumerate(record.changes, 1):
        paper.blank()
        _entry(paper, record, number, change, in_force=number in force)
    harness = listed.applied.harness
    paper.blank()
    held = f"{len(harness.leads)} leads, {len(harness.parts)} parts, {len(harness.functions)} functions"
    paper.line(f"As it is now: {harness.harness}, {held}.", indent=1)


def _entry(paper: Paper, record: Record, number: int, change: Change, *, in_force: bool) -> None:
    state = "" if in_force or change.undoes else "  (undone)"
    paper.pair(f"{number}", f"{change.date}  {change.by}: {change.why}{state}", indent=1, column=5)
    for step in change.steps:
        paper.line(step_words(step), indent=5, hang=7)
    for undone in change.undoes:
        paper.line(f"undoes {undone}: {record.changes[undone - 1].why}", indent=5, hang=7)
    if change.steps:
        paper.line(original_text(change), indent=5, hang=7)
    if change.files:
        paper.line(f"files: {', '.join(change.files)}", indent=5, hang=7)
    if change.note:
        paper.line(f"note: {change.note}", indent=5, hang=7)


def write_noted(paper: Paper, noted: Noted) -> None:
    """Write the entry that was added.

    Parameters
    ----------
    paper : Paper
        Where to.
    noted : Noted
        What was added.
    """
    record, path = noted.source.record, noted.source.tree.file
    if noted.begun:
        paper.line(f"Begun {path} over {record.over}.")
    _entry(paper, record, noted.number, record.changes[noted.number - 1], in_force=True)
    paper.blank()
    paper.line(f"In {path}. What it does to the circuits: {command_text('compare', path)}", hang=2)


def write_written(paper: Paper, written: Written) -> None:
    """Say what was written where.

    Parameters
    ----------
    paper : Paper
        Where to.
    written : Written
        The harness as it is now.
    """
    harness, numbers = written.applied.harness, written.applied.numbers
    held = f"{len(harness.leads)} leads, {len(harness.parts)} parts"
    paper.line(f"Written to {written.out}: {harness.harness}, {held}, with {len(numbers)} of {written.applied.source.record.made} changes.")


def write_undone(paper: Paper, undone: Undone) -> None:
    """Write what no longer holds, and what is to be done to the machine.

    Parameters
    ----------
    paper : Paper
        Where to.
    undone : Undone
        The undoing.
    """
    record = undone.source.record
    for number in undone.undone:
        change = record.changes[number - 1]
        paper.line(f"No longer in force: {number}, {change.date}: {change.why}", hang=4)
        if change.original is not None:
            paper.line(original_text(change), indent=4)
    for number in undone.again:
        paper.line(f"In force again: {number}, {record.changes[number - 1].date}: {record.changes[number - 1].why}", hang=4)
    for number in undone.lasting:
        paper.line(f"Careful: the record says that change {number} cannot be undone on the machine.", hang=4)
    paper.blank()
    paper.line("To do on the machine, in this order:")
    for count, step in enumerate(undone.steps, 1):
        paper.pair(f"{count}", step_words(step), indent=1, column=5)
    paper.blank()
    paper.line(f"Entry {undone.number} in {undone.source.tree.file}; the entries that it undoes stay in the file.", hang=2)


def write_imported(paper: Paper, made: Imported) -> None:
    """Write what was guessed in making a harness of a lead list.

    Parameters
    ----------
    paper : Paper
        Where to.
    made : Imported
        The harness.
    """
    harness = made.harness
    paper.line(f"{made.out or harness.harness}: {len(harness.leads)} leads, {len(harness.parts)} parts from {made.file}.")
    paper.line("Guessed, to be looked at:" if made.guesses else "Nothing was guessed.")
    for guess in made.guesses:
        paper.line(f"- {guess}", indent=1, hang=3)
    if made.out:
        paper.line(f"Next: say what the parts are in {made.out}, then {command_text('check', made.out)}", hang=2)
