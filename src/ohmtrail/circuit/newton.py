"""Nonlinear branches and relays: Newton's method on the few ports that matter, all rows at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branches import COLD_RATIO, Branch
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.laws import BEND_V, DIODE_V, Laws, clamp_current, filament_current
from ohmtrail.errors import Chatters

__all__ = ["System", "across", "settle", "system"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Numbers = NDArray[Any]

#: Newton steps; from the sound machine's state three to ten are taken
MOST_STEPS = 80
#: volts within which a row has settled; the solver's own noise is some tenths of a microvolt
NEAR_V = 1e-6
#: relays may change their minds so often before they are said to chatter
MOST_FLIPS = 10


@dataclass(frozen=True)
class System:
    """The small system of every row.

    Attributes
    ----------
    equations : Equations
        The network it was reduced from.
    killed : array of bool, (n_rows, n_branches)
        Branches that carry nothing.
    impedance, base_v : array
        Of all ports, ohm and volt.
    fault_at : array of int, (n_rows, n_slots)
        Ports of the changes; ``added`` siemens and ``drive`` ampere at each.
    law_at, coil_at : array of int, (n_laws,)
        Ports of the nonlinear branches, and of the coil each relay contact follows.
    coils : array of int, (n_laws,)
        Branch index of that coil, -1 for what is no relay contact.
    charger_v : array, (n_rows, n_branches) or None
        Open-circuit volts of chargers.
    """

    equations: Equations
    killed: Bools
    impedance: Numbers
    base_v: Numbers
    fault_at: Ints
    added: Numbers
    drive: Numbers
    law_at: Ints
    coil_at: Ints
    coils: Ints
    charger_v: Floats | None

    @cached_property
    def branches(self) -> tuple[Branch, ...]:
        """The nonlinear branches."""
        return tuple(self.equations.network.branches[i] for i in self.equations.nonlinear)

    @cached_property
    def laws(self) -> Laws:
        """Their laws in this drawn machine."""
        items = self.branches
        ohm = np.array([item.ohm for item in items]) * self.equations.draw.live[self.equations.nonlinear]
        return Laws(tuple(item.kind for item in items), ohm, np.array([item.volts for item in items]), COLD_RATIO)

    @cached_property
    def emf(self) -> Floats:
        """(n_rows, n_laws) open-circuit volts of chargers."""
        if self.charger_v is None:
            return np.zeros((len(self.killed), len(self.branches)))
        return self.charger_v[:, self.equations.nonlinear]

    @cached_property
    def alive(self) -> Bools:
        """(n_rows, n_laws) whether each is there and can carry current."""
        at = self.equations.nonlinear
        there = self.equations.there[at] | np.array([item.kind == "relay-contact" for item in self.branches])
        charging = np.array([item.kind == "charger" for item in self.branches])
        result: Bools = there[None, :] & ~self.killed[:, at] & ~(charging[None, :] & (self.emf <= 0.0))
        return result

    @cached_property
    def touched(self) -> Ints:
        """(n_rows, n_touched) ports of changes, then of laws."""
        return np.concatenate([self.fault_at, np.tile(self.law_at, (len(self.killed), 1))], axis=1)

    @cached_property
    def z(self) -> Numbers:
        """(n_rows, n_touched, n_touched) impedance between them."""
        return self.impedance[self.touched[:, :, None], self.touched[:, None, :]]

    def quiet(self) -> System:
        """The same network without a change: one row."""
        none = np.full((1, 1), self.law_at[0] if len(self.law_at) else 0)
        zero = np.zeros((1, 1), dtype=self.added.dtype)
        volts = None if self.charger_v is None else self.charger_v[:1]
        return replace(self, killed=np.zeros_like(self.killed[:1]), fault_at=none, added=zero, drive=zero, charger_v=volts)


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
    solved: Numbers = np.linalg.solve(system(z, added), right[:, :, None])[:, :, 0]
    return solved


def settle(small: System, pulled: Bools) -> tuple[Ints, Numbers, Numbers, Bools]:
    """Find the state in which laws, relays and network agree.

    Parameters
    ----------
    small : System
        The reduced equations.
    pulled : array of bool, (n_rows, n_branches)
        Relay contacts that conduct to begin with.

    Returns
    -------
    tuple
        Ports touched, conductance added, net source current there, relay contacts that conduct.

    Raises
    ------
    Chatters
        Relays of the sound machine never come to rest.
    """
    if small.equations.regime == "ac":
        start = _phasors(small.quiet(), None)[1]
        added, _, net = _phasors(small, start)
        return small.touched, added, net, pulled
    start = _newton(small.quiet(), _rest(small), None)[3]
    moving: Bools = pulled
    for _ in range(MOST_FLIPS):
        added, net, _, _ = _newton(small, pulled, start)
        after = _pull(small, net, pulled)
        moving = after != pulled
        if not moving.any():
            return small.touched, added, net, pulled
        pulled = after
    _complain(small, moving)
    return small.touched, added, net, pulled


def _rest(small: System) -> Bools:
    return np.array([[b.kind == "relay-contact" and b.rests_closed for b in small.equations.network.branches]])


def _complain(small: System, moving: Bools) -> None:
    """Chattering is an error on a machine without a change, and a fact about a faulty one."""
    sound = ~(small.added.any(axis=1) | small.drive.any(axis=1) | small.killed.any(axis=1))
    owners = sorted({small.equations.network.branches[i].owner for i in np.flatnonzero(moving[sound].any(axis=0))})
    if owners:
        raise Chatters(f"{' and '.join(owners)} chatters: its own contact takes the volts off its coil and gives them back")


def _newton(small: System, pulled: Bools, start: Floats | None) -> tuple[Numbers, Numbers, Numbers, Floats]:
    """Conductance added, net current, volts across touched ports, volts across laws."""
    at, slots, laws = small.equations.nonlinear, small.fault_at.shape[1], small.laws
    guess = small.equations.values[0][at].real
    if start is None:
        start = np.where(np.array(laws.kind) == "filament", laws.volts, 0.0)[None, :]
    v = np.tile(start, (len(small.killed), 1))
    added = np.zeros(small.touched.shape)
    drive, w = np.zeros(small.touched.shape), np.zeros(small.touched.shape)
    rows = np.arange(len(v))
    for step in range(MOST_STEPS):
        alive = small.alive[rows]
        current, slope = laws.current(v[rows], small.emf[rows], pulled[rows][:, at])
        current, slope = np.where(alive, current, 0.0), np.where(alive, slope, 0.0)
        added[rows] = np.concatenate([small.added[rows], slope - guess], axis=1)
        drive[rows] = np.concatenate([small.drive[rows], slope * v[rows] - current], axis=1)
        w[rows] = across(small.z[rows], added[rows], drive[rows], small.base_v[small.touched[rows]])
        new = w[rows, slots:]
        far = (np.abs(new - v[rows]) > NEAR_V).any(axis=1)
        v[rows] = _step(v[rows], new, step)
        rows = rows[far]
        if not len(rows):
            break
    return added, drive - added * w, w, v


def _step(old: Floats, new: Floats, step: int) -> Floats:
    """Newton's step, shortened where a junction would be thrown far past its bend."""
    if step < 4:
        return new
    limit = max(20.0 * BEND_V, DIODE_V) * (0.8 ** max(0, step - 30))
    result: Floats = old + np.clip(new - old, -limit, limit)
    return result


