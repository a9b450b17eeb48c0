"""Nonlinear branches and relays: Newton's method on the few ports that matter, all rows at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from ohmtrail.circuit.bent import Bent, chatter
from ohmtrail.circuit.laws import BEND_V, DIODE_V, Laws, clamp_current, filament_current
from ohmtrail.errors import Chatters

__all__ = ["System", "across", "carried", "chord_of", "flip", "newton", "phasors", "shortened", "system"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Numbers = NDArray[Any]

#: Newton steps; from the sound machine's state three to ten are taken
MOST_STEPS = 80
#: volts within which a row has settled; the solver's own noise is some tenths of a microvolt
NEAR_V = 1e-6
#: share by which a chord may still move and count as settled
NEAR_SHARE = 1e-5
#: relays may change their minds so often before they are said to chatter
MOST_FLIPS = 10
#: share of the conductance taken away that is left where a point would hang by nothing: some thousand roundings
LEFT = 1e-12


@dataclass(frozen=True)
class System:
    """The small system of every row: changes and laws at ports of a network.

    Attributes
    ----------
    bent : Bent
        The laws that are left to settle.
    impedance, base_v : array
        Of all ports, ohm and volt.
    fault_at : array of int, (n_rows, n_slots)
        Ports of the changes; ``added`` siemens and ``drive`` ampere at each.
    law_at, coil_at : array of int, (n_laws,)
        Ports of the laws, and of the coil each relay contact follows.
    guess, given : array, (n_laws,)
        Siemens and ampere of each law that the network holds already.
    dead, coil_dead : array of bool, (n_rows, n_laws)
        What a change took away.
    sick : array of bool, (n_rows,)
        Rows with any change at all.
    emf : array, (n_rows, n_laws)
        Open-circuit volts of chargers.
    """

    bent: Bent
    impedance: Numbers
    base_v: Numbers
    fault_at: Ints
    added: Numbers
    drive: Numbers
    law_at: Ints
    coil_at: Ints
    guess: Numbers
    given: Numbers
    dead: Bools
    coil_dead: Bools
    sick: Bools
    emf: Floats

    def __len__(self) -> int:
        return len(self.fault_at)

    @cached_property
    def alive(self) -> Bools:
        """(n_rows, n_laws) whether each is there and can carry current."""
        return self.bent.alive(self.dead, self.emf)

    @cached_property
    def touched(self) -> Ints:
        """(n_rows, n_touched) ports of changes, then of laws."""
        return np.concatenate([self.fault_at, np.tile(self.law_at, (len(self), 1))], axis=1)

    @cached_property
    def z(self) -> Numbers:
        """(n_rows, n_touched, n_touched) impedance between them."""
        return self.impedance[self.touched[:, :, None], self.touched[:, None, :]]

    def only(self, rows: Ints) -> System:
        """The same network, some of the rows."""
        kept = ("fault_at", "added", "drive", "dead", "coil_dead", "sick", "emf")
        return replace(self, **{name: getattr(self, name)[rows] for name in kept})


def system(z: Numbers, added: Numbers) -> Numbers:
    """Matrix I + Z D of every row.

    Parameters
    ----------
    z, added : array
        Impedance in ohm (n_rows, n, n), conductance added in siemens (n_rows, n).

    Returns
    -------
    array, (n_rows, n, n)
        Without unit.
    """
    eye = np.eye(z.shape[-1])
    result: Numbers = eye + z * added[:, None, :]
    return result


def across(z: Numbers, added: Numbers, drive: Numbers, open_v: Numbers) -> Numbers:
    """Volts across the touched ports of every row.

    Parameters
    ----------
    z, added, drive, open_v : array
        Impedance, conductance added, source current added, volts before.

    Returns
    -------
    array, (n_rows, n)
        Volt.
    """
    right = open_v + np.einsum("fts,fs->ft", z, drive)
    return solve_rows(system(z, added), right[:, :, None])[:, :, 0]


def solve_rows(matrix: Numbers, right: Numbers) -> Numbers:
    """Solve the equations of every row, a point that is left hanging by nothing included.

    Parameters
    ----------
    matrix : array, (n_rows, n, n)
        As `system` gives it.
    right : array, (n_rows, n, m)
        Right-hand sides.

    Returns
    -------
    array, (n_rows, n, m)
        Solutions. A filament that alone held a point, taken away, leaves that point without an equation: of the
        conductance taken away so little is left that nothing else notices.
    """
    if matrix.shape[-1] == 1 and matrix.all():
        one: Numbers = right / matrix
        return one
    try:
        found: Numbers = np.linalg.solve(matrix, right)
    except np.linalg.LinAlgError:
        found = np.linalg.solve(matrix + LEFT * np.eye(matrix.shape[-1]), right)
    return found


def carried(touched: Ints, amps: Numbers, transfer: Numbers) -> Numbers:
    """Volts at points that currents at the touched ports of every row make.

    Parameters
    ----------
    touched : array of int, (n_rows, n_touched)
        Ports.
    amps : array, (n_rows, n_touched)
        Current into each, ampere.
    transfer : array, (n_ports, n_points)
        Ohm.

    Returns
    -------
    array, (n_rows, n_points)
        Volt.
    """
    row, slot = np.nonzero(amps)
    starts = np.searchsorted(row, np.arange(len(touched) + 1))
    put = csr_array((amps[row, slot], touched[row, slot], starts), shape=(len(touched), len(transfer)))
    result: Numbers = put @ transfer
    return result


def flip(small: System, pulled: Bools, start: Floats) -> tuple[Numbers, Numbers, Bools]:
    """Newton's method again and again until the relays of every row stay as they are.

    Parameters
    ----------
    small : System
        The reduced equations.
    pulled : array of bool, (n_rows, n_laws)
        Relay contacts that conduct to begin with.
    start : array, (1 or n_rows, n_laws)
        Volts across the laws to begin from.

    Returns
    -------
    tuple
        Conductance added, net source current, relay contacts that conduct.

    Raises
    ------
    Chatters
        Relays of a machine without a change never come to rest.
    """
    added, net = newton(small, pulled, start)
    solved, moving = pulled.copy(), np.arange(len(small))
    for _ in range(MOST_FLIPS - 1):
        after = _pull(small.only(moving), net[moving], solved[moving])
        changed = (after != solved[moving]).any(axis=1)
        moving, after = moving[changed], after[changed]
        if not len(moving):
            return added, net, solved
        solved[moving] = after
        added[moving], net[moving] = newton(small.only(moving), after, start)
    last = small.only(moving)
    restless = (_pull(last, net[moving], solved[moving]) != solved[moving])[~last.sick].any(axis=0)
    if restless.any():
        raise Chatters(chatter(small.bent, restless))
    # of a machine that chatters, one moment: the volts, and the contacts they were solved with
    return added, net, solved


def newton(small: System, pulled: Bools, start: Floats) -> tuple[Numbers, Numbers]:
    """Newton's method on every row at once, relay contacts as they are.

    Parameters
    ----------
    small : System
        The reduced equations.
    pulled : array of bool, (n_rows, n_laws)
        Relay contacts that conduct.
    start : array, (1 or n_rows, n_laws)
        Volts across the laws to begin from.

    Returns
    -------
    tuple of array
        Conductance added and net source current at the touched ports.
    """
    slots, laws = small.fault_at.shape[1], small.bent.laws
    v = np.array(np.broadcast_to(start, (len(small), len(small.bent))), dtype=np.float64)
    added = np.zeros(small.touched.shape)
    drive, w = np.zeros(small.touched.shape), np.zeros(small.touched.shape)
    rows = np.arange(len(v))
    for step in range(MOST_STEPS):
        alive = small.alive[rows]
        current, slope = laws.current(v[rows], small.emf[rows], pulled[rows])
        current, slope = np.where(alive, current, 0.0), np.where(alive, slope, 0.0)
        added[rows] = np.concatenate([small.added[rows], slope - small.guess], axis=1)
        drive[rows] = np.concatenate([small.drive[rows], slope * v[rows] - current - small.given], axis=1)
        w[rows] = across(small.z[rows], added[rows], drive[rows], small.base_v[small.touched[rows]])
        new = w[rows, slots:]
        far = (np.abs(new - v[rows]) > NEAR_V).any(axis=1)
        v[rows] = shortened(v[rows], new, step)
        rows = rows[far]
        if not len(rows):
            break
    return added, drive - added * w


def shortened(old: Floats, new: Floats, step: int) -> Floats:
    """Newton's step in volts, shortened after the first ones where a junction would be thrown far past its bend.

    Parameters
    ----------
    old : array
        Volt, before the step.
    new : array
        Volt, after a whole step.
    step : int
        Steps made so far.

    Returns
    -------
    array, shape of ``new``
        Volt.
    """
    if step < 4:
        return new
    limit = max(20.0 * BEND_V, DIODE_V) * (0.8 ** max(0, step - 30))
    result: Floats = old + np.clip(new - old, -limit, limit)
    return result


def _pull(small: System, net: Numbers, pulled: Bools) -> Bools:
    """(n_rows, n_laws) relay contacts that conduct once the coils' volts are known; all others as they are."""
    transfer = small.impedance[small.coil_at][:, small.touched]
    volts = small.base_v[small.coil_at] + np.einsum("lft,ft->fl", transfer, net)
    return np.where(small.bent.relays, small.bent.wanted(volts, small.coil_dead), pulled)


