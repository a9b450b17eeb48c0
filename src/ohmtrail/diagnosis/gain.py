"""What a step would tell: the outcomes it can have, how likely each is under every row, and the gain."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from ohmtrail.diagnosis.likelihood import SLIP

__all__ = ["by_mend", "certainty", "crisp", "entropy", "gains", "information", "number_outcomes", "outcome_edges", "trial_rate"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: bins of a number's scale, laid where the rows' predictions are
BINS = 16
#: outcomes of a look or a watched function; a number has more
FEW_OUTCOMES = 4
#: mends that are summed together
TOGETHER = 8
#: a chance whose logarithm can still be taken
LEAST = 1e-300


def outcome_edges(mean: Floats, spread: Floats, weight: Floats) -> Floats:
    """Lay the edges of outcome bins where rows differ.

    Parameters
    ----------
    mean, spread : array, (n_steps, n_rows)
        What each row predicts, scaled, and its sigma.
    weight : array, (n_rows,)
        Chance of each row; rows with little chance do not shape the bins.

    Returns
    -------
    array, (n_steps, BINS - 1)
        Rising edges.
    """
    heavy = weight >= 1e-3 * weight.max(initial=0.0)
    around = np.concatenate([mean[:, heavy] - spread[:, heavy], mean[:, heavy] + spread[:, heavy]], axis=1)
    around.sort(axis=1)
    # quantiles as numpy has them, without what it does around them: it is called for every few readings
    at = np.linspace(0.0, 1.0, BINS + 1)[1:-1] * (around.shape[1] - 1)
    low = at.astype(np.int64)
    below, above, part = around[:, low], around[:, np.minimum(low + 1, around.shape[1] - 1)], at - low
    edges: Floats = np.where(part < 0.5, below + (above - below) * part, above - (above - below) * (1.0 - part))
    return edges


def number_outcomes(mean: Floats, spread: Floats, edges: Floats, *, beside: int = 0) -> Floats:
    """Chance of each bin under every row, slips included.

    Parameters
    ----------
    mean, spread : array, (n_steps, n_rows)
        What each row predicts, scaled, and its sigma.
    edges : array, (n_steps, n_bins - 1)
        Bin edges.
    beside : int
        Outcomes of another kind for which room is left behind the bins.

    Returns
    -------
    array, (n_steps, n_rows, n_bins + beside)
        Sums to one over the bins; what is beside them is not filled in.
    """
    # in one place: these are the largest arrays of a choice
    count = edges.shape[1] + 1
    result: Floats = np.empty((*mean.shape, count + beside))
    below, bins = result[:, :, : count - 1], result[:, :, :count]
    np.subtract(edges[:, None, :], mean[:, :, None], out=below)
    below /= spread[:, :, None]
    ndtr(below, out=below)
    bins[:, :, -1] = 1.0
    bins[:, :, 1:] -= below.copy()
    bins *= 1.0 - SLIP
    bins += SLIP / count
    return result


def gains(outcomes: Floats, chance: Floats, group: Ints) -> Floats:
    """Information each step gives on which mend is wanted.

    Parameters
    ----------
    outcomes : array, (n_steps, n_rows, n_outcomes)
        Chance of each outcome under every row.
    chance : array, (n_rows,)
        Chance of each row.
    group : array of int, (n_rows,)
        Mend group of each row.

    Returns
    -------
    array, (n_steps,)
        Bit; nought where all rows that have a chance predict alike.
    """
    return information(by_mend(outcomes, chance, group))


def information(joint: Floats) -> Floats:
    """Information that outcomes give on mends.

    Parameters
    ----------
    joint : array, (n_steps, n_mends, n_outcomes)
        Joint chances, not scaled to one.

    Returns
    -------
    array, (n_steps,)
        Bit.
    """
    of_mend, of_outcome = joint.sum(axis=2), joint.sum(axis=1)
    total = of_outcome.sum(axis=1)
    if total.sum() <= 0:
        return np.zeros(len(joint))
    # with p log p of joint and single chances, none of them scaled to one
    parts = _logs(joint.reshape(len(joint), -1)) - _logs(of_mend) - _logs(of_outcome)
    result: Floats = np.maximum(parts / total + np.log2(total), 0.0)
    return result


def by_mend(outcomes: Floats, chance: Floats, group: Ints) -> Floats:
    """Sum rows by mend, a few mends at a time.

    Parameters
    ----------
    outcomes : array, (n_steps, n_rows, n_outcomes)
        Chances under every row.
    chance : array, (n_rows,)
        Chance of each row.
    group : array of int, (n_rows,)
        Mend group of each row.

    Returns
    -------
    array, (n_steps, n_mends, n_outcomes)
        Joint chances. A product with one table of all mends and rows would multiply by nought for the most part.
    """
    order = np.argsort(group, kind="stable")
    sorted_group, count = group[order], int(group.max(initial=-1)) + 1
    if (np.diff(order) != 1).any():
        outcomes = outcomes[:, order]
    joint = np.empty((len(outcomes), count, outcomes.shape[2]))
    for first in range(0, count, TOGETHER):
        last = min(first + TOGETHER, count)
        rows = slice(*np.searchsorted(sorted_group, (first, last)))
        member = np.where(sorted_group[None, rows] == np.arange(first, last)[:, None], chance[order[rows]], 0.0)
        np.matmul(member, outcomes[:, rows], out=joint[:, first:last])
    return joint


def _logs(chance: Floats) -> Floats:
    """(n_steps,) sum of p log2 p along the last axis."""
    result: Floats = np.einsum("si,si->s", chance, np.log2(np.maximum(chance, LEAST)))
    return result


def certainty(outcomes: Floats) -> Floats:
    """Chance of the outcome that each row stands for, where rows that read alike count as one.

    Parameters
    ----------
    outcomes : array, (n_rows, n_outcomes)
        Chance of each outcome of one step under each row.

    Returns
    -------
    array, (n_rows,)
        Near 1 where the outcome is certain; for a look or a watched function the chance of the likeliest outcome.
    """
    if outcomes.shape[1] <= FEW_OUTCOMES:
        likeliest: Floats = outcomes.max(axis=1) / outcomes.sum(axis=1)
        return likeliest
    labels = crisp(outcomes)
    typical = np.stack([outcomes[labels == label].mean(axis=0) for label in range(int(labels.max()) + 1)])
    own: Floats = np.where(typical.argmax(axis=0)[None, :] == labels[:, None], outcomes, 0.0).sum(axis=1)
    return own


def entropy(chance: Sequence[float] | Floats) -> float:
    """Entropy of a distribution, bit.

    Parameters
    ----------
    chance : sequence of float, or array (n_outcomes,)
        (n_outcomes,) shares that sum to 1; nought counts nothing.

    Returns
    -------
    float
        Bit.
    """
    p = np.asarray(chance, dtype=np.float64)
    p = p[p > 0] / p.sum() if p.sum() > 0 else p[p > 0]
    return float(-(p * np.log2(p)).sum())


def trial_rate(share: float, minutes: float) -> float:
    """Bits a minute of a mend on trial: it works, or it does not.

    Parameters
    ----------
    share : float
        Chance that it is the right one.
    minutes : float
        What the trial takes, and what it loses where it is the wrong one.

    Returns
    -------
    float
        Bit a minute.
    """
    return entropy([share, 1.0 - share]) / max(minutes, 0.1)


def crisp(outcomes: Floats) -> Ints:
    """Label rows by outcome: rows whose outcome distributions overlap share a label.

    Parameters
    ----------
    outcomes : array, (n_rows, n_outcomes)
        Chance of each outcome of one step under each row.

    Returns
    -------
    array of int, (n_rows,)
        Labels from 0 up, in the order of the outcomes.
    """
    count = len(outcomes)
    centre = (outcomes * np.arange(outcomes.shape[1])).sum(axis=1)
    order = np.argsort(centre, kind="stable")
    labels = np.zeros(count, dtype=np.int64)
    label, anchor = 0, outcomes[order[0]]
    for before, here in pairwise(order):
        if np.minimum(anchor, outcomes[here]).sum() < 0.2 and np.minimum(outcomes[before], outcomes[here]).sum() < 0.5:
            label, anchor = label + 1, outcomes[here]
        labels[here] = label
    return labels
