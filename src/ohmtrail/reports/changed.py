"""What the verbs of a record of changes give back: values only."""

from __future__ import annotations

from dataclasses import dataclass

from ohmtrail.changes import Applied, Comparison, RecordFile, Step
from ohmtrail.harness import Harness

__all__ = ["Exported", "Imported", "Listed", "Noted", "Reported", "Undone", "Written"]


@dataclass(frozen=True)
class Listed:
    """A record, and the machine with the changes that are in force."""

    source: RecordFile
    applied: Applied


@dataclass(frozen=True)
class Noted:
    """A change that was added to a record."""

    source: RecordFile
    applied: Applied
    number: int
    begun: bool


@dataclass(frozen=True)
class Written:
    """The harness with its changes as text, and where it was written; ``out`` is empty where it was not."""

    applied: Applied
    text: str
    out: str


@dataclass(frozen=True)
class Undone:
    """An undoing that was added to a record.

    Attributes
    ----------
    source : RecordFile
        The record with it.
    applied : Applied
        The machine as it is then.
    number : int
        Of the new entry.
    undone : tuple of int
        Changes that were in force and no longer are.
    again : tuple of int
        Changes that are in force again.
    steps : tuple of Step
        What to do to the machine, in order.
    lasting : tuple of int
        Changes among those undone whose record says that they cannot be undone.
    """

    source: RecordFile
    applied: Applied
    number: int
    undone: tuple[int, ...]
    again: tuple[int, ...]
    steps: tuple[Step, ...]
    lasting: tuple[int, ...]


@dataclass(frozen=True)
class Imported:
    """A harness made of a lead list, and what was guessed in making it; ``out`` is empty where it was not written."""

    file: str
    harness: Harness
    text: str
    guesses: tuple[str, ...]
    out: str


@dataclass(frozen=True)
class Exported:
    """A machine's lead list as CSV; ``out`` is empty where it was not written."""

    harness: Harness
    text: str
    out: str


@dataclass(frozen=True)
class Reported:
    """A record, the changes in force, and the machine compared with its base."""

    source: RecordFile
    numbers: tuple[int, ...]
    compared: Comparison
