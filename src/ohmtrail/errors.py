"""Every error a user of Ohmtrail can meet, one class per kind of mistake.

OhmtrailError
├── InputError                    exit 2: what was given cannot be used
│   ├── QuantityError             a text that is no quantity, or not of the unit wanted
│   ├── UnknownName               a part, terminal, position, function ... that does not exist
│   ├── HarnessError              a harness or record file with one or more mistakes
│   ├── RecordError               a record of changes that does not fit its harness
│   ├── SettingError              a setting the machine cannot be put in
│   ├── ReadingError              a reading that cannot have been taken so
│   └── JobError                  a job file that cannot be used as asked
├── CircuitError                  exit 2: the electricity has no answer
│   ├── SourcesFight              two stiff sources in parallel or a loop without resistance
│   └── Chatters                  relays that chase each other
├── MissingTool                   exit 2: a program that drawing needs is not there
├── StorageError                  exit 74: a file cannot be written
│   └── BusyError                 exit 75: the file is in use elsewhere
└── Bug                           exit 70: a mistake of ours; the sentence says how to report it
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = [
    "Bug",
    "BusyError",
    "Chatters",
    "CircuitError",
    "HarnessError",
    "InputError",
    "JobError",
    "MissingTool",
    "Mistake",
    "OhmtrailError",
    "QuantityError",
    "ReadingError",
    "RecordError",
    "SettingError",
    "SourcesFight",
    "StorageError",
    "UnknownName",
    "nearest",
]


def nearest(name: str, known: Iterable[str], *, count: int = 3) -> tuple[str, ...]:
    """Give the known names that look most like ``name``, best first.

    Parameters
    ----------
    name : str
        What was written.
    known : iterable of str
        What could have been meant.
    count : int
        How many at most.

    Returns
    -------
    tuple of str
        Possibly empty.

    Examples
    --------
    >>> nearest("hed-plug.2a", ["head-plug.2a", "tail-plug.2a"], count=1)
    ('head-plug.2a',)
    """
    by_fold: dict[str, str] = {}
    for item in known:
        by_fold.setdefault(item.casefold(), item)
    found = difflib.get_close_matches(name.casefold(), list(by_fold), n=count, cutoff=0.55)
    return tuple(by_fold[item] for item in found)


def _meant(near: tuple[str, ...]) -> str:
    return f"; did you mean {' or '.join(repr(item) for item in near)}?" if near else ""


class OhmtrailError(Exception):
    """Base of all errors that carry one sentence for the user."""

    exit_code = 2


class InputError(OhmtrailError):
    """What was given cannot be used."""


class QuantityError(InputError, ValueError):
    """A text that is not a quantity, or not of the wanted unit."""

    def __init__(self, text: str, wanted: str, *, hint: str = "") -> None:
        self.text, self.wanted, self.hint = text, wanted, hint
        super().__init__(f"{text!r} is not {wanted}" + (f"; {hint}" if hint else ""))


class UnknownName(InputError):
    """A name that does not exist, with the nearest that do."""

    def __init__(self, kind: str, name: str, known: Iterable[str], *, where: str = "", hint: str = "") -> None:
        known = tuple(known)
        self.kind, self.name, self.where = kind, name, where
        self.near = nearest(name, known)
        tail = f"; {hint}" if hint else _meant(self.near)
        if not tail and 0 < len(known) <= 12:
            tail = f"; there is {', '.join(known)}"
        place = f" in {where}" if where else ""
        super().__init__(f"no {kind} {name!r}{place}{tail}")


@dataclass(frozen=True)
class Mistake:
    """One mistake in a file: where it stands, what is wrong, what to write instead."""

    file: str
    line: int
    column: int
    sentence: str
    value: str = ""
    remedy: str = ""

    def __str__(self) -> str:
        remedy = f"; {self.remedy}" if self.remedy else ""
        return f"{self.file}:{self.line}:{self.column}: {self.sentence}{remedy}"


class HarnessError(InputError):
    """A harness file, or a record of changes to one, that cannot be used; carries every mistake found in it."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(item) for item in self.mistakes))


class RecordError(InputError):
    """A record of changes that does not fit the harness it is applied to."""


class SettingError(InputError):
    """A setting that the machine cannot be put in."""


class ReadingError(InputError):
    """A reading that cannot have been taken so, or cannot be understood."""


class JobError(InputError):
    """A job file that cannot be used as asked."""


class CircuitError(OhmtrailError):
    """The electricity has no answer; the sentence says why in electrical words."""


class SourcesFight(CircuitError):
    """Two stiff sources stand against each other without resistance between them."""


class Chatters(CircuitError):
    """Relays that pull in and drop out in turn, without end."""


class MissingTool(OhmtrailError):
    """A program that a command needs is not installed."""


class StorageError(OhmtrailError):
    """A file that cannot be written."""

    exit_code = 74


class BusyError(StorageError):
    """A file that another program holds."""

    exit_code = 75


class Bug(OhmtrailError):
    """A mistake of ours."""

    exit_code = 70
