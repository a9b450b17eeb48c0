"""Nodal equations of one setting, regime and drawn machine: one factorisation, then columns.

With ``x = Y^-1 (e_i - e_j)`` solved directly for every port, a change is a small problem in the volts
across the ports it touches (Woodbury); see `ohmtrail.circuit.response`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array, csr_array
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import splu

from ohmtrail.circuit.branch_kinds import NONLINEAR
from ohmtrail.circuit.draws import Draw
from ohmtrail.circuit.network import Network, Regime, closed_branches, linear_values
from ohmtrail.circuit.setting import Setting
from ohmtrail.errors import CircuitError

__all__ = ["Equations"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: the line of a law that passes less than this, siemens, is left out: a femtoampere a volt
LEAST_S = 1e-15
#: what the dry surface of a bare terminal lets through to the frame: gigohms; common practice, no source
STRAY_S = 1e-9
#: spread of conductances from which sums in ordinary numbers of sixteen digits are put right in longer ones, and
#: in how many rounds
STIFF, MOST_REFINED = 1e13, 40
#: siemens from which a branch beside insulation loses so many digits that its own column is put right in any case
STOUT_S = 500.0
#: numbers that are put right at once, so that they stay in the processor's own memory
_AT_ONCE = 60_000
#: columns that one network keeps, in bytes
MOST_BYTES = 48_000_000


class _Bank:
    """Columns Y^-1 (e_a - e_b) of ports, one to a row, with a nought behind them for the frame."""

    def __init__(self, size: int, kind: Any) -> None:
        self._place: dict[tuple[int, int], int] = {}
        self._rows: NDArray[Any] = np.zeros((0, size + 1), dtype=kind)

    @property
    def nbytes(self) -> int:
        """Memory it takes."""
        return self._rows.nbytes

    def missing(self, keys: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """Ports that are not there; one that has grown too large is emptied first."""
        found = [key for key in dict.fromkeys(keys) if key not in self._place]
        if found and (len(self._place) + len(found)) * (self._rows.shape[1] * self._rows.itemsize) > MOST_BYTES:
            self._place, self._rows = {}, self._rows[:0]
            found = list(dict.fromkeys(keys))
        return found

    def keep(self, keys: Sequence[tuple[int, int]], solved: NDArray[Any]) -> None:
        """Take in columns, (size, n_keys)."""
        first, need = len(self._place), len(self._place) + len(keys)
        if need > len(self._rows):
            grown = np.zeros((max(need, len(self._rows) * 3 // 2), self._rows.shape[1]), dtype=self._rows.dtype)
            grown[:first] = self._rows[:first]
            self._rows = grown
        self._rows[first:need, :-1] = solved.T
        self._place.update((key, first + index) for index, key in enumerate(keys))

    def places(self, keys: Sequence[tuple[int, int]]) -> Ints:
        """(n_keys,) rows of ports that are there."""
        return np.array([self._place[key] for key in keys], dtype=np.int64)

    def read(self, places: Ints, points: Ints) -> NDArray[Any]:
        """(n_places, n_points) differences of the columns."""
        if 2 * len(points) > self._rows.shape[1]:
            rows = self._rows[places]
            whole: NDArray[Any] = np.take(rows, points[:, 0], axis=1)
            whole -= np.take(rows, points[:, 1], axis=1)
            return whole
        at = places[:, None]
        few: NDArray[Any] = self._rows[at, points[None, :, 0]] - self._rows[at, points[None, :, 1]]
        return few

    def own(self, places: Ints, points: Ints) -> NDArray[Any]:
        """(n_places,) difference of each column across its own points."""
        found: NDArray[Any] = self._rows[places, points[:, 0]] - self._rows[places, points[:, 1]]
        return found


@dataclass(frozen=True)
class Lines:
    """Straight lines that stand for the laws of bent branches.

    Attributes
    ----------
    base : Equations
        The network without them.
    added_s : array, (n_laws,)
        Conductance added to what the network has there, siemens.
    drive_a : array, (n_laws,)
        Source current, ampere.
    """

    base: Equations
    added_s: NDArray[Any]
    drive_a: NDArray[Any]


@dataclass(frozen=True)
class Equations:
    """The linear network of one setting, regime and machine.

    Attributes
    ----------
    network : Network
        The circuit.
    setting : Setting
        State of the machine.
    regime : str
        dc, ac, pulse or ohms.
    draw : Draw
        The machine.
    lines : Lines, optional
        What stands for the laws of its bent branches; the conductances of a first guess where not given.
    """

    network: Network
    setting: Setting
    regime: Regime
    draw: Draw
    lines: Lines | None = None

    def folded(self, added_s: NDArray[Any], drive_a: NDArray[Any]) -> Equations:
        """Give the same network with straight lines in the place of laws: siemens and ampere, (n_laws,)."""
        return replace(self, lines=Lines(self, added_s, drive_a))

    @property
    def size(self) -> int:
        """Number of unknown node volts."""
        return len(self.network.nodes)

    @cached_property
    def there(self) -> Bools:
        """(n_branches,) whether a branch is there in this setting."""
        if self.lines is not None:
            return self.lines.base.there
        return closed_branches(self.network, self.setting)

    @cached_property
    def values(self) -> tuple[NDArray[np.complex128], Floats]:
        """Conductance and series volts of every branch."""
        if self.lines is not None:
            conductance, volts = self.lines.base.values
            conductance = conductance.copy()
            line = conductance[self.nonlinear] + self.lines.added_s
            conductance[self.nonlinear] = np.where(np.abs(line) < LEAST_S, 0.0, line)
            return conductance, volts
        return linear_values(self.network, self.setting, self.regime, self.draw)

    @cached_property
    def nonlinear(self) -> Ints:
        """Indices of the nonlinear branches that lie inside, in a regime where they act."""
        if self.lines is not None:
            return self.lines.base.nonlinear
        if self.regime in ("ohms", "pulse"):
            return np.array([], dtype=np.int64)
        acts = {"filament", "clamp", "relay-contact"} if self.regime == "ac" else NONLINEAR
        return np.array(
            [i for i, branch in enumerate(self.network.branches) if branch.kind in acts], dtype=np.int64
        )

    @cached_property
    def floating(self) -> tuple[Ints, ...]:
        """Groups of matrix rows that nothing joins to the frame, found by graph."""
        ends = self.network.ends
        on = self.values[0] != 0
        frame = self.size
        a, b = (np.where(ends[on, side] < 0, frame, ends[on, side]) for side in (0, 1))
        links = coo_array((np.ones(len(a)), (a, b)), shape=(frame + 1, frame + 1))
        _, label = connected_components(links, directed=False)
        loose = [np.flatnonzero(label == name) for name in np.unique(label) if name != label[frame]]
        return tuple(loose)

    @cached_property
    def strays(self) -> Ints:
        """Matrix rows from which the surface of bare terminals leads to the frame: one of each group that floats.

        What floats without the laws keeps its way when a law joins it to something.
        """
        own = np.array([group[0] for group in self.floating], dtype=np.int64)
        return own if self.lines is None else np.union1d(own, self.lines.base.strays)

    @cached_property
    def _factors(self) -> Any:
        conductance, _ = self.values
        ends = self.network.ends
        on = conductance != 0
        a, b, g = ends[on, 0], ends[on, 1], conductance[on]
        rows, columns, entries = [], [], []
        for first, second, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
            real = (first >= 0) & (second >= 0)
            rows.append(first[real])
            columns.append(second[real])
            entries.append(sign * g[real])
        stray = self.strays
        rows.append(stray)
        columns.append(stray)
        entries.append(np.full(len(stray), STRAY_S, dtype=np.complex128))
        where = (np.concatenate(rows), np.concatenate(columns))
        data = np.concatenate(entries)
        matrix = csc_array((data if self.regime == "ac" else data.real, where), shape=(self.size, self.size))
        try:
            return splu(matrix, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}, diag_pivot_thresh=0.0)
        except RuntimeError as error:
            raise CircuitError(_why_singular(self)) from error

    def solve(self, right: NDArray[Any], *, fine: Bools | None = None) -> NDArray[Any]:
        """Node volts for given source currents.

        A lead with its thousandths of an ohm stands beside insulation, and what an open lead lets hang is the
        small difference: put right in longer numbers where that is worth it.

        Parameters
        ----------
        right : array, (size,) or (size, n)
            Ampere into each node.
        fine : array of bool, (n,), optional
            Columns that are put right whatever the network.

        Returns
        -------
        array
            Volt, same shape; the frame is at 0.
        """
        if self.size == 0:
            return right
        wanted = np.complex128 if self.regime == "ac" else np.float64
        flat = np.ascontiguousarray(right.reshape(self.size, -1).astype(wanted))
        solved: NDArray[Any] = self._factors.solve(flat)
        wrong = np.arange(flat.shape[1]) if self._stiff else np.flatnonzero(False if fine is None else fine)
        few = max(1, _AT_ONCE // self.size)
        for first in range(0, len(wrong), few):
            part = wrong[first : first + few]
            solved[:, part] = self._refined(solved[:, part], flat[:, part])
        return solved.reshape(right.shape)

    @cached_property
    def _stiff(self) -> bool:
        """Whether conductances lie so far apart that ordinary numbers lose the smaller in their sums."""
        size = np.abs(self.values[0][self._on])
        return bool(len(size) and size.max() / min(size.min(), STRAY_S) > STIFF)

    @cached_property
    def _stout(self) -> frozenset[tuple[int, int]]:
        """Node pairs of battery cables, straps and the like."""
        return frozenset((int(a), int(b)) for a, b in self.network.ends[np.abs(self.values[0]) > STOUT_S])

    @cached_property
    def _across(self) -> tuple[csr_array, csr_array]:
        """What takes node volts (the frame last) to volts across the branches that conduct, and its transpose; long numbers."""
        ends = self.network.ends[self._on]
        count, sign = len(ends), np.tile(np.array([1.0, -1.0], dtype=np.longdouble), len(ends))
        where = (sign, np.where(ends < 0, self.size, ends).reshape(-1), 2 * np.arange(count + 1))
        across = csr_array(where, shape=(count, self.size + 1))
        return across, across.T.tocsr()

    @cached_property
    def _on(self) -> Ints:
        """Branches that conduct at all."""
        return np.flatnonzero(self.values[0] != 0)

    def _refined(self, solved: NDArray[Any], right: NDArray[Any]) -> NDArray[Any]:
        """Put right what was lost in some columns: branch by branch in longer numbers, with the same factors.

        Once is enough for ordinary networks; where conductances lie very far apart, until it stands.
        """
        longer = np.clongdouble if self.regime == "ac" else np.longdouble
        across, back = self._across
        siemens = self.values[0][self._on]
        siemens = siemens.astype(longer) if self.regime == "ac" else siemens.real.astype(longer)
        volts: NDArray[Any] = np.zeros((self.size + 1, right.shape[1]), dtype=longer)  # the frame last
        volts[:-1] = solved
        for _ in range(MOST_REFINED):
            amps = across @ volts
            amps *= siemens[:, None]
            left = right - (back @ amps)[:-1]
            left[self.strays] -= STRAY_S * volts[self.strays]
            step = self._factors.solve(np.ascontiguousarray(left.astype(solved.dtype)))
            volts[:-1] += step
            if not self._stiff or np.abs(step).max(initial=0.0) <= 1e-12 * np.abs(volts).max(initial=1e-300):
                break
        result: NDArray[Any] = volts[:-1].astype(solved.dtype)
        return result

    def incidence(self, ports: Ints) -> NDArray[Any]:
        """(size, n_ports) columns e_a - e_b for ports given as network node pairs (n_ports, 2)."""
        wanted = np.complex128 if self.regime == "ac" else np.float64
        columns = np.zeros((self.size, len(ports)), dtype=wanted)
        for side, sign in ((0, 1.0), (1, -1.0)):
            row = ports[:, side]
            real = row >= 0
            np.add.at(columns, (row[real], np.flatnonzero(real)), sign)
        return columns

    @cached_property
    def _bank(self) -> _Bank:
        """Columns solved so far."""
        return _Bank(self.size, np.complex128 if self.regime == "ac" else np.float64)

    @property
    def nbytes(self) -> int:
        """Memory its factors and columns take, those with lines for its laws included."""
        own = self._bank.nbytes + (self._factors.nnz * 12 if "_factors" in self.__dict__ else 0)
        return int(own + sum(rest.folded.nbytes for rest in self.settled.values()))

    @cached_property
    def settled(self) -> dict[tuple[bytes, bytes], Any]:
        """Where the nonlinear branches of the sound machine come to rest, by relays and chargers."""
        return {}

    def between(self, ports: Ints, points: Ints) -> NDArray[Any]:
        """Volts across points for one ampere through ports, each solved once.

        Parameters
        ----------
        ports, points : array of int, (n, 2)
            Node pairs, the frame at -1.

        Returns
        -------
        array, (n_ports, n_points)
            Ohm; of a port that it is asked about itself, its own resistance.
        """
        return self._bank.read(self._solved(ports), points)

    def own(self, ports: Ints) -> NDArray[Any]:
        """(n_ports,) ohm that each port sees."""
        return self._bank.own(self._solved(ports), ports)

    def _solved(self, ports: Ints) -> Ints:
        """Places of ports in the bank, after those that were not there are solved."""
        keys, bank = [(a, b) for a, b in ports.tolist()], self._bank
        missing = bank.missing(keys)
        if missing:
            fine = np.array([key in self._stout for key in missing])
            bank.keep(missing, self.solve(self.incidence(np.array(missing, dtype=np.int64)), fine=fine))
        return bank.places(keys)

    @cached_property
    def open_volts(self) -> NDArray[Any]:
        """(size,) node volts of the linear network with its own sources."""
        conductance, volts = self.values
        active = np.flatnonzero((volts != 0) & (conductance != 0))
        ports = self.network.ends[active]
        current = conductance[active] * volts[active]
        put = self.injected(ports, current if self.regime == "ac" else current.real)
        if self.lines is not None:
            put = put + self.injected(self.network.ends[self.nonlinear], self.lines.drive_a)
        return self.solve(put)

    def injected(self, ports: Ints, amps: NDArray[Any]) -> NDArray[Any]:
        """(size,) amps into each node, of sources at ports (n_ports, 2)."""
        put = np.zeros(self.size + 1, dtype=np.complex128 if self.regime == "ac" else np.float64)  # the frame last
        np.add.at(put, ports[:, 0], amps)
        np.subtract.at(put, ports[:, 1], amps)
        return put[:-1]

    def across(self, volts: NDArray[Any], ports: Ints) -> NDArray[Any]:
        """(n_ports,) difference of node volts (size,) across ports (n_ports, 2)."""
        padded = np.append(volts, np.zeros(1, dtype=volts.dtype))
        result: NDArray[Any] = padded[ports[:, 0]] - padded[ports[:, 1]]
        return result


def _why_singular(equations: Equations) -> str:
    loose = [equations.network.nodes[int(group[0])] for group in equations.floating]
    if loose:
        return f"the circuit has no single answer: {', '.join(loose[:5])} float and two sources meet there"
    return "the circuit has no single answer: sources without resistance fight each other"
