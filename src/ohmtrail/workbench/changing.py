"""The verbs of a record of changes: list, add, apply, undo."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from os import PathLike, fspath
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ohmtrail import storage
from ohmtrail.changes import (
    Applied,
    Change,
    Day,
    Record,
    RecordFile,
    Step,
    apply_record,
    apply_steps,
    is_record,
    parse_record,
    read_record,
    reverse_steps,
    rewritten,
)
from ohmtrail.changes.steptext import make_step, read_step
from ohmtrail.changes.writing import append_change, new_record
from ohmtrail.errors import InputError, RecordError, UnknownName
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import Plain, Tree, load_text, read_tree
from ohmtrail.reports.changed import Listed, Noted, Undone, Written
from ohmtrail.workbench.files import existing

__all__ = ["Particulars", "apply_changes", "list_changes", "note_change", "now_of", "step_for", "undo_changes"]

Name = str | PathLike[str]


@dataclass(frozen=True)
class Particulars:
    """What is said of a change beside its steps, as typed.

    Attributes
    ----------
    by, why : str
        Who, and the reason.
    date : str
        Empty for today.
    reversible : bool
        Whether it can be undone.
    kept : bool or None
        Whether the original was kept; None where nothing was taken off.
    where : str
        Where it is kept.
    files : sequence of str
        Photos and receipts.
    note : str
        Anything else.
    """

    by: str
    why: str
    date: str = ""
    reversible: bool = True
    kept: bool | None = None
    where: str = ""
    files: Sequence[str] = ()
    note: str = ""


def list_changes(record: Name) -> Listed:
    """Read a record and apply what is in force.

    Parameters
    ----------
    record : str or path
        The record file.

    Returns
    -------
    Listed
        The record and the machine as it is.

    Raises
    ------
    HarnessError, RecordError
        The record or its harness cannot be used, or do not fit.
    """
    source = read_record(existing(fspath(record)))
    return Listed(source, apply_record(_base(source)[1], source))


def now_of(file: Name) -> tuple[Tree, Applied | None]:
    """Read a harness file, or a record with its harness as it is now.

    Parameters
    ----------
    file : str or path
        Either of the two.

    Returns
    -------
    tuple of Tree and Applied or None
        The machine as it is; the record's application where it was a record.

    Raises
    ------
    HarnessError, RecordError
        It cannot be used.
    """
    name = existing(fspath(file))
    tree = read_tree(load_text(Path(name)), file=name)
    if not is_record(tree):
        return tree, None
    source = parse_record(tree)
    applied = apply_record(_base(source)[1], source)
    return applied.tree, applied


def note_change(record: Name, about: Particulars, steps: Sequence[str | Step], *, harness: Name = "", now: datetime) -> Noted:
    """Add a change to a record; the record is begun where it is not there yet.

    Parameters
    ----------
    record : str or path
        The record file.
    about : Particulars
        Who, when, why and the rest.
    steps : sequence of str or Step
        What was done, in order: typed lines, or steps.
    harness : str or path
        The harness file, where the record is begun.
    now : datetime
        For the date where none is given.

    Returns
    -------
    Noted
        The record as it is now.

    Raises
    ------
    RecordError, UnknownName
        The change does not fit the machine; nothing is written.
    """
    name, begun = fspath(record), not os.path.lexists(fspath(record))
    source, base = _begun(name, fspath(harness)) if begun else _found(name, fspath(harness))
    before = apply_record(base, source)
    data = _plain(before.tree)
    made: list[Step] = []
    for item in steps:
        step = item if isinstance(item, Step) else read_step(item, data)
        data = apply_steps(data, [step], year=_day(about, now).year)
        made.append(step)
    if not made:
        raise RecordError("a change needs a step: say what was done, as in --step 'lead stop-2 renewed covering=crosslinked'")
    change = _change(about, now, {"steps": tuple(made)})
    tried = _tried(source, base, change)
    if begun:
        folder = os.path.dirname(os.path.abspath(name))
        over = Path(os.path.relpath(os.path.abspath(fspath(harness)), folder)).as_posix()
        after = new_record(name, name=Path(name).stem, machine=source.record.machine, over=over, change=change)
    else:
        after = append_change(name, change, seen=source.record)
    return Noted(after, tried, len(after.record.changes), begun)


def step_for(record: Name, what: str, name: str, verb: str, values: Mapping[str, Plain], *, harness: Name = "") -> Step:
    """Put a step together for the machine as it is now, as the guided questions do.

    Parameters
    ----------
    record : str or path
        The record file.
    what, name, verb : str
        What it is about, its id, and what was done.
    values : mapping
        What it is from then on.
    harness : str or path
        The harness file, where the record is not there yet.

    Returns
    -------
    Step
        With what is found there before.

    Raises
    ------
    RecordError, UnknownName
        It cannot be.
    """
    begun = not os.path.lexists(fspath(record))
    source, base = _begun(fspath(record), fspath(harness)) if begun else _found(fspath(record), fspath(harness))
    return make_step(what, name, verb, values, _plain(apply_record(base, source).tree))


def apply_changes(record: Name, *, out: Name = "", replace: bool = False, as_of: str = "", now: datetime) -> Written:
    """Write the harness as it is with its changes; the base harness stays as it is.

    Parameters
    ----------
    record : str or path
        The record file.
    out : str or path
        The file to write; nothing is written where it is empty.
    replace : bool
        Whether a file of that name may be replaced.
    as_of : str
        Only the changes up to this date; those in force today where empty.
    now : datetime
        For the first line of the file.

    Returns
    -------
    Written
        The text. Comments of the base file stand where their lines survive.

    Raises
    ------
    RecordError
        The record does not fit, or the file is there already.
    """
    source = read_record(existing(fspath(record)))
    path, base = _base(source)
    applied = apply_record(base, source, numbers=_up_to(source.record, as_of))
    text = rewritten(load_text(Path(path)), _plain(applied.tree))
    if applied.numbers:
        text = f"# {os.path.basename(path)} with {_numbers(applied.numbers)} of {os.path.basename(source.tree.file)}, "\
            f"written {now.date().isoformat()}: change the record, not this file.\n" + text
    if fspath(out):
        _write(fspath(out), text, (path, source.tree.file), replace=replace)
    return Written(applied, text, fspath(out))


def undo_changes(record: Name, about: Particulars, *, to: str = "", numbers: Sequence[int] = (), now: datetime) -> Undone:
    """Undo changes by one more entry; the entries that are undone stay in the file.

    Parameters
    ----------
    record : str or path
        The record file.
    about : Particulars
        Who, when and why.
    to : str
        Back to what was in force at the end of this date.
    numbers : sequence of int
        Or only these entries.
    now : datetime
        For the date where none is given.

    Returns
    -------
    Undone
        What no longer holds, and what to do to the machine.

    Raises
    ------
    RecordError
        There is nothing to undo, or what is left does not fit without it.
    UnknownName
        No such entry.
    """
    name = existing(fspath(record))
    source, base = _found(name, "")
    before = apply_record(base, source)
    undoes = tuple(dict.fromkeys(numbers)) or (source.record.after(_read_day(to)) if to else ())
    known = range(1, len(source.record.changes) + 1)
    if bad := [number for number in undoes if number not in known]:
        raise UnknownName("change", str(bad[0]), map(str, known))
    change = _change(about, now, {"undoes": undoes}) if undoes else None
    after = _tried(source, base, change) if change is not None else before
    if change is None or after.numbers == before.numbers:
        words = f"dated after {to}" if to else "of these numbers"
        raise RecordError(f"{name}: no change {words} is in force; there is nothing to undo")
    written = append_change(name, change, seen=source.record)
    gone = tuple(n for n in before.numbers if n not in after.numbers)
    lasting = tuple(n for n in gone if not source.record.changes[n - 1].reversible)
    again = tuple(n for n in after.numbers if n not in before.numbers)
    return Undone(written, after, len(written.record.changes), gone, again, _way_back(source, base, before.numbers, after.numbers), lasting)


def _way_back(source: RecordFile, base: Tree, before: tuple[int, ...], after: tuple[int, ...]) -> tuple[Step, ...]:
    """Steps from one state to the other: back to where the two part, then on."""
    shared = 0
    while shared < min(len(before), len(after)) and before[shared] == after[shared]:
        shared += 1
    steps = [step for number in before[shared:] for step in source.record.changes[number - 1].steps]
    data = _plain(apply_record(base, source, numbers=before[:shared]).tree)
    on = [step for number in after[shared:] for step in source.record.changes[number - 1].steps]
    return (*reverse_steps(data, steps), *on)


def _plain(tree: Tree) -> dict[str, Plain]:
    return dict(tree.data) if isinstance(tree.data, dict) else {}


def _base(source: RecordFile) -> tuple[str, Tree]:
    """The harness file of a record, named from the record's folder."""
    path = os.path.join(os.path.dirname(source.tree.file), source.record.over)
    if not os.path.lexists(path):
        where = f"{source.tree.file}:{source.tree.where(('over',)).line}"
        raise InputError(f"{where}: the harness file {source.record.over!r} is not beside the record; write its path from there")
    return path, read_tree(load_text(Path(path)), file=path)


