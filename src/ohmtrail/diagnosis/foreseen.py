"""What rows predict of one reading or one function, kept row by row as it is worked out."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

__all__ = ["Known", "Prediction"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Prediction:
    """What every row says of one reading.

    Attributes
    ----------
    values : array, (n_draws, n_rows)
        Scaled display values; nan in rows that were not asked for.
    noise : array, (n_rows,)
        The meter's own sigma, scaled.
    """

    values: Floats
    noise: Floats

    @cached_property
    def mean(self) -> Floats:
        """(n_rows,) mean over the drawn machines."""
        result: Floats = self.values.mean(axis=0)
        return result

    @cached_property
    def spread(self) -> Floats:
        """(n_rows,) sigma from tolerances, severity and meter together."""
        result: Floats = np.sqrt(self.values.var(axis=0) + self.noise**2)
        return result


@dataclass
class Known:
    """Values of some rows, the others still to be worked out.

    Attributes
    ----------
    values : array, (n_values, n_rows)
        Draws of a reading and last its noise, or chances of a function's levels; nan where not known.
    rows : array of bool, (n_rows,)
        Which rows are known.
    """

    values: Floats
    rows: Bools
    _shown: Prediction | None = field(default=None, init=False, repr=False)

    @classmethod
    def nothing(cls, n_values: int, n_rows: int, *, rough: bool = False) -> Known:
        """Give room for values of which none is known; rough ones take half the memory."""
        wanted = np.float32 if rough else np.float64
        return cls(np.full((n_values, n_rows), np.nan, dtype=wanted), np.zeros(n_rows, dtype=bool))

    def of(self, keep: Ints) -> Known:
        """Give what is known of some of the rows; nothing is known of a row at -1."""
        rows = self.rows[keep] & (keep >= 0)
        values = self.values[:, keep]
        values[:, ~rows] = np.nan
        return Known(values, rows)

    def take(self, other: Known) -> None:
        """Take over what another one of the same rows knows and this one does not."""
        new = np.flatnonzero(other.rows & ~self.rows)
        if len(new):
            self.fill(new, other.values[:, new])

    def has(self, rows: Ints | None) -> bool:
        """Whether some rows, or all, are known."""
        return bool((self.rows if rows is None else self.rows[rows]).all())

    def fill(self, rows: Ints, values: Floats) -> None:
        """Put in the values of some rows.

        Parameters
        ----------
        rows : array of int, (n,)
            Which rows.
        values : array, (n_values, n)
            Theirs.
        """
        self.values[:, rows] = values
        self.rows[rows] = True
        self._shown = None

    @property
    def prediction(self) -> Prediction:
        """The values as draws and noise of a reading."""
        if self._shown is None:
            self._shown = Prediction(self.values[:-1], self.values[-1])
        return self._shown
