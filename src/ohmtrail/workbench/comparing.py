"""Comparing two machines: two harness files, or one with and without its record."""

from __future__ import annotations

from os import PathLike, fspath

from ohmtrail.changes import Comparison, Machine, compare_machines
from ohmtrail.errors import InputError
from ohmtrail.harness import parse_harness
from ohmtrail.reports.change_report import change_report_html, cut_list_csv
from ohmtrail.reports.changed import Reported
from ohmtrail.workbench.changing import list_changes, now_of
from ohmtrail.workbench.printing import save_paper

__all__ = ["change_report", "compare", "save_change_report"]


def compare(first: str | PathLike[str], second: str | PathLike[str] = "") -> Comparison:
    """Compare two machines, by id and by electricity.

    Parameters
    ----------
    first, second : str or path
        Harness files, or records, which stand for their harness with the changes in force. A record alone is
        compared with its own base.

    Returns
    -------
    Comparison
        What differs, worked out as it is asked for.

    Raises
    ------
    InputError
        A harness file alone has nothing to be compared with.
    HarnessError, RecordError
        One of them cannot be used.
    """
    tree, applied = now_of(first)
    one = Machine(applied.harness if applied else parse_harness(tree), tree.data, fspath(first))
    if fspath(second):
        tree, other = now_of(second)
        return compare_machines(one, Machine(other.harness if other else parse_harness(tree), tree.data, fspath(second)))
    if applied is None:
        raise InputError(f"{fspath(first)} is a harness file: give a second file to compare it with, or its record alone")
    base = Machine(parse_harness(applied.base), applied.base.data, applied.base.file)
    return compare_machines(base, one)


def change_report(record: str | PathLike[str]) -> Reported:
    """Put together what the report of a record says.

    Parameters
    ----------
    record : str or path
        The record file.

    Returns
    -------
    Reported
        The record, and the machine before and after.

    Raises
    ------
    HarnessError, RecordError
        The record or its harness cannot be used, or do not fit.
    """
    listed = list_changes(record)
    applied = listed.applied
    base = Machine(parse_harness(applied.base), applied.base.data, applied.base.file)
    now = Machine(applied.harness, applied.tree.data, fspath(record))
    return Reported(listed.source, applied.numbers, compare_machines(base, now))


def save_change_report(made: Reported, out: str | PathLike[str], *, paper: str = "a4") -> None:
    """Write the report of a record to a file of the kind that its name ends in.

    Parameters
    ----------
    made : Reported
        What it says.
    out : str or path
        The file: ``.html`` or ``.pdf`` for the report, ``.csv`` for the leads to cut.
    paper : str
        ``a4`` or ``letter``.

    Raises
    ------
    InputError
        The name ends in nothing known.
    UnknownName
        No such paper.
    MissingTool
        PDF, and no browser is at hand.
    StorageError
        It cannot be written; nothing is left behind.
    """
    save_paper(out, lambda: change_report_html(made, paper=paper), {"csv": lambda: cut_list_csv(made.compared)})