def phasors(small: System, pulled: Bools, start: Floats | None) -> tuple[Numbers, Floats, Numbers]:
    """Settle alternating current: chords |I| / |V| of filaments and clamps, by Newton steps in their logarithms.

    Parameters
    ----------
    small : System
        The reduced equations.
    pulled : array of bool, (n_rows, n_laws)
        Relay contacts that conduct.
    start : array or None
        Chords to begin from, siemens, (1 or n_rows, n_laws); None for a guess.

    Returns
    -------
    tuple of array
        Conductance added, chords, net source current.
    """
    slots, guess = small.fault_at.shape[1], small.guess
    own = np.abs(np.diagonal(small.impedance)[small.law_at])
    first = np.maximum(guess.real, 1e-9)[None, :] if start is None else start
    chord = np.array(np.broadcast_to(first, (len(small), len(small.bent))), dtype=np.float64)
    relays, laws = small.bent.relays, small.bent.laws
    chord[:, relays] = pulled[:, relays] / laws.ohm[relays]
    added = np.zeros(small.touched.shape, dtype=np.complex128)
    net = np.zeros(small.touched.shape, dtype=np.complex128)
    rows = np.arange(len(chord))
    damping, before = np.ones(chord.shape), np.zeros(chord.shape)
    for _ in range(MOST_STEPS * 2):
        put = np.where(small.alive[rows], chord[rows], 0.0) - guess
        added[rows] = np.concatenate([small.added[rows], put], axis=1)
        drive = np.concatenate([small.drive[rows], np.zeros(put.shape)], axis=1)
        w = across(small.z[rows], added[rows], drive, small.base_v[small.touched[rows]])
        net[rows] = drive - added[rows] * w
        wanted, steep = chord_of(laws, np.maximum(np.abs(w[:, slots:]), 1e-6))
        moves = small.alive[rows] & ~relays[None, :]
        gap = np.log(np.where(moves, wanted, 1.0) / np.where(moves, chord[rows], 1.0))
        far = (np.abs(gap) > NEAR_SHARE).any(axis=1)
        # share of the port's whole conductance that is the law's own; the network holds ``guess`` of it already
        load = np.clip(chord[rows] * own / np.maximum(np.abs(1.0 + (chord[rows] - guess.real) * own), 1e-12), 0.0, 1.0)
        power = 1.0 / (1.0 + np.maximum(steep - 1.0, 0.0) * load)
        # a step that changes sides was too long: half of it next time
        damping = np.where(gap * before < 0.0, 0.5 * damping, np.minimum(1.2 * damping, 1.0))
        chord[rows] = chord[rows] * np.exp(np.clip(gap * power * damping, -3.0, 3.0))
        rows, damping, before = rows[far], damping[far], gap[far]
        if not len(rows):
            break
    return added, chord, net


def chord_of(laws: Laws, size: Floats) -> tuple[Floats, Floats]:
    """Give the conductance |I| / |V| at an RMS value, and how many times faster than the volts the amps grow.

    Parameters
    ----------
    laws : Laws
        Filaments and clamps; for all others both are one.
    size : array, (n_rows, n_laws)
        RMS volts.

    Returns
    -------
    tuple of array
        Siemens, and a ratio.
    """
    chord, steep = np.ones_like(size), np.ones_like(size)
    kinds = np.array(laws.kind)
    lamps, clamps = kinds == "filament", kinds == "clamp"
    for at, (current, slope) in (
        (lamps, filament_current(size[:, lamps], laws.ohm[lamps], laws.volts[lamps], laws.cold_ratio)),
        (clamps, clamp_current(size[:, clamps], laws.ohm[clamps], laws.volts[clamps])),
    ):
        chord[:, at] = current / size[:, at]
        steep[:, at] = slope / chord[:, at]
    return chord, steep
