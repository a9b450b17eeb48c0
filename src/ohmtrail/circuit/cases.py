"""Many sets of changes side by side, and what is read of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.changes import Rows

__all__ = ["Cases", "Values"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: rows that are worked out at once
_BLOCK = 256


@dataclass(frozen=True)
class Cases:
    """Sets of changes with their values drawn machine by machine.

    Attributes
    ----------
    rows : Rows
        The changes.
    values : array, (n_draws, n_rows, n_slots) or None
        Value of each change in each drawn machine; None where they are all as in ``rows``.
    """

    rows: Rows
    values: Floats | None = None

    def __len__(self) -> int:
        return len(self.rows)

    def at(self, draw: int) -> Rows:
        """Give the changes as they stand in one drawn machine.

        Parameters
        ----------
        draw : int
            Which machine.

        Returns
        -------
        Rows
            With their values in it.
        """
        return self.rows if self.values is None else self.rows.valued(self.values[draw])

    def only(self, rows: Ints) -> Cases:
        """Give some of the rows.

        Parameters
        ----------
        rows : array of int, (n_some,)
            Which.

        Returns
        -------
        Cases
            In that order.
        """
        return Cases(self.rows.only(rows), None if self.values is None else self.values[:, rows])

    @cached_property
    def blocks(self) -> tuple[tuple[slice, Cases], ...]:
        """The rows in blocks whose sums fit in little memory, with their places."""
        if len(self) <= _BLOCK:
            return ((slice(0, len(self)), self),)
        starts = range(0, len(self), _BLOCK)
        return tuple((slice(i, i + _BLOCK), self.only(np.arange(i, min(i + _BLOCK, len(self))))) for i in starts)


@dataclass(frozen=True)
class Values:
    """What stands between probe pairs.

    Attributes
    ----------
    value : array, (n_draws, n_rows, n_pairs)
        Volt (signed DC, RMS for AC, peak for pulse) or ohm.
    source_ohm : array, same shape
        What a meter is fed through, ohm; nought for the ohms regime.
    """

    value: Floats
    source_ohm: Floats
