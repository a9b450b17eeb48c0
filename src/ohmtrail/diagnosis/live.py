"""The tables that a job works with: the likely causes of its complaints, with less weight on what was mended already.

Which rows could cause a complaint does not hang on their weights, so a mend that was made in vain needs no new sums:
the rows are weighed again, and what other tables of the same complaints have worked out is used.
"""

from __future__ import annotations

from collections import Counter, OrderedDict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ohmtrail.diagnosis.evidence import Complaint
from ohmtrail.diagnosis.screen import likely, possible
from ohmtrail.diagnosis.table import SuspectTable

__all__ = ["LiveTables", "weighted"]

Ints = NDArray[np.int64]

#: tables of suspects that are remembered; one takes some 100 MB once it has been worked through
MOST_TABLES = 3
#: a mend that was made may have failed, or there was nothing wrong there: factor on its suspects, each time it is made
MENDED_BEFORE = 0.03

Complaints = tuple[Complaint, ...]


class LiveTables:
    """Tables that were made before; those used longest ago are forgotten."""

    def __init__(self) -> None:
        self._possible: OrderedDict[Complaints, SuspectTable] = OrderedDict()
        self._live: OrderedDict[tuple[Complaints, tuple[str, ...]], tuple[SuspectTable, Ints]] = OrderedDict()

    def of(self, table: SuspectTable, complaints: Complaints, mended: tuple[str, ...]) -> SuspectTable:
        """Give the likely causes.

        Parameters
        ----------
        table : SuspectTable
            Every row, with the weights it has while nothing is mended.
        complaints : tuple of Seen or Measured
            What is wrong.
        mended : tuple of str
            Ids of the mends that were made.

        Returns
        -------
        SuspectTable
            The sound machine is row 0.
        """
        key = complaints, mended
        if key not in self._live:
            self._live[key] = self._made(table, complaints, mended)
            while len(self._live) > MOST_TABLES:
                self._live.popitem(last=False)
        self._live.move_to_end(key)
        return self._live[key][0]

    def _made(self, table: SuspectTable, complaints: Complaints, mended: tuple[str, ...]) -> tuple[SuspectTable, Ints]:
        if complaints not in self._possible:
            self._possible[complaints] = possible(table, complaints)
            while len(self._possible) > MOST_TABLES:
                self._possible.popitem(last=False)
        self._possible.move_to_end(complaints)
        small = weighted(self._possible[complaints], mended)
        keep = likely(small, complaints)
        live = small.restricted(keep)
        for (about, _), (other, places) in self._live.items():
            if about == complaints:
                live.look_beside(other, _found(keep, places))
        return live, keep


def weighted(table: SuspectTable, mended: Sequence[str]) -> SuspectTable:
    """Give a table with less weight on what was mended already.

    Parameters
    ----------
    table : SuspectTable
        The rows.
    mended : sequence of str
        Ids of mends that were made, one that was made twice standing there twice.

    Returns
    -------
    SuspectTable
        The same one where nothing was mended.
    """
    factors = {mend: MENDED_BEFORE**times for mend, times in Counter(mended).items()}
    return table.reweighed(factors) if factors else table


def _found(wanted: Ints, places: Ints) -> Ints:
    """Where each of some numbers stands among others that rise, -1 for nowhere."""
    at = np.minimum(np.searchsorted(places, wanted), len(places) - 1)
    return np.where(places[at] == wanted, at, -1)

