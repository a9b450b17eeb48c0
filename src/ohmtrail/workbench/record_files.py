"""A record of changes and the harness it lies over, read together."""

from __future__ import annotations

import os
from pathlib import Path

from ohmtrail.changes import Applied, Change, Record, RecordFile, apply_record, read_record
from ohmtrail.errors import InputError, RecordError
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import Plain, Tree, load_text, read_tree
from ohmtrail.workbench.files import existing

__all__ = ["base_of", "begun_record", "found_record", "plain_data", "try_change"]


def plain_data(tree: Tree) -> dict[str, Plain]:
    """Give the plain values of a tree.

    Parameters
    ----------
    tree : Tree
        A harness as read.

    Returns
    -------
    dict
        Empty where it holds no mapping.
    """
    return dict(tree.data) if isinstance(tree.data, dict) else {}


def base_of(source: RecordFile) -> tuple[str, Tree]:
    """Read the harness file of a record; it is named from the record's folder.

    Parameters
    ----------
    source : RecordFile
        The record.

    Returns
    -------
    tuple of str and Tree
        Its path and what it holds.

    Raises
    ------
    InputError, HarnessError
        It is not there, or cannot be read.
    """
    path = _joined(os.path.dirname(source.tree.file), source.record.over)
    where = f"{source.tree.file}:{source.tree.where(('over',)).line}"
    if not os.path.lexists(path):
        raise InputError(f"{where}: the harness file {source.record.over!r} is not beside the record; write its path from there")
    try:
        text = load_text(Path(path))
    except InputError as error:
        raise InputError(f"{where}: 'over' names no harness file: {error}") from None
    return path, read_tree(text, file=path)


def found_record(name: str, harness: str) -> tuple[RecordFile, Tree]:
    """Read a record that is there, with its base.

    Parameters
    ----------
    name : str
        The record file.
    harness : str
        The harness file as said on the command line; may be empty.

    Returns
    -------
    tuple of RecordFile and Tree
        Both.

    Raises
    ------
    RecordError
        The record lies over another harness.
    """
    source = read_record(name)
    path, base = base_of(source)
    if harness and not os.path.samefile(existing(harness), path):
        raise RecordError(f"{name} is a record over {source.record.over!r}, not over {harness!r}; leave --harness out")
    return source, base


def begun_record(name: str, harness: str) -> tuple[RecordFile, Tree]:
    """Begin a record that is not there yet: empty, over a harness file.

    Parameters
    ----------
    name : str
        The record file.
    harness : str
        The harness file as said on the command line; may be empty.

    Returns
    -------
    tuple of RecordFile and Tree
        Both; nothing is written.

    Raises
    ------
    RecordError
        No harness is said.
    """
    if not harness:
        raise RecordError(f"there is no record {name!r} yet: begin it with --harness FILE")
    base = read_tree(load_text(Path(existing(harness))), file=harness)
    machine = parse_harness(base).harness
    record = Record(record=Path(name).stem or name, over=harness, machine=machine)
    return RecordFile(record, Tree(name, {}, {})), base


def try_change(source: RecordFile, base: Tree, change: Change) -> Applied:
    """Apply a record with one more entry, sure that it holds together.

    Parameters
    ----------
    source : RecordFile
        The record so far.
    base : Tree
        Its harness.
    change : Change
        The entry.

    Returns
    -------
    Applied
        The machine with it.

    Raises
    ------
    RecordError
        It does not hold together.
    """
    record = source.record.model_copy(update={"changes": (*source.record.changes, change)})
    return apply_record(base, RecordFile(record, source.tree))


def _joined(folder: str, over: str) -> str:
    """The path of a base, as short as it can be written and still be the same file."""
    path = os.path.join(folder, over)
    short = os.path.normpath(path)  # another file where a folder on the way is a link
    return short if os.path.exists(path) and os.path.exists(short) and os.path.samefile(path, short) else path
