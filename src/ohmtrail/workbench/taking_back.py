"""Undo changes of a record; what is undone stays in the file."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from os import PathLike, fspath

from ohmtrail.changes import RecordFile, Step, apply_record, reverse_steps
from ohmtrail.changes.writing import append_change
from ohmtrail.errors import RecordError, UnknownName
from ohmtrail.harness.text import Tree
from ohmtrail.reports.changed import Undone
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.particulars import Particulars, made_change, read_day
from ohmtrail.workbench.record_files import found_record, plain_data, try_change

__all__ = ["undo_changes"]

Name = str | PathLike[str]


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
    source, base = found_record(name, "")
    before = apply_record(base, source)
    undoes = tuple(dict.fromkeys(numbers)) or (source.record.after(read_day(to)) if to else ())
    known = range(1, len(source.record.changes) + 1)
    if bad := [number for number in undoes if number not in known]:
        raise UnknownName("change", str(bad[0]), map(str, known))
    change = made_change(about, now, {"undoes": undoes}) if undoes else None
    after = try_change(source, base, change) if change is not None else before
    if change is None or after.numbers == before.numbers:
        words = f"dated after {to}" if to else "of these numbers"
        raise RecordError(f"{name}: no change {words} is in force; there is nothing to undo")
    written = append_change(name, change, seen=source.record)
    gone = tuple(n for n in before.numbers if n not in after.numbers)
    lasting = tuple(n for n in gone if not source.record.changes[n - 1].reversible)
    again = tuple(n for n in after.numbers if n not in before.numbers)
    return Undone(written, after, len(written.record.changes), gone, again, _way_back(source, base, before.numbers, after.numbers), lasting)


def _way_back(source: RecordFile, base: Tree, before: tuple[int, ...], after: tuple[int, ...]) -> tuple[Step, ...]:
    """Steps from one state to the other, on what the two differ in: back to where they part, then on."""
    differ = set(before) ^ set(after)
    changed = {(step.section, step.id) for number in differ for step in source.record.changes[number - 1].steps}
    shared = 0
    while shared < min(len(before), len(after)) and before[shared] == after[shared]:
        shared += 1
    steps = [step for number in before[shared:] for step in source.record.changes[number - 1].steps]
    data = plain_data(apply_record(base, source, numbers=before[:shared]).tree)
    on = [step for number in after[shared:] for step in source.record.changes[number - 1].steps]
    # what is changed elsewhere stays on the machine
    return tuple(step for step in (*reverse_steps(data, steps), *on) if (step.section, step.id) in changed)
