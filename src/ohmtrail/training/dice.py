"""Chance that falls alike on every machine: the same words give the same numbers, today and in years.

The raw stream of a PCG64 bit generator and the way a seed is spread are promised to stay (NumPy Enhancement
Proposal 19); the distributions of `numpy.random.Generator` are not, so they are made here.
"""

from __future__ import annotations

import bisect
import hashlib
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

__all__ = ["Dice"]

Floats = NDArray[np.float64]
_BITS = 53


class Dice(np.random.Generator):
    """A source of randomness that follows from some words.

    Parameters
    ----------
    *words : str or int
        What the numbers are for; other words, other numbers.

    Examples
    --------
    >>> Dice(7, "fault").random() == Dice(7, "fault").random()
    True
    """

    def __init__(self, *words: str | int) -> None:
        digest = hashlib.sha256("\x1f".join(map(str, words)).encode()).digest()
        super().__init__(np.random.PCG64(np.random.SeedSequence(int.from_bytes(digest, "big"))))

    def _unit(self, size: int | None) -> float | Floats:
        raw = self.bit_generator.random_raw(size)
        if size is None:
            return (int(raw) >> (64 - _BITS)) * 2.0**-_BITS
        many: Floats = (np.asarray(raw, dtype=np.uint64) >> np.uint64(64 - _BITS)).astype(np.float64) * 2.0**-_BITS
        return many

    def random(self, size: int | None = None) -> float | Floats:  # type: ignore[override]  # the part that is used
        """Give numbers from nought up to one."""
        return self._unit(size)

    def uniform(self, low: float = 0.0, high: float = 1.0, size: int | None = None) -> float | Floats:  # type: ignore[override]  # the part that is used
        """Give numbers spread evenly between two bounds."""
        return low + (high - low) * self._unit(size)

    def standard_normal(self, size: int | None = None) -> float | Floats:  # type: ignore[override]  # the part that is used
        """Give normal numbers, mean nought and sigma one."""
        found = ndtri(np.clip(self._unit(size), 2.0**-54, 1.0 - 2.0**-54))
        return float(found) if size is None else np.asarray(found, dtype=np.float64)

    def pick(self, weights: Sequence[float] | Floats) -> int:
        """Draw a place by weight.

        Parameters
        ----------
        weights : sequence of float
            At least one above nought.

        Returns
        -------
        int
            Index of the place.
        """
        sums: list[float] = np.cumsum(np.asarray(weights, dtype=np.float64)).tolist()
        spot = float(self.random()) * sums[-1]
        return min(bisect.bisect_right(sums, spot), len(sums) - 1)