def _pull(small: System, net: Numbers, pulled: Bools) -> Bools:
    """Relay contacts after the coils' volts are known."""
    result = pulled.copy()
    for slot, coil in enumerate(small.coils):
        if coil < 0:
            continue
        contact = int(small.equations.nonlinear[slot])
        branch = small.equations.network.branches[contact]
        port = small.coil_at[slot]
        volts = small.base_v[port] + np.einsum("ft,ft->f", small.impedance[port][small.touched], net)
        on = (np.abs(volts) >= branch.volts) & ~small.killed[:, coil]
        result[:, contact] = on != branch.rests_closed
    return result


def _phasors(small: System, start: Floats | None) -> tuple[Numbers, Floats, Numbers]:
    """AC: chords of filaments and clamps, found by damped repetition; added, chords, net current."""
    at, slots, laws = small.equations.nonlinear, small.fault_at.shape[1], small.laws
    guess = small.equations.values[0][at]
    chord = np.tile(np.maximum(guess.real, 1e-9)[None, :] if start is None else start, (len(small.killed), 1))
    added = np.zeros(small.touched.shape, dtype=np.complex128)
    net = np.zeros(small.touched.shape, dtype=np.complex128)
    rows = np.arange(len(chord))
    for step in range(MOST_STEPS * 2):
        put = np.where(small.alive[rows], chord[rows], 0.0) - guess
        added[rows] = np.concatenate([small.added[rows], put], axis=1)
        drive = np.concatenate([small.drive[rows], np.zeros(put.shape)], axis=1)
        w = across(small.z[rows], added[rows], drive, small.base_v[small.touched[rows]])
        net[rows] = drive - added[rows] * w
        wanted = _chord(laws, np.maximum(np.abs(w[:, slots:]), 1e-6))
        ratio = wanted / chord[rows]
        far = (np.abs(np.log(ratio)) > 1e-7).any(axis=1)
        chord[rows] = chord[rows] * ratio ** (0.6 if step < 40 else 0.3)
        rows = rows[far]
        if not len(rows):
            break
    return added, chord, net


def _chord(laws: Laws, size: Floats) -> Floats:
    """Conductance |I| / |V| at an RMS value."""
    chord = np.empty_like(size)
    kinds = np.array(laws.kind)
    lamps, clamps = kinds == "filament", kinds == "clamp"
    current, _ = filament_current(size[:, lamps], laws.ohm[lamps], laws.volts[lamps], laws.cold_ratio)
    chord[:, lamps] = current / size[:, lamps]
    current, _ = clamp_current(size[:, clamps], laws.ohm[clamps], laws.volts[clamps])
    chord[:, clamps] = current / size[:, clamps]
    return chord
