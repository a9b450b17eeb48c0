"""The verbs of a record of changes: list, add, apply."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from datetime import datetime
from os import PathLike, fspath
from pathlib import Path

from ohmtrail import storage
from ohmtrail.changes import (
    Applied,
    Record,
    Step,
    apply_record,
    apply_steps,
    is_record,
    parse_record,
    read_record,
    rewritten,
)
from ohmtrail.changes.steptext import make_step, read_step
from ohmtrail.changes.writing import append_change, new_record
from ohmtrail.errors import RecordError
from ohmtrail.harness.text import Plain, Tree, load_text, read_tree
from ohmtrail.reports.changed import Listed, Noted, Written
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.particulars import Particulars, day_of, made_change, read_day
from ohmtrail.workbench.record_files import base_of, begun_record, found_record, plain_data, try_change

__all__ = ["apply_changes", "list_changes", "note_change", "now_of", "step_for"]

Name = str | PathLike[str]


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
    return Listed(source, apply_record(base_of(source)[1], source))


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
    applied = apply_record(base_of(source)[1], source)
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
    source, base = begun_record(name, fspath(harness)) if begun else found_record(name, fspath(harness))
    before = apply_record(base, source)
    data = plain_data(before.tree)
    made: list[Step] = []
    for item in steps:
        step = item if isinstance(item, Step) else read_step(item, data)
        data = apply_steps(data, [step], year=day_of(about, now).year)
        made.append(step)
    if not made:
        raise RecordError("a change needs a step: say what was done, as in --step 'lead stop-2 renewed covering=crosslinked'")
    change = made_change(about, now, {"steps": tuple(made)})
    tried = try_change(source, base, change)
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
    source, base = begun_record(fspath(record), fspath(harness)) if begun else found_record(fspath(record), fspath(harness))
    return make_step(what, name, verb, values, plain_data(apply_record(base, source).tree))


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
    path, base = base_of(source)
    applied = apply_record(base, source, numbers=_up_to(source.record, as_of))
    text = rewritten(load_text(Path(path)), plain_data(applied.tree))
    if applied.numbers:
        text = f"# {os.path.basename(path)} with {_numbers(applied.numbers)} of {os.path.basename(source.tree.file)}, "\
            f"written {now.date().isoformat()}: change the record, not this file.\n" + text
    if fspath(out):
        _write(fspath(out), text, (path, source.tree.file), replace=replace)
    return Written(applied, text, fspath(out))


def _up_to(record: Record, as_of: str) -> tuple[int, ...]:
    """Numbers in force at the end of a date; today's where none is given."""
    if not as_of:
        return record.in_force()
    later = set(record.after(read_day(as_of)))
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
