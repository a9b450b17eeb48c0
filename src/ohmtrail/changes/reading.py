"""From a record file to a record: every value as text, all mistakes in one go, each with its place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from ohmtrail.changes.record import VERBS, Change, Original, Record, Step
from ohmtrail.errors import HarnessError, Mistake
from ohmtrail.harness.telling import mistakes_of
from ohmtrail.harness.text import Tree, load_text, read_tree

__all__ = ["RecordFile", "is_record", "parse_record", "read_record"]


@dataclass(frozen=True)
class RecordFile:
    """A record, and the file it stands in as text with positions."""

    record: Record
    tree: Tree

    def place(self, number: int, step: int | None = None) -> str:
        """Give ``file:line`` of a change or of one of its steps; the file alone where it does not stand there yet."""
        if ("changes", number - 1) not in self.tree.positions:
            return self.tree.file
        path = ("changes", number - 1) if step is None else ("changes", number - 1, "steps", step)
        return f"{self.tree.file}:{self.tree.where(path).line}"


def read_record(path: str | Path) -> RecordFile:
    """Load a record file.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    RecordFile
        The record, and where everything in it stands.

    Raises
    ------
    HarnessError
        The file has mistakes; all of them are carried.
    InputError
        The file cannot be read at all.
    """
    return parse_record(read_tree(load_text(Path(path)), file=str(path)))


def is_record(tree: Tree) -> bool:
    """Say whether a file read as text is a record rather than a harness.

    Parameters
    ----------
    tree : Tree
        Plain values with positions.

    Returns
    -------
    bool
        True where it begins as a record does.
    """
    return isinstance(tree.data, dict) and "record" in tree.data


def parse_record(tree: Tree) -> RecordFile:
    """Turn a file read as text into a record.

    Parameters
    ----------
    tree : Tree
        Plain values with positions.

    Returns
    -------
    RecordFile
        The record.

    Raises
    ------
    HarnessError
        Every mistake found.
    """
    if not isinstance(tree.data, dict) or not tree.data:
        said = Mistake(tree.file, 1, 1, "the file is empty or no record of changes", "", "begin with 'record: NAME'")
        raise HarnessError([said])
    data = dict(tree.data)
    if "harness" in data and "record" not in data:
        said = Mistake(tree.file, 1, 1, "this is a harness file, not a record of changes", "", "give the record that lies over it")
        raise HarnessError([said])
    if data.get("changes") == "":  # the key with nothing under it yet
        data["changes"] = []
    try:
        record = Record.model_validate(data)
    except ValidationError as error:
        raise HarnessError(mistakes_of(tree, error, allowed=_allowed)) from None
    mistakes = list(_order(tree, record))
    if mistakes:
        raise HarnessError(mistakes)
    return RecordFile(record, tree)


def _allowed(loc: tuple[str | int, ...]) -> tuple[str, ...]:
    """The keys allowed where an unknown one was found."""
    if "steps" in loc[:-1]:
        return (*VERBS, *Step.model_fields)
    if "original" in loc[:-1]:
        return tuple(Original.model_fields)
    return tuple((Change if "changes" in loc[:-1] else Record).model_fields)


def _order(tree: Tree, record: Record) -> Iterator[Mistake]:
    """Dates run on, and only what stands above can be undone."""
    for index, change in enumerate(record.changes):
        path = ("changes", index)
        above = record.changes[index - 1] if index else None
        if above is not None and change.date.last < above.date.first:
            words = f"change {index + 1} is dated {change.date}, before change {index} of {above.date}"
            yield tree.mistake((*path, "date"), words, value=str(change.date), remedy="put it where it belongs in time")
        for place, number in enumerate(change.undoes):
            if number > index:
                words = f"change {index + 1} undoes change {number}, which does not stand above it"
                yield tree.mistake((*path, "undoes", place), words, value=str(number), remedy="give the number of an earlier one")
