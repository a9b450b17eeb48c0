"""What readings on a scale tell, many at once: the first look at every candidate, and most of the work of a choice.

Slips are alike for every row, and so is a display that flickers while nothing is moved: both are put in once the
rows have been summed by mend. So the large arrays, one number for each reading, row and edge, are gone through once,
and rows that read alike are reckoned once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from ohmtrail.diagnosis.gain import by_mend, information, number_outcomes, outcome_edges
from ohmtrail.diagnosis.likelihood import FLICKER, NO_FLICKER, SLIP

__all__ = ["moved_gains", "steady_gains"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Wholes = NDArray[np.uint64]

#: a reading below this, on its scale, is nought
NOUGHT = 1e-6
#: an odd number without order in its bits, 2^64 over the golden ratio: spreads keys that differ little over the whole range
MIXED = np.uint64(0x9E3779B97F4A7C15)


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
    result: Floats = information(_bins(mean, spread, outcome_edges(mean, spread, chance), chance, group)) * (1.0 - NO_FLICKER)
    return result


def moved_gains(mean: Floats, spread: Floats, chance: Floats, group: Ints, flickers: Bools) -> Floats:
    """Information each reading gives on which mend is wanted, while wiring is moved.

    Parameters
    ----------
    mean, spread : array, (n_steps, n_rows)
        What each row predicts, scaled, and its sigma; of one that comes and goes what it reads at rest.
    chance : array, (n_rows,)
        Chance of each row.
    group : array of int, (n_rows,)
        Mend group of each row.
    flickers : array of bool, (n_steps, n_rows)
        Where the move makes the display flicker.

    Returns
    -------
    array, (n_steps,)
        Bit; what `ohmtrail.diagnosis.gain.gains` makes of the outcomes of each reading.
    """
    edges = outcome_edges(mean, spread, chance)
    joint = _bins(mean, spread, edges, chance, group) * (1.0 - NO_FLICKER)
    some = np.flatnonzero(flickers.any(axis=0))
    if len(some):
        # what flickers is not read: few rows, taken out of the bins again
        bins = number_outcomes(mean[:, some], spread[:, some], edges)
        lost = np.where(flickers[:, some], FLICKER - NO_FLICKER, 0.0)
        taken = by_mend(bins * lost[:, :, None], chance[some], group[some])
        joint[:, : taken.shape[1]] -= taken
    flick = by_mend(np.where(flickers, FLICKER, NO_FLICKER)[:, :, None], chance, group)
    return information(np.concatenate([joint, flick], axis=2))


def _bins(mean: Floats, spread: Floats, edges: Floats, chance: Floats, group: Ints) -> Floats:
    """(n_steps, n_mends, n_bins) joint chances of mend and bin, slips included."""
    first, kind = _kinds(mean, spread)
    below = np.subtract(edges[first // mean.shape[1]], mean.ravel()[first, None], dtype=np.float64)
    below /= spread.ravel()[first, None]
    ndtr(below, out=below)
    under = by_mend(below[kind], chance, group)
    held = np.bincount(group, chance)[None, :, None]
    count = edges.shape[1] + 1
    joint = np.empty((*under.shape[:2], count))
    joint[:, :, :1] = under[:, :, :1]
    np.subtract(under[:, :, 1:], under[:, :, :-1], out=joint[:, :, 1:-1])
    np.subtract(held, under[:, :, -1:], out=joint[:, :, -1:])
    joint *= 1.0 - SLIP
    joint += held * (SLIP / count)
    return joint


def _kinds(mean: Floats, spread: Floats) -> tuple[Ints, Ints]:
    """One place, of all in one row, of each kind of prediction of a reading, and (n_steps, n_rows) each row's kind.

    Most rows read like the sound machine, and the rest are few kinds: a curve is reckoned once for each.
    """
    step = np.arange(len(mean), dtype=np.uint64)[:, None]
    # numbers that are equal but for the last digits of a double make one key; unequal keys fall together once in 2^64
    key = (step * MIXED + _in_single(mean)) * MIXED + _in_single(spread)
    _, first, kind = np.unique(key, return_index=True, return_inverse=True)
    return first, kind.reshape(mean.shape)


def _in_single(values: Floats) -> Wholes:
    """The bits of values in single precision; those below `NOUGHT` are nought."""
    single = np.where(np.abs(values) < NOUGHT, 0.0, values).astype(np.float32)
    bits: Wholes = single.view(np.uint32).astype(np.uint64)
    return bits
