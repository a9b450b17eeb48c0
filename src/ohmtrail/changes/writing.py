"""A record as text: a new file, and one more entry at the end of an old one; nothing that stands is touched."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from ohmtrail import storage
from ohmtrail.changes.flow import WIDTH, flow, scalar, wrapped
from ohmtrail.changes.reading import RecordFile, parse_record
from ohmtrail.changes.record import Change, Record, Step
from ohmtrail.errors import HarnessError, InputError, RecordError
from ohmtrail.harness.text import CONTROL, Plain, load_text, read_tree

__all__ = ["append_change", "change_data", "new_record", "step_data"]

#: what is refused in a harness file too, and halves of characters
_UNKEPT = re.compile(f"{CONTROL.pattern}|[\ud800-\udfff]")
_HEAD = "# A record of changes: each entry says who, when and why, and what was done. Entries are only added.\n"


def new_record(path: str, *, name: str, machine: str, over: str, change: Change) -> RecordFile:
    """Begin a record with its first change; nothing is overwritten.

    Parameters
    ----------
    path : str
        The file to make.
    name : str
        What the record is called.
    machine : str
        Name of the machine in the harness file.
    over : str
        The harness file, from the record's folder.
    change : Change
        The first entry.

    Returns
    -------
    RecordFile
        As it stands now.

    Raises
    ------
    RecordError
        Something has that name already.
    StorageError
        It cannot be written.
    """
    _refuse_unkept(change)
    head = {"record": name, "version": "1", "machine": machine, "over": over}
    text = _HEAD + "".join(f"{key}: {scalar(value)}\n" for key, value in head.items()) + "\nchanges:\n"
    made = text + _entry(change_data(change), 2)
    source = parse_record(read_tree(made, file=path))
    try:
        storage.write_new(path, made)
    except FileExistsError:
        raise RecordError(f"{path!r} is there already; choose another name") from None
    return source


def append_change(path: str, change: Change, *, seen: Record) -> RecordFile:
    """Add an entry to a record; what stands in the file stays as it stands.

    Parameters
    ----------
    path : str
        The record.
    change : Change
        The entry.
    seen : Record
        The record as the caller has read it; with any other in the file nothing is added.

    Returns
    -------
    RecordFile
        As it stands now.

    Raises
    ------
    RecordError
        The file was changed meanwhile, or ends so that nothing can be added.
    StorageError
        It cannot be written; then it is as it was.
    """
    _refuse_unkept(change)
    try:
        with storage.open_held(path, os.O_RDWR):
            text = load_text(Path(path))
            before = parse_record(read_tree(text, file=path))
            if before.record != seen:
                raise RecordError(f"{path!r} was changed meanwhile; look again, then add")
            _refuse_earlier(before.record, change)
            made, source = _with_entry(path, text, before, change)
            storage.write_whole(path, made)
    except OSError as error:
        raise storage.refusal(path, error) from None
    return source


def _refuse_unkept(change: Change) -> None:
    """Refuse signs that no text file keeps as they were typed."""
    for text in _texts(change_data(change)):
        if found := _UNKEPT.search(text):
            sign = f"U+{ord(found.group()):04X}"
            raise RecordError(f"{text!r} cannot be noted: it holds the sign {sign}, which cannot be seen; leave it out")


def _texts(value: Plain) -> Iterator[str]:
    if isinstance(value, dict):
        yield from value
    for item in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from _texts(item)
    if isinstance(value, str):
        yield value


def _refuse_earlier(record: Record, change: Change) -> None:
    """Entries run on in time."""
    last = record.changes[-1] if record.changes else None
    if last is not None and change.date.last < last.date.first:
        raise RecordError(f"an entry dated {change.date} cannot follow change {len(record.changes)} of {last.date}: give a date from then on")


def _with_entry(path: str, text: str, before: RecordFile, change: Change) -> tuple[str, RecordFile]:
    """The text with one more entry, sure to read back as the old record and the entry."""
    body = text if text.endswith("\n") else f"{text}\n"
    data = before.tree.data
    held = isinstance(data, dict) and data.get("changes")
    indent = _indent(body, before) if held else 2
    opened = "" if isinstance(data, dict) and "changes" in data else "\nchanges:\n"
    made = body + opened + _entry(change_data(change), indent)
    wanted = before.record.model_copy(update={"changes": (*before.record.changes, change)})
    try:
        source = parse_record(read_tree(made, file=path))
    except HarnessError:
        source = before
    if source.record != wanted:
        raise RecordError(f"an entry cannot be added to {path!r}: 'changes:' must come last, one entry after the other, each begun by '- '")
    return made, source


def _indent(body: str, before: RecordFile) -> int:
    """Columns before the dash of the entries that stand there."""
    line = body.splitlines()[before.tree.where(("changes", 0)).line - 1]
    return len(line) - len(line.lstrip()) if line.lstrip().startswith("- ") else 2


def step_data(step: Step) -> dict[str, Plain]:
    """Give a step as it stands in a file.

    Parameters
    ----------
    step : Step
        What was done.

    Returns
    -------
    dict
        Plain values.
    """
    made: dict[str, Plain] = {step.what: step.id, step.verb: "yes" if step.verb == "removed" else step.values}
    return made | ({"was": dict(step.was)} if step.was else {})


def change_data(change: Change) -> dict[str, Plain]:
    """Give an entry as it stands in a file.

    Parameters
    ----------
    change : Change
        The entry.

    Returns
    -------
    dict
        Plain values.
    """
    made: dict[str, Plain] = {"date": str(change.date), "by": change.by, "why": change.why}
    if change.undoes:
        made["undoes"] = [str(number) for number in change.undoes]
    else:
        made["reversible"] = "yes" if change.reversible else "no"
    if change.original is not None:
        kept: dict[str, Plain] = {"kept": "yes" if change.original.kept else "no"}
        made["original"] = kept | ({"where": change.original.where} if change.original.where else {})
    if change.files:
        made["files"] = list(change.files)
    if change.note:
        made["note"] = change.note
    if change.steps:
        made["steps"] = [step_data(step) for step in change.steps]
    return made


def _entry(data: Mapping[str, Plain], indent: int) -> str:
    """An entry as lines: its values one below the other, each step in braces."""
    pad = " " * (indent + 2)
    lines = []
    for key, value in data.items():
        if key != "steps":
            lines.append(f"{pad}{scalar(key)}: {flow(value)}")
            continue
        lines.append(f"{pad}steps:")
        lines.extend(_step_lines(step, indent + 4) for step in (value if isinstance(value, list) else ()))
    lines[0] = " " * indent + "- " + lines[0].lstrip()
    return "".join(f"{line}\n" for line in lines)


def _step_lines(step: Plain, indent: int) -> str:
    if not isinstance(step, dict):
        raise InputError(f"{step!r} is no step")
    one = f"{' ' * indent}- {flow(step)}"
    if len(one) <= WIDTH:
        return one
    first, *more = [f"{scalar(key)}:{_value_lines(value, indent + 4)}" for key, value in step.items()]
    return "\n".join([f"{' ' * indent}- {first}", *(f"{' ' * (indent + 2)}{line}" for line in more)])


def _value_lines(value: Plain, indent: int) -> str:
    if isinstance(value, dict) and indent + len(flow(value)) > WIDTH - 20:
        return "\n" + wrapped(value, indent)
    return f" {flow(value)}"
