"""Comparing two machines: two harness files, or one with and without its record."""

from __future__ import annotations

from os import PathLike, fspath

from ohmtrail.changes import Comparison, Machine, compare_machines
from ohmtrail.errors import InputError
from ohmtrail.harness import parse_harness
from ohmtrail.workbench.changing import now_of

__all__ = ["compare"]


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
