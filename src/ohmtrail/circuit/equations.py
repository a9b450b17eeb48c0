"""Nodal equations of one setting, regime and drawn machine: one factorisation, then columns.

With ``x = Y^-1 (e_i - e_j)`` solved directly for every port, a change is a small problem in the volts
across the ports it touches (Woodbury); see `ohmtrail.circuit.response`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import splu

from ohmtrail.circuit.draws import Draw
from ohmtrail.circuit.network import NONLINEAR, Network, Regime, closed_branches, linear_values
from ohmtrail.circuit.setting import Setting
from ohmtrail.errors import CircuitError

__all__ = ["Equations"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: what the dry surface of a bare terminal lets through to the frame: gigohms; common practice, no source
STRAY_S = 1e-9
#: spread of conductances from which sums in ordinary numbers of sixteen digits are put right in longer ones, and
#: in how many rounds
STIFF, MOST_REFINED = 1e13, 40


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
    """

    network: Network
    setting: Setting
    regime: Regime
    draw: Draw

    @property
    def size(self) -> int:
        """Number of unknown node volts."""
        return len(self.network.nodes)

    @cached_property
    def there(self) -> Bools:
        """(n_branches,) whether a branch is there in this setting."""
        return closed_branches(self.network, self.setting)

    @cached_property
    def values(self) -> tuple[NDArray[np.complex128], Floats]:
        """Conductance and series volts of every branch."""
        return linear_values(self.network, self.setting, self.regime, self.draw)

    @cached_property
    def nonlinear(self) -> Ints:
        """Indices of the nonlinear branches that lie inside, in a regime where they act."""
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
        stray = np.array([group[0] for group in self.floating], dtype=np.int64)
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

    def solve(self, right: NDArray[Any]) -> NDArray[Any]:
        """Node volts for given source currents.

        Parameters
        ----------
        right : array, (size,) or (size, n)
            Ampere into each node.

        Returns
        -------
        array
            Volt, same shape; the frame is at 0.
        """
        if self.size == 0:
            return right
        wanted = np.complex128 if self.regime == "ac" else np.float64
        solved: NDArray[Any] = self._factors.solve(np.ascontiguousarray(right.astype(wanted)))
        return self._refined(solved, right) if self._stiff else solved

    @cached_property
    def _stiff(self) -> bool:
        """Whether conductances lie so far apart that ordinary numbers lose the smaller in their sums."""
        size = np.abs(self.values[0][self.values[0] != 0])
        return bool(len(size) and size.max() / min(size.min(), STRAY_S) > STIFF)

    def _refined(self, solved: NDArray[Any], right: NDArray[Any]) -> NDArray[Any]:
        """Put right what was lost: branch by branch in longer numbers, with the same factors, until it stands."""
        longer = np.clongdouble if self.regime == "ac" else np.longdouble
        on = np.flatnonzero(self.values[0] != 0)
        a, b = self.network.ends[on].T
        siemens = self.values[0][on].astype(longer) if self.regime == "ac" else self.values[0][on].real.astype(longer)
        stray = np.array([group[0] for group in self.floating], dtype=np.int64)
        flat = right.reshape(self.size, -1)
        volts: NDArray[Any] = np.zeros((self.size + 1, flat.shape[1]), dtype=longer)  # the frame last, which is where -1 points
        volts[:-1] = solved.reshape(self.size, -1)
        for _ in range(MOST_REFINED):
            amps = siemens[:, None] * (volts[a] - volts[b])
            left = np.zeros_like(volts)
            left[:-1] = flat
            np.add.at(left, a, -amps)
            np.add.at(left, b, amps)
            left[stray] = left[stray] - STRAY_S * volts[stray]
            step = self._factors.solve(np.ascontiguousarray(left[:-1].astype(solved.dtype)))
            volts[:-1] += step
            if np.abs(step).max(initial=0.0) <= 1e-12 * np.abs(volts).max(initial=1e-300):
                break
        result: NDArray[Any] = volts[:-1].astype(solved.dtype).reshape(solved.shape)
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
    def _bank(self) -> dict[tuple[int, int], NDArray[Any]]:
        """Columns solved so far, by port."""
        return {}

    @cached_property
    def settled(self) -> dict[tuple[str, bytes, bytes], Any]:
        """Where the nonlinear branches of the sound machine come to rest, by relays and chargers."""
        return {}

    def columns(self, ports: Ints) -> NDArray[Any]:
        """Columns Y^-1 (e_a - e_b) of ports (n_ports, 2), each solved once; (size, n_ports)."""
        keys = [(int(a), int(b)) for a, b in ports]
        missing = list(dict.fromkeys(key for key in keys if key not in self._bank))
        if missing:
            solved = self.solve(self.incidence(np.array(missing, dtype=np.int64)))
            self._bank.update((key, solved[:, index].copy()) for index, key in enumerate(missing))
        return np.stack([self._bank[key] for key in keys], axis=1)

    @cached_property
    def open_volts(self) -> NDArray[Any]:
        """(size,) node volts of the linear network with its own sources."""
        conductance, volts = self.values
        active = np.flatnonzero((volts != 0) & (conductance != 0))
        ports = self.network.ends[active]
        current = conductance[active] * volts[active]
        return self.solve(self.incidence(ports) @ (current if self.regime == "ac" else current.real))

    def across(self, columns: NDArray[Any], ports: Ints) -> NDArray[Any]:
        """Difference of node values (size, ...) across ports (n_ports, 2) -> (n_ports, ...)."""
        padded = np.concatenate([columns, np.zeros((1, *columns.shape[1:]), dtype=columns.dtype)])
        a, b = ports[:, 0], ports[:, 1]
        result: NDArray[Any] = padded[a] - padded[b]
        return result


def _why_singular(equations: Equations) -> str:
    loose = [equations.network.nodes[int(group[0])] for group in equations.floating]
    if loose:
        return f"the circuit has no single answer: {', '.join(loose[:5])} float and two sources meet there"
    return "the circuit has no single answer: sources without resistance fight each other"
