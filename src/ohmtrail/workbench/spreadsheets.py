"""Lead lists in and out of spreadsheets."""

from __future__ import annotations

import os
import re
from os import PathLike, fspath
from pathlib import Path

from ohmtrail import storage
from ohmtrail.changes.leadlist import LeadList, read_lead_list, rows_of, write_lead_list
from ohmtrail.changes.skeleton import skeleton
from ohmtrail.errors import HarnessError, InputError, RecordError
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import CONTROL, load_text, read_tree
from ohmtrail.reports.changed import Exported, Imported
from ohmtrail.workbench.changing import now_of
from ohmtrail.workbench.files import existing

__all__ = ["export_leads", "import_leads"]

#: halves of characters, as a name that is no UTF-8 has them
_HALF = re.compile("[\ud800-\udfff]")


def import_leads(file: str | PathLike[str], *, out: str | PathLike[str] = "", name: str = "") -> Imported:
    """Make a harness to go on from out of a lead list.

    Parameters
    ----------
    file : str or path
        CSV: a line of headings, then a lead a line.
    out : str or path
        The harness file to make; nothing is overwritten, and nothing written where it is empty.
    name : str
        Of the machine; the list's own name where it is empty.

    Returns
    -------
    Imported
        The harness, its text, and what was guessed.

    Raises
    ------
    RecordError
        The list cannot be read; the line is named.
    InputError
        The file to make is there already.
    """
    path = existing(fspath(file))
    made = read_lead_list(load_text(Path(path)), file=path)
    called = name.strip() or Path(path).stem
    if bad := CONTROL.search(called) or _HALF.search(called):
        raise InputError(f"the machine's name {called!r} holds the sign U+{ord(bad.group()):04X}, which cannot be seen; give another with --name")
    text, more = skeleton(made, name=called)
    try:
        harness = parse_harness(read_tree(text, file=fspath(out) or path))
    except HarnessError as error:
        raise _of_the_list(path, made, text, error) from None
    if fspath(out):
        try:
            storage.write_new(out, text)
        except FileExistsError:
            raise InputError(f"{fspath(out)!r} is there already; choose another name") from None
    return Imported(path, harness, text, (*made.guesses, *more), fspath(out))


def _of_the_list(path: str, made: LeadList, text: str, error: HarnessError) -> RecordError:
    """The first mistake of what was made, with the line of the list that it comes from."""
    first = error.mistakes[0]
    names = {row.lead: row.line for row in made.rows}
    above = (line.strip().partition(":")[0].strip("'\"") for line in reversed(text.splitlines()[: first.line]))
    line = next((names[name.removesuffix("-lead")] for name in above if name.removesuffix("-lead") in names), 0)
    where = f"{path}:{line}" if line else path
    return RecordError(f"{where}: {first.sentence}" + (f"; {first.remedy}" if first.remedy else ""))


def export_leads(file: str | PathLike[str], *, out: str | PathLike[str] = "", semicolons: bool = False) -> Exported:
    """Write a machine's lead list as CSV.

    Parameters
    ----------
    file : str or path
        A harness file, or a record, which stands for its harness as it is now.
    out : str or path
        The file to write; nothing is written where it is empty.
    semicolons : bool
        Semicolons and decimal commas, as spreadsheets of many countries want them.

    Returns
    -------
    Exported
        The text and where it went.

    Raises
    ------
    HarnessError, RecordError
        The file cannot be used.
    InputError
        ``out`` is the file that the list is made from.
    StorageError
        It cannot be written.
    """
    tree, applied = now_of(file)
    harness = applied.harness if applied else parse_harness(tree)
    text = write_lead_list(rows_of(harness), semicolons=semicolons)
    if fspath(out):
        if os.path.exists(out) and os.path.samefile(out, fspath(file)):
            raise InputError(f"{fspath(out)!r} is the file the list is made from; choose another name")
        storage.write_whole(out, text)
    return Exported(harness, text, fspath(out))
