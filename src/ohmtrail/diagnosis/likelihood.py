"""How well each row explains the evidence.

Meter readings are taken together: severity and the healthy parts' tolerances belong to the machine and
are shared by all its readings, so each row gives a joint normal distribution from its ensemble. One
reading of a job may be slipped (probe off the metal, wrong range, misread).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp, ndtr

from ohmtrail.circuit.meter import LAMP_BRIGHT, LAMP_OUT, OHM_KNEE, Meter, scale
from ohmtrail.diagnosis.evidence import Evidence, Looked, Measured, Seen
from ohmtrail.diagnosis.foreseen import Prediction
from ohmtrail.diagnosis.table import SuspectTable

__all__ = ["SLIP", "Joint", "discrete", "joint_of", "log_likelihood", "numeric", "reading_density", "slip_density"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: chance that one reading is slipped; answers hardly change between 0.2 and 5 %
SLIP = 0.01
#: chance that a moving fault happens to be out while nothing is moved
OUT_AT_REST = 0.25
#: chance that the display flickers when the right place is moved, and when nothing moves
FLICKER, NO_FLICKER = 0.9, 0.003
#: chance of seeing damage on a sound element
FALSE_LOOK = 0.02
#: chance that a watched function is judged wrongly (dim taken for bright, one weak spark missed)
MISJUDGED = 0.005


def numeric(item: Evidence) -> bool:
    """Whether a piece of evidence is a number on a meter's scale.

    Parameters
    ----------
    item : Evidence
        What was observed.

    Returns
    -------
    bool
        Whether it is.
    """
    return isinstance(item, Measured) and not item.flickers and item.quantity not in ("beep", "lamp")


def slip_density(item: Measured, nominal_v: float) -> float:
    """Density of a slipped reading on the scale: anything the range can show.

    Parameters
    ----------
    item : Measured
        The reading.
    nominal_v : float
        The machine's supply, volt.

    Returns
    -------
    float
        Per unit of the scale.
    """
    width = {"ohms": 8.2, "volts": 1.3 * nominal_v, "ac": 250.0, "peak": 400.0, "diode": 2.6, "amps": 20.0}
    return 1.0 / width.get(item.quantity, 10.0)


def reading_density(table: SuspectTable, item: Measured, *, scan: bool = False) -> Floats:
    """Give the density of one numeric reading by itself, slips included, under every row.

    Parameters
    ----------
    table : SuspectTable
        The rows.
    item : Measured
        A number on a meter's scale.
    scan : bool
        Whether a first look with few machines will do.

    Returns
    -------
    array, (n_rows,)
        Per unit of the scale.
    """
    found = table.measured(item.quantity, item.setting, [(item.red, item.black)], scan=scan)[0]
    seen = float(scale(item.quantity, item.value, table.meter))
    return (1.0 - SLIP) * _normal(seen, found.mean, found.spread) + SLIP * slip_density(item, table.electrics.harness.supply.nominal)


@dataclass(frozen=True)
class Joint:
    """The numeric readings of a job, and each row's joint distribution of them.

    Attributes
    ----------
    items : tuple of Measured
        The readings.
    seen : array, (n_items,)
        Their scaled values.
    centred : array, (n_draws, n_rows, n_items)
        Scaled predictions less their mean over the draws.
    mean, noise : array, (n_rows, n_items)
        Means and meter sigmas.
    """

    items: tuple[Measured, ...]
    seen: Floats
    centred: Floats
    mean: Floats
    noise: Floats

    def of(self, rows: Ints) -> Joint:
        """Give the same readings under some of the rows."""
        return Joint(self.items, self.seen, self.centred[:, rows], self.mean[rows], self.noise[rows])

    def covariance(self) -> Floats:
        """(n_rows, n_items, n_items) covariance of every row."""
        draws = max(len(self.centred), 1)
        shared: Floats = np.einsum("dri,drj->rij", self.centred, self.centred) / draws
        index = np.arange(len(self.items))
        shared[:, index, index] += self.noise**2
        return shared

    def log_density(self, slip: Floats) -> Floats:
        """(n_rows,) log density with at most two slips; ``slip`` is the density of a slipped value."""
        count = len(self.items)
        if count == 0:
            return np.zeros(self.mean.shape[0])
        inverse, log_det = _inverse(self.covariance())
        gap = self.seen[None, :] - self.mean
        pulled = np.einsum("rij,rj->ri", inverse, gap)
        square = np.einsum("ri,ri->r", gap, pulled)
        whole = -0.5 * (square + log_det + count * np.log(2.0 * np.pi))
        own = np.diagonal(inverse, axis1=1, axis2=2)
        # leave reading j out: the density of the rest, from the same inverse
        alone = -0.5 * (np.log(2.0 * np.pi) - np.log(own) + pulled**2 / own)
        slipped = whole[:, None] - alone + np.log(slip)[None, :] + np.log(SLIP)
        terms = [whole[:, None] + np.log1p(-SLIP) * count, slipped + np.log1p(-SLIP) * (count - 1)]
        if count > 2:
            twice = whole[:, None] - _two_out(inverse, pulled) + _both(np.log(slip)) + 2.0 * np.log(SLIP)
            terms.append(twice + np.log1p(-SLIP) * (count - 2))
        result: Floats = logsumexp(np.concatenate(terms, axis=1), axis=1)
        return result

    def slipped(self, slip: Floats) -> Floats:
        """(n_rows, n_items) chance that each reading is the slipped one, given the row."""
        inverse, _ = _inverse(self.covariance())
        gap = self.seen[None, :] - self.mean
        pulled = np.einsum("rij,rj->ri", inverse, gap)
        own = np.diagonal(inverse, axis1=1, axis2=2)
        alone = -0.5 * (np.log(2.0 * np.pi) - np.log(own) + pulled**2 / own)
        odds = np.exp(np.minimum(np.log(slip)[None, :] + np.log(SLIP) - alone, 50.0))
        result: Floats = odds / (1.0 + odds.sum(axis=1, keepdims=True))
        return result


def _both(values: Floats) -> Floats:
    """Sum of every pair of a vector, in the order of `np.triu_indices`."""
    first, second = np.triu_indices(len(values), 1)
    result: Floats = values[first] + values[second]
    return result


def _two_out(inverse: Floats, pulled: Floats) -> Floats:
    """(n_rows, n_pairs) log density of each pair of readings given all the others, from one inverse."""
    first, second = np.triu_indices(inverse.shape[1], 1)
    a, d, b = inverse[:, first, first], inverse[:, second, second], inverse[:, first, second]
    p, q = pulled[:, first], pulled[:, second]
    determinant = np.maximum(a * d - b * b, 1e-300)
    square = (d * p * p - 2.0 * b * p * q + a * q * q) / determinant
    result: Floats = -np.log(2.0 * np.pi) + 0.5 * np.log(determinant) - 0.5 * square
    return result


def _inverse(matrix: Floats) -> tuple[Floats, Floats]:
    inverse = np.asarray(np.linalg.inv(matrix), dtype=np.float64)
    log_det = np.asarray(np.linalg.slogdet(matrix)[1], dtype=np.float64)
    return inverse, log_det


def joint_of(table: SuspectTable, items: Sequence[Measured]) -> Joint:
    """Gather the numeric readings of a job.

    Parameters
    ----------
    table : SuspectTable
        The rows.
    items : sequence of Measured
        Numeric readings.

    Returns
    -------
    Joint
        Their joint distribution under every row.
    """
    predictions = [_one(table, item) for item in items]
    draws = len(table.machines(False))
    if not items:
        empty = np.zeros((len(table), 0))
        return Joint((), np.zeros(0), np.zeros((draws, len(table), 0)), empty, empty)
    values = np.stack([item.values for item in predictions], axis=2)
    mean = values.mean(axis=0)
    seen = np.array([float(scale(item.quantity, item.value, table.meter)) for item in items])
    return Joint(tuple(items), seen, values - mean[None], mean, np.stack([item.noise for item in predictions], axis=1))


def _one(table: SuspectTable, item: Measured, *, scan: bool = False) -> Prediction:
    return table.measured(item.quantity, item.setting, [(item.red, item.black)], scan=scan)[0]


def log_likelihood(table: SuspectTable, evidence: Sequence[Evidence]) -> Floats:
    """Log likelihood of all evidence under every row.

    Parameters
    ----------
    table : SuspectTable
        The rows.
    evidence : sequence of Evidence
        In any order: the result does not depend on it.

    Returns
    -------
    array, (n_rows,)
        Natural logarithm of a density.
    """
    numbers = [item for item in evidence if isinstance(item, Measured) and numeric(item)]
    nominal = table.electrics.harness.supply.nominal
    slip = np.array([slip_density(item, nominal) for item in numbers])
    total = joint_of(table, numbers).log_density(slip)
    moving = np.array([bool(place) for place in table.moves_at])
    if numbers and moving.any():
        total = np.where(moving, _moving_numbers(table, numbers, slip), total)
    for item in evidence:
        if not numeric(item):
            total = total + np.log(discrete(table, item))
    return total


def _moving_numbers(table: SuspectTable, numbers: Sequence[Measured], slip: Floats) -> Floats:
    """Numeric readings under faults that come and go: each reading caught it out or not."""
    total = np.zeros(len(table))
    for item, density in zip(numbers, slip, strict=True):
        prediction = _one(table, item)
        seen = float(scale(item.quantity, item.value, table.meter))
        out = _normal(seen, prediction.mean, prediction.spread)
        at_rest = _normal(seen, prediction.mean[:1], prediction.spread[:1])
        steady = np.where(_moved_out(table, item, prediction), 0.5 * (1.0 - FLICKER), 1.0 - OUT_AT_REST)
        caught = np.where(_moved_out(table, item, prediction), 0.5 * (1.0 - FLICKER), OUT_AT_REST)
        total += np.log((1.0 - SLIP) * (steady * at_rest + caught * out) + SLIP * density)
    return total


def _normal(x: float, mean: Floats, sigma: Floats) -> Floats:
    result: Floats = np.exp(-0.5 * ((x - mean) / sigma) ** 2) / (sigma * np.sqrt(2.0 * np.pi))
    return result


def _moved_out(table: SuspectTable, item: Measured, prediction: Prediction) -> NDArray[np.bool_]:
    """Rows whose place is being moved and whose fault shows in this reading."""
    here = np.array([bool(place) and place == item.setting.moved for place in table.moves_at])
    shows = np.abs(prediction.mean - prediction.mean[0]) > 3.0 * prediction.spread[0] + 3.0 * prediction.noise
    result: NDArray[np.bool_] = here & shows
    return result


def discrete(table: SuspectTable, item: Evidence, *, scan: bool = False) -> Floats:
    """Chance of evidence that is no number, under every row.

    Parameters
    ----------
    table : SuspectTable
        The rows.
    item : Evidence
        Something seen or looked at, a beep, a test lamp, a flicker.
    scan : bool
        Whether a first look with few machines will do.

    Returns
    -------
    array, (n_rows,)
        Probabilities, never nought.
    """
    if isinstance(item, Looked):
        return _looked(table, item)
    if isinstance(item, Seen):
        return _seen(table, item, scan=scan)
    prediction = _one(table, item, scan=scan)
    if item.flickers:
        return np.where(_moved_out(table, item, prediction), FLICKER, NO_FLICKER)
    chance = category(table.meter, item, prediction, table.electrics.harness.supply.nominal)
    moving = np.array([bool(place) for place in table.moves_at])
    mixed = np.where(moving, (1.0 - OUT_AT_REST) * chance[0] + OUT_AT_REST * chance, chance)
    result: Floats = (1.0 - SLIP) * mixed + SLIP * 0.4
    return result


def category(meter: Meter, item: Measured, prediction: Prediction, nominal_v: float) -> Floats:
    """Chance of a beep or of a test lamp's brightness, (n_rows,)."""
    if item.quantity == "beep":
        # where meters begin to beep is spread evenly, on a log scale, between the least and the most
        low, high = (np.log10(edge + OHM_KNEE) for edge in (meter.beeper_least_ohm, meter.beeper_most_ohm))
        spread = np.sqrt(prediction.noise**2 + ((high - low) / 3.46) ** 2)
        beeps = ndtr(((low + high) / 2.0 - prediction.values) / spread[None, :]).mean(axis=0)
        heard: Floats = np.clip(beeps if item.value > 0.5 else 1.0 - beeps, 1e-9, 1.0)
        return heard
    share = prediction.values / nominal_v
    bright = ndtr((np.abs(share) - LAMP_BRIGHT) / 0.05).mean(axis=0)
    out = ndtr((LAMP_OUT - np.abs(share)) / 0.05).mean(axis=0)
    picked: Floats = bright if item.value > 0.75 else out if item.value < 0.25 else 1.0 - bright - out
    return np.clip(picked, 1e-9, 1.0)


def _looked(table: SuspectTable, item: Looked) -> Floats:
    look = np.array([max((fault.shows(item.element) for fault in row.faults), default=0.0) for row in table.rows])
    found = look + (1.0 - look) * FALSE_LOOK
    result: Floats = found if item.damaged else 1.0 - found
    return result


def _seen(table: SuspectTable, item: Seen, *, scan: bool) -> Floats:
    chance = table.seen(item.function, item.setting, scan=scan)
    moving = np.array([bool(place) for place in table.moves_at])
    here = np.array([bool(place) and place == item.setting.moved for place in table.moves_at])
    sound = chance[0]
    differs = np.abs(chance - sound[None, :]).sum(axis=1) > 0.5
    if item.sometimes:
        return np.where(moving & differs, 0.9, 0.02)
    level = chance[:, item.level]
    out = np.where(here, FLICKER, OUT_AT_REST)
    mixed = np.where(moving, (1.0 - out) * sound[item.level] + out * level, level)
    result: Floats = (1.0 - 3.0 * MISJUDGED) * mixed + MISJUDGED
    return result
