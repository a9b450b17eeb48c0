"""What the changes of every row draw, in systems no larger than its own changes.

Rows lie side by side in one width, that of the row with most changes: a fault is one change for the most part, two
leads crossed are four. A slot where nothing is added has no say in the others, so each row is solved without it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.newton import solve_rows, system

__all__ = ["by_changes", "drawn"]

Ints = NDArray[np.int64]
Numbers = NDArray[Any]


def by_changes(added: Numbers) -> Iterator[tuple[Ints, Ints]]:
    """Yield rows that have equally many changes, those without any left out.

    Parameters
    ----------
    added : array, (n_rows, n_slots)
        Conductance added, siemens.

    Yields
    ------
    tuple of array, (n, 1) and (n, k)
        Places of rows, and of the slots of each where something is added.
    """
    active = added != 0
    count = active.sum(axis=1)
    for many in range(1, added.shape[1] + 1):
        rows = np.flatnonzero(count == many)
        if len(rows):
            slots: Ints = np.nonzero(active[rows])[1].reshape(-1, many)
            yield rows[:, None], slots


def drawn(z: Numbers, added: Numbers, right: Numbers) -> Numbers:
    """Give the amps that the conductances added take out of their ports.

    Parameters
    ----------
    z : array, (n_rows, n_slots, n_slots)
        Impedance between the ports of every row, ohm.
    added : array, (n_rows, n_slots)
        Conductance added, siemens.
    right : array, (n_rows, n_slots, m)
        Volts across the ports without them.

    Returns
    -------
    array, (n_rows, n_slots, m)
        Ampere, D (I + Z D)^-1 of the volts; nought where nothing is added.
    """
    result: Numbers = np.zeros(right.shape, dtype=np.result_type(z, added, right))
    for rows, slots in by_changes(added):
        own = added[rows, slots]
        matrix = system(z[rows[:, :, None], slots[:, :, None], slots[:, None, :]], own)
        result[rows, slots] = own[:, :, None] * solve_rows(matrix, right[rows, slots])
    return result
