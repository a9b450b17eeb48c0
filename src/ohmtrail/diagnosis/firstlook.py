"""What readings on a scale tell, many at once: the first look at every candidate, and most of the work of a choice.

Slips are alike for every row, and so is a display that flickers while nothing is moved: both are put in once the
rows have been summed by mend. So the large arrays, one number for each reading, row and edge, are gone through once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from ohmtrail.diagnosis.gain import by_mend, information, outcome_edges
from ohmtrail.diagnosis.likelihood import NO_FLICKER, SLIP

__all__ = ["steady_gains"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def steady_gains(mean: Floats, spread: Floats, chance: Floats, group: Ints) -> Floats:
    """Information each reading gives on which mend is wanted, while nothing is moved.

    Parameters
    ----------
    mean, spread : array, (n_steps, n_rows)
        What each row predicts, scaled, and its sigma.
    chance : array, (n_rows,)
        Chance of each row.
    group : array of int, (n_rows,)
        Mend group of each row.

    Returns
    -------
    array, (n_steps,)
        Bit; what `ohmtrail.diagnosis.gain.gains` makes of the outcomes of each reading.
    """
    edges = outcome_edges(mean, spread, chance)
    below = np.subtract(edges[:, None, :], mean[:, :, None], dtype=np.float64)
    below /= spread[:, :, None]
    ndtr(below, out=below)
    under = by_mend(below, chance, group)
    held = np.bincount(group, chance)[None, :, None]
    count = edges.shape[1] + 1
    joint = np.empty((*under.shape[:2], count))
    joint[:, :, :1] = under[:, :, :1]
    np.subtract(under[:, :, 1:], under[:, :, :-1], out=joint[:, :, 1:-1])
    np.subtract(held, under[:, :, -1:], out=joint[:, :, -1:])
    joint *= 1.0 - SLIP
    joint += held * (SLIP / count)
    result: Floats = information(joint) * (1.0 - NO_FLICKER)
    return result