def _found(name: str, harness: str) -> tuple[RecordFile, Tree]:
    """A record that is there, with its base."""
    source = read_record(name)
    path, base = _base(source)
    if harness and not os.path.samefile(existing(harness), path):
        raise RecordError(f"{name} is a record over {source.record.over!r}, not over {harness!r}; leave --harness out")
    return source, base


def _begun(name: str, harness: str) -> tuple[RecordFile, Tree]:
    """A record that is not there yet: empty, over a harness file."""
    if not harness:
        raise RecordError(f"there is no record {name!r} yet: begin it with --harness FILE")
    base = read_tree(load_text(Path(existing(harness))), file=harness)
    machine = parse_harness(base).harness
    record = Record(record=Path(name).stem or name, over=harness, machine=machine)
    return RecordFile(record, Tree(name, {}, {})), base


def _tried(source: RecordFile, base: Tree, change: Change) -> Applied:
    """The machine with one more entry, sure that it holds together."""
    record = source.record.model_copy(update={"changes": (*source.record.changes, change)})
    return apply_record(base, RecordFile(record, source.tree))


def _day(about: Particulars, now: datetime) -> Day:
    day = _read_day(about.date or now.date().isoformat())
    if day.first > now.date():
        raise RecordError(f"{about.date!r} is still to come; a record says what was done")
    return day


