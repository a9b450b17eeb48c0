"""What is said of a change beside its steps: who, when, why, and where the original is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from ohmtrail.changes import Change, Day
from ohmtrail.errors import RecordError

__all__ = ["Particulars", "day_of", "made_change", "read_day"]


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


def day_of(about: Particulars, now: datetime) -> Day:
    """Give the day of a change.

    Parameters
    ----------
    about : Particulars
        What is said of it.
    now : datetime
        For today.

    Returns
    -------
    Day
        Never one to come.

    Raises
    ------
    RecordError
        It is no date, or still to come.
    """
    day = read_day(about.date or now.date().isoformat())
    if day.first > now.date():
        raise RecordError(f"{about.date!r} is still to come; a record says what was done")
    return day


def read_day(text: str) -> Day:
    """Read a date.

    Parameters
    ----------
    text : str
        As in 2024-05-11, 2024-05 or 2024.

    Returns
    -------
    Day
        The day, month or year.

    Raises
    ------
    RecordError
        It is none.
    """
    try:
        return Day.of(text)
    except ValueError as error:
        raise RecordError(str(error)) from None


def made_change(about: Particulars, now: datetime, more: dict[str, Any]) -> Change:
    """Put an entry together.

    Parameters
    ----------
    about : Particulars
        Who, when, why.
    now : datetime
        For today.
    more : dict
        Its steps, or what it undoes.

    Returns
    -------
    Change
        The entry.

    Raises
    ------
    RecordError
        Something is missing or wrong.
    """
    for spoken, name in ((about.by, "who did it, as in --by 'A. Keel'"), (about.why, "why, as in --why 'covering rotten'")):
        if not spoken.strip():
            raise RecordError(f"a change says {name}")
    original = None if about.kept is None else {"kept": about.kept, "where": about.where}
    said: dict[str, Any] = {"date": day_of(about, now), "by": about.by, "why": about.why, "reversible": about.reversible}
    try:
        return Change.model_validate(said | {"original": original, "files": tuple(about.files), "note": about.note} | more)
    except ValidationError as error:
        first = error.errors()[0]
        raise RecordError(f"{first['loc'][0]}: {str(first['msg']).removeprefix('Value error, ')}") from None
