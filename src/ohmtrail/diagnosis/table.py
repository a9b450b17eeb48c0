"""The table of suspects: faults at every severity, and what each predicts, built as it is needed.

A row is one fault (or a pair) at one interval of severity. Its predictions are an ensemble: the same
healthy machines and the same places within the interval are drawn for every row, so that two faults that
are physically alike stay alike.
"""

from __future__ import annotations

import math
import weakref
from collections import OrderedDict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit import WORKS, Cases, Electrics, Setting, function_level
from ohmtrail.circuit.changes import Mode, Rows
from ohmtrail.circuit.meter import Meter, Quantity, measure, noise, scale
from ohmtrail.diagnosis.foreseen import Known, Prediction
from ohmtrail.faults import SEVERITY, Fault

__all__ = ["CELLS", "Prediction", "Row", "SuspectTable"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: intervals of severity for a wide range and for a narrow one; five do (see tests/bench)
CELLS, FEW_CELLS = 5, 3
#: machines drawn: for answers, and for a first look at candidates
ANSWER_DRAWS, SCAN_DRAWS = 12, 3
#: machines on which a function is tried first; the others only where these do not agree
FIRST_DRAWS = 4
#: sets of rows whose cases are kept; a choice works with fewer
MOST_PARTS = 24
_PLACE_SEED = 7
#: the row of the sound machine
_SOUND: Ints = np.zeros(1, dtype=np.int64)


@dataclass(frozen=True)
class Row:
    """One hypothesis: faults, each with an interval of severity, and its prior weight.

    Attributes
    ----------
    faults : tuple of Fault
        One, or two for a pair; none for the sound machine.
    bounds : tuple of (low, high)
        Interval of severity of each fault, ohm or factor; (0, 0) where it has none.
    weight : float
        Prior weight, not normalised.
    """

    faults: tuple[Fault, ...]
    bounds: tuple[tuple[float, float], ...]
    weight: float

    @property
    def mends(self) -> tuple[str, ...]:
        """Ids of the mends that put it right, sorted."""
        return tuple(sorted({fault.mend.id for fault in self.faults}))

    @property
    def moves_at(self) -> str:
        """Place that must be moved to bring the fault out, "" for a steady one."""
        return next((fault.moves_at for fault in self.faults if fault.moves_at), "")


def single_rows(faults: Sequence[Fault]) -> tuple[Row, ...]:
    """Give the sound machine, then every single fault at every interval of severity."""
    rows = [Row((), (), 0.0)]
    for fault in faults:
        cells = _cells(fault)
        rows += [Row((fault,), (cell,), fault.rate / len(cells)) for cell in cells]
    return tuple(rows)


def pair_row(first: Row, second: Row, weight: float) -> Row:
    """Give two faults at once as one row."""
    return Row(first.faults + second.faults, first.bounds + second.bounds, weight)


def _cells(fault: Fault) -> tuple[tuple[float, float], ...]:
    if not fault.high:
        return ((0.0, 0.0),)
    count = CELLS if fault.high / fault.low > 100.0 else FEW_CELLS
    edges = np.geomspace(fault.low, fault.high, count + 1)
    return tuple((float(a), float(b)) for a, b in pairwise(edges))


class SuspectTable:
    """Rows of suspects and their predictions on one machine.

    Parameters
    ----------
    electrics : Electrics
        The machine; its draws are 0 the nominal one, then `ANSWER_DRAWS`, then `SCAN_DRAWS`.
    meter : Meter
        What readings are taken with.
    rows : sequence of Row
        The sound machine first.
    parent : tuple of (SuspectTable, array of int), optional
        Another table and the places of these rows in it, -1 for none: what it has worked out is used.
    """

    def __init__(
        self, electrics: Electrics, meter: Meter, rows: Sequence[Row], *, parent: tuple[SuspectTable, Ints] | None = None
    ) -> None:
        self.electrics, self.meter, self.rows = electrics, meter, tuple(rows)
        self._parent = parent
        self._beside: list[tuple[weakref.ref[SuspectTable], Ints]] = []
        self._kept: dict[Hashable, Known] = {}
        self._parts: OrderedDict[bytes, Cases] = OrderedDict()

    def __len__(self) -> int:
        return len(self.rows)

    @cached_property
    def prior(self) -> Floats:
        """(n_rows,) prior weights; the sound machine has none."""
        return np.array([row.weight for row in self.rows])

    @cached_property
    def moves_at(self) -> tuple[str, ...]:
        """(n_rows,) place of movement of each row."""
        return tuple(row.moves_at for row in self.rows)

    @cached_property
    def cases(self) -> Cases:
        """The rows as changes to the circuit, with severities drawn machine by machine."""
        if self._parent is not None and (self._parent[1] >= 0).all():
            table, keep = self._parent
            return table.cases if np.array_equal(keep, np.arange(len(table))) else table.cases.only(keep)
        sets = [tuple(change for fault in row.faults for change in fault.changes) for row in self.rows]
        rows = Rows.of(self.electrics.network, sets)
        row, slot, order, low, high, factor = self._spread
        values = np.tile(rows.value, (len(self.electrics.draws), 1, 1))
        spots = _places(len(self.electrics.draws))[:, order]
        values[:, row, slot] = low * (high / low) ** spots * factor
        return Cases(rows, values)

    @property
    def _spread(self) -> tuple[Ints, Ints, Ints, Floats, Floats, Floats]:
        """Every change whose value is a severity: row, slot, fault of the row, bounds, and volts of a battery or one."""
        found: list[tuple[int, int, int, float, float, float]] = []
        network = self.electrics.network
        for index, row in enumerate(self.rows):
            slot = 0
            for order, (fault, (low, high)) in enumerate(zip(row.faults, row.bounds, strict=True)):
                for change in fault.changes:
                    if change.value == SEVERITY and change.mode != Mode.FLAG:
                        volts = network.branches[network.index[change.branch]].volts if change.mode == Mode.EMF else 1.0
                        found.append((index, slot, order % 2, low, high, volts))
                    slot += 1
        table = np.array(found, dtype=np.float64).reshape(-1, 6).T
        row_at, slot_at, order_at = table[:3].astype(np.int64)
        return row_at, slot_at, order_at, table[3], table[4], table[5]

    @staticmethod
    def machines(scan: bool) -> tuple[int, ...]:
        """Indices of the draws for answers, or for a first look."""
        start = 1 + (ANSWER_DRAWS if scan else 0)
        return tuple(range(start, start + (SCAN_DRAWS if scan else ANSWER_DRAWS)))

    def widened(self, more: Sequence[Row]) -> SuspectTable:
        """Give a table of these rows and some more."""
        keep = np.concatenate([np.arange(len(self)), np.full(len(more), -1)])
        return SuspectTable(self.electrics, self.meter, [*self.rows, *more], parent=(self, keep))

    def restricted(self, keep: Ints) -> SuspectTable:
        """Give a table of some of the rows."""
        return SuspectTable(self.electrics, self.meter, [self.rows[int(index)] for index in keep], parent=(self, keep))

    def reweighed(self, factors: Mapping[str, float]) -> SuspectTable:
        """Give the same rows with factors on the weight of those that a mend (by id) puts right."""
        known: dict[str, float] = {}
        rows: list[Row] = []
        for row in self.rows:
            for fault in row.faults:
                if fault.id not in known:
                    known[fault.id] = math.prod(factor for mend, factor in factors.items() if fault.mended_by(mend))
            put_right = {fault.mend.id: known[fault.id] for fault in row.faults}
            rows.append(replace(row, weight=row.weight * math.prod(put_right.values())))
        return SuspectTable(self.electrics, self.meter, rows, parent=(self, np.arange(len(rows))))

    def _known(self, key: Hashable, n_values: int, *, rough: bool) -> Known:
        """What is worked out under a key, the other table's part of it included."""
        if key not in self._kept:
            self._kept[key] = self._inherited(key) or Known.nothing(n_values, len(self), rough=rough)
        return self._kept[key]

    def _inherited(self, key: Hashable) -> Known | None:
        found: Known | None = None
        if self._parent is not None:
            table, keep = self._parent
            known = table._kept.get(key) or table._inherited(key)
            found = None if known is None else known.of(keep)
        for link, keep in self._beside:
            if (other := link()) is not None and (known := other._kept.get(key)) is not None:
                part = known.of(keep)
                if found is not None:
                    part.take(found)
                found = part
        return found

    def look_beside(self, other: SuspectTable, keep: Ints) -> None:
        """Use what another table of the same machine has worked out, for as long as somebody keeps that table.

        Parameters
        ----------
        other : SuspectTable
            It may have other weights.
        keep : array of int, (n_rows,)
            The place of each row in it, -1 for none.
        """
        self._beside.append((weakref.ref(other), keep))

    def take_over(self, other: SuspectTable) -> None:
        """Take over what another table of the same machine has worked out for rows that are here too.

        Parameters
        ----------
        other : SuspectTable
            It is not kept.
        """
        places = {row: index for index, row in enumerate(other.rows)}
        keep = np.array([places.get(row, -1) for row in self.rows], dtype=np.int64)
        for key, known in other._kept.items():
            part = known.of(keep)
            if key not in self._kept and (inherited := self._inherited(key)) is not None:
                part.take(inherited)
            self._kept[key] = part

    def _missing(self, known: Sequence[Known], rows: Ints | None) -> Ints:
        """Rows that are wanted and not known everywhere."""
        there = np.logical_and.reduce([item.rows for item in known])
        return np.flatnonzero(~there) if rows is None else rows[~there[rows]]

    def _some(self, rows: Ints) -> Cases:
        """The cases of some rows; the same object for the same rows."""
        if len(rows) == len(self):
            return self.cases
        key = rows.tobytes()
        if key not in self._parts:
            self._parts[key] = self.cases.only(rows)
            while len(self._parts) > MOST_PARTS:
                self._parts.popitem(last=False)
        self._parts.move_to_end(key)
        return self._parts[key]

    def measured(
        self,
        quantity: Quantity,
        setting: Setting,
        pairs: Sequence[tuple[str, str]],
        *,
        scan: bool = False,
        rows: Ints | None = None,
    ) -> tuple[Prediction, ...]:
        """Predict readings, each worked out once.

        Parameters
        ----------
        quantity : str
            What is read.
        setting : Setting
            State of the machine.
        pairs : sequence of (red, black)
            Probe points.
        scan : bool
            Whether a first look with few machines will do.
        rows : array of int, optional
            The rows that are asked for; all where not given.

        Returns
        -------
        tuple of Prediction
            One for each pair.
        """
        still, machines = replace(setting, moved=None), self.machines(scan)
        known = {pair: self._known((quantity, still, *pair, scan), len(machines) + 1, rough=scan) for pair in pairs}
        lacking = {pair: item for pair, item in known.items() if not item.has(rows)}
        if lacking:
            missing = self._missing(list(lacking.values()), rows)
            shown, source = measure(
                self.electrics, self.meter, quantity, list(lacking), still, self._some(missing), machines=machines
            )
            values = scale(quantity, shown, self.meter)
            sigma = np.sqrt((noise(quantity, shown, source, self.meter) ** 2).mean(axis=0))
            for index, item in enumerate(lacking.values()):
                item.fill(missing, np.concatenate([values[:, :, index], sigma[None, :, index]]))
        return tuple(known[pair].prediction for pair in pairs)

    def _turning(self, rows: Ints, chance: Floats) -> Bools:
        """(n,) whether a row's severities lie where the function turns from one level to another.

        There a few draws say little: within the row they differ, or the row beside it, of the same fault,
        comes out otherwise.
        """
        level = chance.argmax(axis=1)
        mixed: Bools = chance.max(axis=1) < 1.0
        same = [self.rows[a].faults == self.rows[b].faults and bool(self.rows[a].faults) for a, b in pairwise(rows)]
        turns = np.array(same, dtype=bool) & (level[1:] != level[:-1])
        result: Bools = mixed | np.append(turns, False) | np.append(False, turns)
        return result

    def seen(self, function: str, setting: Setting, *, scan: bool = False, rows: Ints | None = None) -> Floats:
        """Predict how well a function works.

        Parameters
        ----------
        function : str
            Id of the function.
        setting : Setting
            State of the machine.
        scan : bool
            Whether a first look will do: the nominal machine alone.
        rows : array of int, optional
            The rows that a first look is asked for; all where not given.

        Returns
        -------
        array, (n_rows, 3)
            Chance that it fails, works weakly, works, over the drawn machines; nan in rows that were not
            asked for.
        """
        still = replace(setting, moved=None)
        known = self._known((function, still, scan), 3, rough=scan)
        missing = self._missing([known], rows if scan else None)
        if len(missing) and scan:
            known.fill(missing, _shares(self._levels(function, still, missing, (0,))).T)
        elif len(missing):
            known.fill(missing, self._drawn_levels(function, still, missing).T)
        return known.values.T

    def works(self, function: str, setting: Setting) -> bool:
        """Whether a function works on the sound machine, the nominal one.

        Parameters
        ----------
        function : str
            Id of the function.
        setting : Setting
            State of the machine.

        Returns
        -------
        bool
            Worked out once.
        """
        return bool(self.seen(function, setting, scan=True, rows=_SOUND)[0, WORKS] > 0.0)

    def _levels(self, function: str, setting: Setting, rows: Ints, machines: tuple[int, ...]) -> Ints:
        """(n_draws, n) how well a function works under some rows."""
        item = self.electrics.harness.functions[function]
        return function_level(self.electrics, item, setting, self._some(rows), machines=machines)

    def _drawn_levels(self, function: str, setting: Setting, rows: Ints) -> Floats:
        """(n, 3) chances of the levels; all machines are asked only where the first ones do not agree."""
        machines = self.machines(scan=False)
        first, others = machines[:FIRST_DRAWS], machines[FIRST_DRAWS:]
        few = self._levels(function, setting, rows, first)
        chance = _shares(few)
        close = np.flatnonzero(self._turning(rows, chance))
        if len(close):
            more = self._levels(function, setting, rows[close], others)
            chance[close] = _smoothed(_shares(np.concatenate([few[:, close], more])), len(machines))
        return chance


def _shares(level: Ints) -> Floats:
    """(n_rows, 3) share of the draws in which a function fails, works weakly, works."""
    return np.stack([(level == k).mean(axis=0) for k in range(3)], axis=1)


def _smoothed(chance: Floats, count: int) -> Floats:
    """Shares of few draws, each outcome given half a draw more: none is ruled out by luck."""
    result: Floats = (chance * count + 0.5) / (count + 1.5)
    return result


def _places(count: int) -> Floats:
    """(n_draws, 2) where in its interval a severity lies: the middle for the nominal machine."""
    generator = np.random.default_rng(_PLACE_SEED)
    parts = [np.full((1, 2), 0.5)]
    for size in (ANSWER_DRAWS, SCAN_DRAWS):
        even = (np.arange(size) + 0.5) / size
        parts.append(np.stack([generator.permutation(even), generator.permutation(even)], axis=1))
    return np.concatenate(parts)[:count]
