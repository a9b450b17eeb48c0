"""Figures of many jobs: means, shares, calibration, and ratios between two ways of searching."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ohmtrail.rehearsal.work import Rehearsed

__all__ = ["Band", "Calibration", "Compared", "Interval", "Summary", "calibrate", "compare", "summarise"]

Floats = NDArray[np.float64]

#: resamplings for the 90 % intervals
RESAMPLES = 1000
#: edges of the bands of stated chance
EDGES = (0.0, 0.5, 0.8, 0.95, 0.99, 1.0)


@dataclass(frozen=True)
class Interval:
    """A mean or ratio with its 90 % interval by resampling the jobs; all nan where there is nothing."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Summary:
    """Figures of the jobs that were worked one way.

    Attributes
    ----------
    jobs : int
        How many.
    named, named_or_grouped : float
        Share named before the first mend, and named or shown as the smallest group.
    right_if_named, first_right, solved : float
        Shares.
    minutes, excess : Interval
        To a proven mend, and over walking straight to the right one, minute.
    median_min, worst_min : float
        Of the minutes.
    readings : Interval
        Proofs left out.
    median_readings, worst_readings : float
        Of the readings.
    mends : float
        Mends made, mean.
    vain : float
        What wrong mends cost beside their minutes, mean, minute.
    """

    jobs: int
    named: float
    named_or_grouped: float
    right_if_named: float
    first_right: float
    solved: float
    minutes: Interval
    excess: Interval
    median_min: float
    worst_min: float
    readings: Interval
    median_readings: float
    worst_readings: float
    mends: float
    vain: float


@dataclass(frozen=True)
class Band:
    """Answers whose stated chance lies in a band: how many, the mean stated, the share that was right."""

    low: float
    high: float
    count: int
    stated: float
    true: float


@dataclass(frozen=True)
class Calibration:
    """Stated against true.

    Attributes
    ----------
    bands : tuple of Band
        By stated chance.
    likely, certain : Band or None
        All answers from 80 % on, and from 95 % on.
    """

    bands: tuple[Band, ...]
    likely: Band | None
    certain: Band | None


@dataclass(frozen=True)
class Compared:
    """One way of searching over another, on the same draws: ratio of mean minutes and of mean excess."""

    total: Interval
    excess: Interval


def summarise(done: Sequence[Rehearsed], *, seed: int = 1) -> Summary:
    """Put figures on jobs.

    Parameters
    ----------
    done : sequence of Rehearsed
        Worked one way; at least one.
    seed : int
        Of the resampling.

    Returns
    -------
    Summary
        Means with 90 % intervals.
    """
    minutes = np.array([item.minutes for item in done])
    readings = np.array([float(item.readings) for item in done])
    named = [item.right for item in done if item.named]
    return Summary(
        len(done),
        float(np.mean([item.named for item in done])),
        float(np.mean([item.named or item.grouped for item in done])),
        float(np.mean(named)) if named else float("nan"),
        float(np.mean([item.right for item in done])),
        float(np.mean([item.solved for item in done])),
        _interval(minutes, None, seed),
        _interval(np.array([item.excess for item in done]), None, seed),
        float(np.median(minutes)),
        float(minutes.max()),
        _interval(readings, None, seed),
        float(np.median(readings)),
        float(readings.max()),
        float(np.mean([item.mends for item in done])),
        float(np.mean([item.vain for item in done])),
    )


def compare(ours: Sequence[Rehearsed], others: Sequence[Rehearsed], *, seed: int = 1) -> Compared:
    """Compare two ways of searching on the same jobs.

    Parameters
    ----------
    ours, others : sequence of Rehearsed
        In the same order of jobs.
    seed : int
        Of the resampling.

    Returns
    -------
    Compared
        Ratios; jobs are resampled in pairs.
    """
    total = _interval(np.array([i.minutes for i in ours]), np.array([i.minutes for i in others]), seed)
    excess = _interval(np.array([i.excess for i in ours]), np.array([i.excess for i in others]), seed)
    return Compared(total, excess)


def calibrate(done: Sequence[Rehearsed]) -> Calibration:
    """Compare the chance stated for the first mend with how often it was right.

    Parameters
    ----------
    done : sequence of Rehearsed
        Worked by the search.

    Returns
    -------
    Calibration
        In bands of stated chance.
    """
    made = [item for item in done if item.mends and not np.isnan(item.share)]
    bands = [_band(made, low, high) for low, high in pairwise(EDGES)]
    return Calibration(tuple(item for item in bands if item is not None), _band(made, 0.8, 1.0), _band(made, 0.95, 1.0))


def _band(made: Sequence[Rehearsed], low: float, high: float) -> Band | None:
    here = [item for item in made if low <= item.share < high or (high == 1.0 and item.share >= low)]
    if not here:
        return None
    return Band(low, high, len(here), float(np.mean([i.share for i in here])), float(np.mean([i.right for i in here])))


def _interval(values: Floats, under: Floats | None, seed: int) -> Interval:
    """Mean, or ratio of means, with its interval."""
    if not len(values) or (under is not None and under.mean() <= 0.0):
        return Interval(float("nan"), float("nan"), float("nan"))
    picks = np.random.default_rng(seed).integers(len(values), size=(RESAMPLES, len(values)))
    drawn, value = values[picks].mean(axis=1), float(values.mean())
    if under is not None:
        drawn, value = drawn / np.maximum(under[picks].mean(axis=1), 1e-9), value / float(under.mean())
    low, high = np.quantile(drawn, [0.05, 0.95])
    return Interval(value, float(low), float(high))
