"""Every single fault as it shows to a meter: faults that no terminal tells apart are one row of the plan."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit import Cases, Change, Mode, Network
from ohmtrail.circuit.changes import Rows
from ohmtrail.faults import SEVERITY, Fault

__all__ = ["Effects", "effects_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: severities that plans are made for lie so many decades apart; the coverage is counted on severities drawn freely
GRID_DECADES = 0.8
#: ranges narrower than this have severities of their own
NARROW = 16.0


@dataclass(frozen=True)
class Effects:
    """Single faults at a few severities, merged where they do the same to the circuit.

    Attributes
    ----------
    cases : Cases
        Changes to the circuit, the sound machine first.
    electric : array of int, (n_rows,)
        Row of ``cases`` that each row of the plan is.
    weight : array, (n_rows,)
        Share of each row of the plan in all single faults; they add up to one.
    moves_at : tuple of str
        (n_rows,) place of movement, "" for a steady fault.
    faults : tuple of Fault
        Every single fault.
    shares : tuple of (array of int, float)
        Of each fault: the rows that it is at its severities, and the share of each of them.
    """

    cases: Cases
    electric: Ints
    weight: Floats
    moves_at: tuple[str, ...]
    faults: tuple[Fault, ...]
    shares: tuple[tuple[Ints, float], ...]

    def by_element(self, chance: Floats) -> dict[str, tuple[float, float]]:
        """Add a chance up over the faults of each element.

        Parameters
        ----------
        chance : array, (n_rows,)
            Such as that a row is noticed.

        Returns
        -------
        dict of str to (float, float)
            Element -> its share of all single faults, and that times the chance; in the order of the harness file.
        """
        found: dict[str, tuple[float, float]] = {}
        for fault, (rows, share) in zip(self.faults, self.shares, strict=True):
            had, seen = found.get(fault.element, (0.0, 0.0))
            found[fault.element] = (had + share * len(rows), seen + share * float(chance[rows].sum()))
        return found


def effects_of(network: Network, faults: Sequence[Fault]) -> Effects:
    """Lay out every single fault for planning.

    Parameters
    ----------
    network : Network
        The machine.
    faults : sequence of Fault
        Every single fault.

    Returns
    -------
    Effects
        In the order in which they are first met.
    """
    sets: dict[tuple[Change, ...], int] = {(): 0}
    rows: dict[tuple[int, str], int] = {}
    shares: list[tuple[Ints, float]] = []
    total = sum(fault.rate for fault in faults)
    for fault in faults:
        severities = _severities(fault)
        mine = []
        for severity in severities:
            changes = tuple(_plain(network, change, severity) for change in fault.changes)
            key = (sets.setdefault(changes, len(sets)), fault.moves_at)
            mine.append(rows.setdefault(key, len(rows)))
        shares.append((np.array(mine, dtype=np.int64), fault.rate / len(severities) / total))
    weight = np.zeros(len(rows))
    for at, share in shares:
        np.add.at(weight, at, share)
    electric = np.array([key[0] for key in rows], dtype=np.int64)
    cases = Cases(Rows.of(network, list(sets)))
    return Effects(cases, electric, weight, tuple(key[1] for key in rows), tuple(faults), tuple(shares))


def _severities(fault: Fault) -> tuple[float, ...]:
    """Severities to plan for, evenly on a log scale; those of wide ranges lie on one grid for all faults."""
    if not fault.high:
        return (0.0,)
    if fault.high / fault.low < NARROW:
        spots = np.array([1.0, 3.0, 5.0]) / 6.0
        return tuple(float(fault.low * (fault.high / fault.low) ** spot) for spot in spots)
    return tuple(_grid(fault.low, fault.high))


def _grid(low: float, high: float) -> Iterator[float]:
    first = math.ceil(math.log10(low) / GRID_DECADES)
    last = math.floor(math.log10(high) / GRID_DECADES)
    for step in range(first, last + 1):
        yield 10.0 ** (step * GRID_DECADES)


def _plain(network: Network, change: Change, severity: float) -> Change:
    """A change at one severity; a joint of a lead is the same to its terminals as the lead."""
    if change.value == SEVERITY:
        value = severity * network.branches[network.index[change.branch]].volts if change.mode == Mode.EMF else severity
        change = replace(change, value=value)
    if change.mode == Mode.SERIES and network.branches[network.index[change.branch]].kind == "joint":
        return replace(change, branch=network.branches[network.index[change.branch]].owner)
    return change