def _read_day(text: str) -> Day:
    try:
        return Day.of(text)
    except ValueError as error:
        raise RecordError(str(error)) from None


def _change(about: Particulars, now: datetime, more: dict[str, Any]) -> Change:
    for spoken, name in ((about.by, "who did it, as in --by 'A. Keel'"), (about.why, "why, as in --why 'covering rotten'")):
        if not spoken.strip():
            raise RecordError(f"a change says {name}")
    original = None if about.kept is None else {"kept": about.kept, "where": about.where}
    said: dict[str, Any] = {"date": _day(about, now), "by": about.by, "why": about.why, "reversible": about.reversible}
    try:
        return Change.model_validate(said | {"original": original, "files": tuple(about.files), "note": about.note} | more)
    except ValidationError as error:
        first = error.errors()[0]
        raise RecordError(f"{first['loc'][0]}: {str(first['msg']).removeprefix('Value error, ')}") from None


def _up_to(record: Record, as_of: str) -> tuple[int, ...]:
    """Numbers in force at the end of a date; today's where none is given."""
    if not as_of:
        return record.in_force()
    later = set(record.after(_read_day(as_of)))
    kept = tuple(change for number, change in enumerate(record.changes, 1) if number not in later)
    return record.model_copy(update={"changes": kept}).in_force()


def _numbers(numbers: tuple[int, ...]) -> str:
    listed = ", ".join(map(str, numbers[:12])) + (", ..." if len(numbers) > 12 else "")
    return f"change {listed}" if len(numbers) == 1 else f"changes {listed}"


def _write(out: str, text: str, sources: tuple[str, ...], *, replace: bool) -> None:
    """Write the harness; never over what it was made from."""
    if os.path.exists(out) and any(os.path.samefile(out, item) for item in sources):
        raise RecordError(f"{out!r} is what the changes are applied to; choose another name, the base stays as it is")
    if replace:
        storage.write_whole(out, text)
        return
    try:
        storage.write_new(out, text)
    except FileExistsError:
        raise RecordError(f"{out!r} is there already; choose another name, or add --replace") from None
