"""Changes to a circuit: what a fault is, seen from here. Many at once, as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branch_kinds import NONLINEAR
from ohmtrail.circuit.network import Network
from ohmtrail.errors import CircuitError

__all__ = ["Change", "Mode", "Rows"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


#: an open is a gap over a dirty surface, not nothing: 0.1 to 100 GΩ; common practice, no source
OPEN_OHM = 1e10


class Mode(IntEnum):
    """What a change does."""

    NONE = 0
    SERIES = 1
    SHUNT = 2
    STRESS = 3
    SCALE = 4
    EMF = 5
    KILL = 6
    FLAG = 7


@dataclass(frozen=True)
class Change:
    """One change to a circuit.

    Attributes
    ----------
    mode : Mode
        SERIES puts ``value`` ohm into the branch (infinite: open); SHUNT joins two nodes by ``value``
        ohm; STRESS does so only while generator volts stand on it; SCALE multiplies a winding's
        resistance and volts by ``value``; EMF sets a battery's volts; KILL takes a nonlinear branch or
        a module's pulses away; FLAG marks a branch dead in a way that no meter sees.
    branch : str
        Branch id, or "" for SHUNT and STRESS.
    a, b : str
        Nodes of a SHUNT or STRESS.
    value : float
        Ohm, factor or volt; replaced draw by draw where a severity is spread.
    """

    mode: Mode
    branch: str = ""
    a: str = ""
    b: str = ""
    value: float = np.inf


@dataclass(frozen=True)
class Rows:
    """Many sets of changes, one set a row.

    Attributes
    ----------
    mode, branch, a, b : array of int, (n_rows, n_slots)
        What each change is; branch and node indices, -1 for none or the frame.
    value : array, (n_rows, n_slots)
        Ohm, factor or volt.
    gone : array of int, (n_rows, n)
        Branches that carry nothing in this row, -1 for none.
    """

    mode: Ints
    branch: Ints
    a: Ints
    b: Ints
    value: Floats
    gone: Ints

    def __len__(self) -> int:
        return len(self.mode)

    def kills(self, branches: Ints) -> Bools:
        """Say which branches carry nothing.

        Parameters
        ----------
        branches : array of int, (n,)
            Branch indices.

        Returns
        -------
        array of bool, (n_rows, n)
            True where a row takes the branch away.
        """
        result = np.zeros((len(self), len(branches)), dtype=bool)
        for slot in range(self.gone.shape[1]):
            result |= self.gone[:, slot, None] == branches[None, :]
        return result & (branches >= 0)

    @classmethod
    def of(cls, network: Network, sets: Sequence[Sequence[Change]]) -> Rows:
        """Lay sets of changes out as arrays.

        Parameters
        ----------
        network : Network
            The circuit they refer to.
        sets : sequence of sequence of Change
            One inner sequence a row; an empty one is the sound machine.

        Returns
        -------
        Rows
            Shape (n_rows, most changes in a row).

        Raises
        ------
        CircuitError
            A filament, junction, clamp, charger or relay contact is to be changed other than by taking
            it away: its law has no place for it.
        """
        width = max([1, *(len(item) for item in sets)])
        shape = (len(sets), width)
        mode, branch = np.zeros(shape, dtype=np.int64), np.full(shape, -1, dtype=np.int64)
        a, b = np.full(shape, -1, dtype=np.int64), np.full(shape, -1, dtype=np.int64)
        value = np.full(shape, np.inf)
        gone = np.full(shape, -1, dtype=np.int64)
        for row, changes in enumerate(sets):
            for slot, change in enumerate(changes):
                index = network.index[change.branch] if change.branch else -1
                if change.branch in network.uptakes:
                    # a battery that is not what it was is charged as it delivers
                    gone[row, slot] = network.uptakes[change.branch]
                if index >= 0 and _takes_away(network, index, change):
                    gone[row, slot] = index
                if index >= 0 and network.branches[index].kind in NONLINEAR and index not in gone[row]:
                    raise CircuitError(_no_such_change(network, index, change))
                mode[row, slot], value[row, slot], branch[row, slot] = change.mode, change.value, index
                a[row, slot], b[row, slot] = _ends(network, index, change)
        return cls(mode, branch, a, b, value, gone)

    def only(self, rows: Ints | slice) -> Rows:
        """Give some of the rows."""
        return Rows(self.mode[rows], self.branch[rows], self.a[rows], self.b[rows], self.value[rows], self.gone[rows])

    def valued(self, value: Floats) -> Rows:
        """Give the same rows with other values, (n_rows, n_slots)."""
        return Rows(self.mode, self.branch, self.a, self.b, value, self.gone)


    def beside(self, laws: Ints) -> Rows:
        """Give the same rows without the changes of branches that a regime takes as laws.

        Parameters
        ----------
        laws : array of int
            Branches whose current follows their volts by a law; ``gone`` speaks for them.

        Returns
        -------
        Rows
            Where no law acts, as in the ohms regime, a blown filament stays a gap.
        """
        return Rows(np.where(self._of(laws), Mode.NONE, self.mode), self.branch, self.a, self.b, self.value, self.gone)

    def _of(self, branches: Ints) -> Bools:
        """(n_rows, n_slots) whether a change is one of some branches."""
        meant = np.zeros(max(int(self.branch.max(initial=0)), int(branches.max(initial=0))) + 2, dtype=bool)
        meant[branches] = True  # the last one stays false, which is where -1 points
        result: Bools = meant[self.branch]
        return result

    def apart(self, network: Network, gaps: Sequence[int]) -> Rows:
        """Give the same rows on a machine some of whose branches are opened by hand.

        Parameters
        ----------
        network : Network
            The circuit.
        gaps : sequence of int
            Branches that are lifted, parted or taken out.

        Returns
        -------
        Rows
            With one more slot for each of them; a change of such a branch itself no longer matters.
        """
        if not gaps:
            return self
        at = np.array(gaps, dtype=np.int64)
        shape = (len(self), len(at))
        ends = network.ends[at]
        return Rows(
            np.concatenate([np.where(self._of(at), Mode.NONE, self.mode), np.full(shape, Mode.SERIES)], axis=1),
            np.concatenate([self.branch, np.tile(at, (len(self), 1))], axis=1),
            np.concatenate([self.a, np.tile(ends[:, 0], (len(self), 1))], axis=1),
            np.concatenate([self.b, np.tile(ends[:, 1], (len(self), 1))], axis=1),
            np.concatenate([self.value, np.full(shape, np.inf)], axis=1),
            np.concatenate([self.gone, np.tile(at, (len(self), 1))], axis=1),
        )


def _takes_away(network: Network, index: int, change: Change) -> bool:
    if change.mode in (Mode.KILL, Mode.FLAG):
        return True
    return change.mode == Mode.SERIES and bool(np.isinf(change.value))


def _no_such_change(network: Network, index: int, change: Change) -> str:
    branch = network.branches[index]
    value = "open" if np.isinf(change.value) else f"{change.value:g}"
    return (
        f"'{branch.id}' ({branch.kind}) cannot be changed by {change.mode.name} {value}: its current is no straight "
        "line in its volts, so it can only be taken away (open, dead); put resistance into the lead or joint beside it"
    )


def _ends(network: Network, index: int, change: Change) -> tuple[int, int]:
    if index >= 0:
        return int(network.ends[index, 0]), int(network.ends[index, 1])
    return network.node_index[change.a], network.node_index[change.b]


def deltas(
    rows: Rows, conductance: NDArray[np.complex128], volts: Floats, *, stressed: bool
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Turn changes into what they add to the equations of one setting and draw.

    Parameters
    ----------
    rows : Rows
        The changes.
    conductance, volts : array, (n_branches,)
        Siemens and series volts of every branch before.
    stressed : bool
        Whether generator volts stand on the circuit.

    Returns
    -------
    tuple of array, (n_rows, n_slots)
        Added conductance in siemens, and added source current in ampere, of each slot.
    """
    has = rows.branch >= 0
    before = np.where(has, conductance[rows.branch], 0.0)
    emf = np.where(has, volts[rows.branch], 0.0).astype(np.complex128)
    after, after_emf = _changed(rows, before, emf, stressed=stressed)
    for slot in range(1, rows.mode.shape[1]):
        again = has[:, slot, None] & (rows.branch[:, :slot] == rows.branch[:, slot, None])
        if again.any():
            # a branch that is changed twice: the second change starts from what the first one left
            before[:, slot], emf[:, slot] = _left(again, after, before[:, slot]), _left(again, after_emf, emf[:, slot])
            after, after_emf = _changed(rows, before, emf, stressed=stressed)
    return after - before, after * after_emf - before * emf


