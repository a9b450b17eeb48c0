"""From a complaint to the rows that could cause it, without working out everything else."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ohmtrail.diagnosis.evidence import Complaint, Measured, Seen
from ohmtrail.diagnosis.likelihood import discrete, log_likelihood
from ohmtrail.diagnosis.table import Row, SuspectTable

__all__ = ["causes", "likely", "possible"]

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: rows whose prior times chance of the complaint is less than this share of the best are left out
CUT = 2e-5
#: a reading that lies so many sigma from a sound machine's strays from it
STRAYS = 3.0
#: where a function turns from one level to another, an interval of severity is cut into so many
FINER = 3


def causes(table: SuspectTable, complaints: Sequence[Complaint]) -> SuspectTable:
    """Keep the rows that could cause any of the complaints and have weight enough, and the sound machine.

    Parameters
    ----------
    table : SuspectTable
        Every row.
    complaints : sequence of Seen or Measured
        Functions that fail or work weakly, readings outside their bands.

    Returns
    -------
    SuspectTable
        A smaller table with the same meaning; the sound machine stays row 0.
    """
    small = possible(table, complaints)
    return small.restricted(likely(small, complaints))


def possible(table: SuspectTable, complaints: Sequence[Complaint]) -> SuspectTable:
    """Keep the rows that could cause any of the complaints, whatever their weight, and the sound machine.

    Rows within which a function turns from working to weak or to failing are cut finer, so that what was
    seen and what is measured later speak of the same severity.

    Parameters
    ----------
    table : SuspectTable
        Every row.
    complaints : sequence of Seen or Measured
        Functions that fail or work weakly, readings outside their bands.

    Returns
    -------
    SuspectTable
        A smaller table with the same meaning; the sound machine stays row 0.
    """
    # a row that causes one of several complaints may be half of a pair that causes them all
    keep, turning = np.zeros(len(table), dtype=bool), np.zeros(len(table), dtype=bool)
    for item in complaints:
        could, turns = _could(table, item) if isinstance(item, Seen) else (_strays(table, item), turning)
        keep, turning = keep | could, turning | turns
    keep[0] = True
    rows = [part for index in np.flatnonzero(keep) for part in _cut(table.rows[index], finer=bool(turning[index]))]
    return SuspectTable(table.electrics, table.meter, rows)


def likely(small: SuspectTable, complaints: Sequence[Complaint]) -> Ints:
    """Say which of the possible causes have weight enough.

    Parameters
    ----------
    small : SuspectTable
        As `possible` gives it, with the weights that count now.
    complaints : sequence of Seen or Measured
        What is wrong.

    Returns
    -------
    array of int, (n_found,)
        Places of rows, the sound machine first.
    """
    weight = small.prior.copy()
    for item in complaints:
        weight = weight * (discrete(small, item) if isinstance(item, Seen) else _fits(small, item))
    strong = weight >= CUT * weight.max(initial=0.0)
    strong[0] = True
    return np.flatnonzero(strong)


def _cut(row: Row, *, finer: bool) -> Iterator[Row]:
    """A row, or the parts of its first interval of severity."""
    low, high = row.bounds[0] if row.bounds else (0.0, 0.0)
    if not finer or low <= 0.0:
        yield row
        return
    edges = np.geomspace(low, high, FINER + 1)
    for a, b in itertools.pairwise(edges):
        yield replace(row, bounds=((float(a), float(b)), *row.bounds[1:]), weight=row.weight / FINER)


def _could(table: SuspectTable, item: Seen) -> tuple[Bools, Bools]:
    """Rows that show the complaint on the nominal machine or lie beside such a row, and rows that turn."""
    level = table.seen(item.function, item.setting, scan=True).argmax(axis=1)
    # what comes and goes was seen to work in between: its causes are those that make it fail
    hit = level > level[0] if item.level > level[0] else level < level[0]
    alike = np.array([a.faults == b.faults for a, b in zip(table.rows, table.rows[1:], strict=False)], dtype=bool)
    turns = alike & (level[1:] != level[:-1])
    turning: Bools = np.append(False, turns) | np.append(turns, False)
    beside: Bools = np.append(False, alike & hit[:-1]) | np.append(alike & hit[1:], False)
    return hit | beside, turning


def _strays(table: SuspectTable, item: Measured) -> Bools:
    """Rows under which a reading lies apart from what a sound machine shows."""
    prediction = table.measured(item.quantity, item.setting, [(item.red, item.black)])[0]
    result: Bools = (np.abs(prediction.values - prediction.mean[0]) > STRAYS * prediction.spread[0]).any(axis=0)
    return result


def _fits(table: SuspectTable, item: Measured) -> NDArray[np.float64]:
    """Likelihood of a reading under every row, the best one being 1."""
    log = log_likelihood(table, [item])
    result: NDArray[np.float64] = np.exp(log - log.max())
    return result
