"""Dates as a record of changes holds them: a day, or only the month or the year where no more is known."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date

__all__ = ["Day"]

_WRITTEN = re.compile(r"(1[89]\d\d|20\d\d)(?:-(\d\d)(?:-(\d\d))?)?")


@dataclass(frozen=True)
class Day:
    """A date of ISO 8601, perhaps of reduced precision.

    Attributes
    ----------
    text : str
        As written: ``2024-05-11``, ``2024-05`` or ``2024``.
    first, last : date
        The first and the last day it can mean.
    """

    text: str
    first: date
    last: date

    @classmethod
    def of(cls, text: str) -> Day:
        """Read a date.

        Parameters
        ----------
        text : str
            Year, year and month, or year, month and day.

        Returns
        -------
        Day
            The date.

        Raises
        ------
        ValueError
            It is none.

        Examples
        --------
        >>> Day.of("1987-02").last
        datetime.date(1987, 2, 28)
        """
        match = _WRITTEN.fullmatch(text.strip())
        if match is None:
            raise ValueError(f"{text!r} is not a date such as 2024-05-11, 2024-05 or 2024")
        year, month, day = (int(item) if item else 0 for item in match.groups())
        try:
            first = date(year, month or 1, day or 1)
        except ValueError:
            raise ValueError(f"{text!r} is not a day of the calendar") from None
        if day:
            return cls(match.group(), first, first)
        last_month = month or 12
        return cls(match.group(), first, date(year, last_month, calendar.monthrange(year, last_month)[1]))

    @property
    def year(self) -> int:
        """Its year."""
        return self.first.year

    def __str__(self) -> str:
        return self.text