def _left(again: Bools, after: NDArray[np.complex128], before: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """What the last earlier change of the same branch left, (n_rows,)."""
    for slot in range(again.shape[1]):
        before = np.where(again[:, slot], after[:, slot], before)
    return before


def _changed(
    rows: Rows, before: NDArray[np.complex128], emf: NDArray[np.complex128], *, stressed: bool
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Conductance and series volts of every slot's branch after its change, (n_rows, n_slots)."""
    after, after_emf = before.copy(), emf.copy()
    series = rows.mode == Mode.SERIES
    value = np.where(np.isinf(rows.value), OPEN_OHM, rows.value)
    with np.errstate(invalid="ignore", divide="ignore"):
        after = np.where(series, before / (1.0 + before * value), after)
        shunt = (rows.mode == Mode.SHUNT) | ((rows.mode == Mode.STRESS) & stressed)
        after = np.where(shunt, 1.0 / rows.value, after)
        scale = rows.mode == Mode.SCALE
        after = np.where(scale, before / rows.value, after)
        after_emf = np.where(scale, emf * rows.value, after_emf)
    after = np.where(rows.mode == Mode.KILL, 0.0, after)
    after_emf = np.where((rows.mode == Mode.EMF) & (emf != 0.0), rows.value, after_emf)
    return after, after_emf
