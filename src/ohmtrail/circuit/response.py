"""The response of a solved circuit to many sets of changes, without solving it again.

Method: for ports p (nodes a, b) the columns ``x_p = Y^-1 (e_a - e_b)`` are solved directly; the volts
across the ports a row touches then obey ``(I + Z D) w = w0 + Z s`` with Z the port impedances, D the
added conductances and s the added source currents. Filaments, diodes, clamps, chargers and relay
contacts are further ports whose D and s follow their volts: Newton's method on that small system, all
rows at once. Cost: one factorisation, one solve per distinct port, one small solve per row.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branches import COLD_RATIO
from ohmtrail.circuit.changes import Rows, deltas
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.laws import BEND_V, DIODE_V, Laws, clamp_current, filament_current
from ohmtrail.errors import Chatters

__all__ = ["Answer", "Coupling", "respond"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Numbers = NDArray[Any]

#: Newton steps; filaments need four, junctions up to fifteen
MOST_STEPS = 60
#: volts within which the steps have ended
NEAR_V = 1e-7
#: relays may change their minds so often before they are said to chatter
MOST_FLIPS = 10


@dataclass(frozen=True)
class Coupling:
    """What one regime hands another, row by row.

    Attributes
    ----------
    charger_v : array, (n_rows, n_branches) or None
        Open-circuit volts of every charger (other branches: anything).
    pulled : array of bool, (n_rows, n_branches) or None
        Relay contacts that conduct.
    delivers : array of bool, (n_rows, n_branches) or None
        Modules' outputs that are alive.
    """

    charger_v: Floats | None = None
    pulled: Bools | None = None
    delivers: Bools | None = None


@dataclass(frozen=True)
class Answer:
    """Volts and resistances of every row.

    Attributes
    ----------
    equations : Equations
        What was solved.
    ports : array, (n_ports, 2)
        Node pairs: those asked for first.
    impedance : array, (n_ports, n_ports)
        Ohm, of the network before the changes.
    base_v : array, (n_ports,)
        Volts across the ports before the changes.
    touched : array of int, (n_rows, n_touched)
        Ports that each row touches.
    added_s : array, (n_rows, n_touched)
        Conductance added at them.
    drive_a : array, (n_rows, n_touched)
        Net source current at them, ampere.
    pulled : array of bool, (n_rows, n_branches)
        Relay contacts that conduct.
    """

    equations: Equations
    ports: Ints
    impedance: Numbers
    base_v: Numbers
    touched: Ints
    added_s: Numbers
    drive_a: Numbers
    pulled: Bools

    def volts(self, count: int) -> Numbers:
        """Open-circuit volts across the first ``count`` ports, (n_rows, count)."""
        transfer = self.impedance[:count][:, self.touched]
        result: Numbers = self.base_v[:count][None, :] + np.einsum("rft,ft->fr", transfer, self.drive_a)
        return result

    @cached_property
    def _small(self) -> Numbers:
        z = self.impedance[self.touched[:, :, None], self.touched[:, None, :]]
        return _system(z, self.added_s)

    def resistance(self, count: int) -> Numbers:
        """Source impedance seen by the first ``count`` ports, ohm, (n_rows, count)."""
        transfer = np.moveaxis(self.impedance[:count][:, self.touched], 0, 1)
        solved = np.linalg.solve(self._small, np.swapaxes(transfer, 1, 2))
        drop = np.einsum("frt,ftr->fr", transfer * self.added_s[:, None, :], solved)
        own = np.diagonal(self.impedance)[:count]
        result: Numbers = own[None, :] - drop
        return result


def _system(z: Numbers, added: Numbers) -> Numbers:
    eye = np.eye(z.shape[-1])
    result: Numbers = eye + z * added[:, None, :]
    return result


def respond(equations: Equations, rows: Rows, probes: Ints, coupling: Coupling = Coupling()) -> Answer:
    """Work out every row's volts and resistances between probe pairs.

    Parameters
    ----------
    equations : Equations
        One setting, regime and machine.
    rows : Rows
        Sets of changes, one a row.
    probes : array of int, (n_probes, 2)
        Network nodes of red and black, the frame at -1.
    coupling : Coupling
        What other regimes determined.

    Returns
    -------
    Answer
        Its first ``len(probes)`` ports are the probes.

    Raises
    ------
    Chatters
        On the sound machine relays chase each other.
    """
    network = equations.network
    nonlinear = equations.nonlinear
    follows = np.array([network.index.get(network.branches[i].follows, -1) for i in nonlinear], dtype=np.int64)
    coils = np.where([network.branches[i].kind == "relay-contact" for i in nonlinear], follows, -1) if len(nonlinear) else follows
    wanted = [probes, np.stack([rows.a, rows.b], axis=-1).reshape(-1, 2), network.ends[nonlinear], network.ends[np.maximum(coils, 0)]]
    pulsing = np.array([i for i, b in enumerate(network.branches) if b.kind == "delivers" and equations.inside[i]], dtype=np.int64)
    wanted.append(network.ends[pulsing])
    ports, inverse = _distinct(wanted)
    columns = equations.solve(equations.incidence(ports))
    impedance = equations.across(columns, ports)
    base = equations.across(equations.open_volts, ports)
    fault_at, law_at, coil_at = inverse[1].reshape(len(rows), -1), inverse[2], inverse[3]
    stressed = equations.regime in ("ac", "pulse") and equations.setting.engine != "still"
    conductance, volts = equations.values
    added: Numbers
    drive: Numbers
    added, drive = deltas(rows, conductance, volts, stressed=stressed)
    if equations.regime != "ac":
        added, drive = _real(added), _real(drive)
    if coupling.delivers is not None and equations.regime == "pulse":
        alive = coupling.delivers[:, pulsing] & ~rows.killed[:, pulsing]
        current = _real(conductance[pulsing]) * np.array([network.branches[i].volts for i in pulsing])
        fault_at = np.concatenate([fault_at, np.tile(inverse[4], (len(rows), 1))], axis=1)
        added = np.concatenate([added, np.zeros(alive.shape)], axis=1)
        drive = np.concatenate([drive, alive * current], axis=1)
    state = _State(equations, rows, impedance, base, fault_at, added, drive, law_at, coil_at, coils, coupling)
    touched, added_s, drive_a, pulled = state.settle()
    return Answer(equations, ports, impedance, base, touched, added_s, drive_a, pulled)


def _real(numbers: Numbers) -> Numbers:
    return numbers.real


def _distinct(groups: list[Ints]) -> tuple[Ints, list[Ints]]:
    """Distinct node pairs, those of the first group kept in place, and where each group went."""
    first = groups[0]
    rest = np.concatenate(groups[1:]) if len(groups) > 1 else np.zeros((0, 2), dtype=np.int64)
    unique, back = np.unique(rest, axis=0, return_inverse=True) if len(rest) else (rest, np.zeros(0, dtype=np.int64))
    ports = np.concatenate([first, unique]).astype(np.int64)
    back = np.asarray(back).reshape(-1) + len(first)
    places, start = [np.arange(len(first))], 0
    for group in groups[1:]:
        places.append(back[start : start + len(group)])
        start += len(group)
    return ports, places


@dataclass
class _State:
    """Newton's method on the ports of the changes and of the nonlinear branches."""

    equations: Equations
    rows: Rows
    impedance: Numbers
    base: Numbers
    fault_at: Ints
    added: Numbers
    drive: Numbers
    law_at: Ints
    coil_at: Ints
    coils: Ints
    coupling: Coupling

    def settle(self) -> tuple[Ints, Numbers, Numbers, Bools]:
        """Find the state in which laws, relays and network agree."""
        count, network = len(self.rows), self.equations.network
        pulled = np.tile([branch.kind == "relay-contact" and branch.rests_closed for branch in network.branches], (count, 1))
        if self.coupling.pulled is not None:
            pulled = self.coupling.pulled
        if not len(self.law_at):
            z = self.impedance[self.fault_at[:, :, None], self.fault_at[:, None, :]]
            w = _across(z, self.added, self.drive, self.base[self.fault_at])
            return self.fault_at, self.added, self.drive - self.added * w, pulled
        touched = np.concatenate([self.fault_at, np.tile(self.law_at, (count, 1))], axis=1)
        z = self.impedance[touched[:, :, None], touched[:, None, :]]
        w0 = self.base[touched]
        if self.equations.regime == "ac":
            return touched, *self._phasors(z, w0), pulled
        for _ in range(MOST_FLIPS):
            added, drive, w = self._newton(z, w0, pulled)
            after = self._pull(touched, drive - added * w, pulled)
            if (after == pulled).all():
                return touched, added, drive - added * w, pulled
            pulled = after
        if not self.rows.mode.any(axis=1).all():
            quiet = np.flatnonzero(~self.rows.mode.any(axis=1))
            self._complain(z, w0, touched, pulled, quiet)
        return touched, added, drive - added * w, pulled

    def _complain(self, z: Numbers, w0: Numbers, touched: Ints, pulled: Bools, quiet: Ints) -> None:
        added, drive, w = self._newton(z, w0, pulled)
        after = self._pull(touched, drive - added * w, pulled)
        moving = np.flatnonzero((after != pulled)[quiet].any(axis=0))
        if len(moving):
            owners = sorted({self.equations.network.branches[i].owner for i in moving})
            raise Chatters(f"{' and '.join(owners)} chatters: its own contact takes the volts off its coil and gives them back")

    def _laws(self) -> tuple[Laws, Floats, Bools]:
        """Laws of this draw, charger volts and which of them act, (n_rows, n_laws)."""
        network, draw = self.equations.network, self.equations.draw
        branches = [network.branches[i] for i in self.equations.nonlinear]
        ohm = np.array([item.ohm for item in branches]) * draw.live[self.equations.nonlinear]
        laws = Laws(tuple(item.kind for item in branches), ohm, np.array([item.volts for item in branches]), COLD_RATIO)
        there = self.equations.there[self.equations.nonlinear] | np.array([item.kind == "relay-contact" for item in branches])
        alive = there[None, :] & ~self.rows.killed[:, self.equations.nonlinear]
        emf = np.zeros(alive.shape)
        if self.coupling.charger_v is not None:
            emf = self.coupling.charger_v[:, self.equations.nonlinear]
        charging = np.array([item.kind == "charger" for item in branches])
        alive = alive & ~(charging[None, :] & (emf <= 0.0))
        return laws, emf, alive

    def _newton(self, z: Numbers, w0: Numbers, pulled: Bools) -> tuple[Numbers, Numbers, Numbers]:
        laws, emf, alive = self._laws()
        at = self.equations.nonlinear
        slots = self.fault_at.shape[1]
        guess = self.equations.values[0][at].real
        start = np.array([{"filament": v, "clamp": 0.0, "diode": 0.0}.get(k, 0.0) for k, v in zip(laws.kind, laws.volts, strict=True)])
        v = np.tile(start, (len(self.rows), 1))
        w = np.zeros(z.shape[:2])
        for step in range(MOST_STEPS):
            current, slope = laws.current(v, emf, pulled[:, at])
            current, slope = np.where(alive, current, 0.0), np.where(alive, slope, 0.0)
            added = np.concatenate([self.added, slope - guess], axis=1)
            drive = np.concatenate([self.drive, -(current - slope * v)], axis=1)
            w = _across(z, added, drive, w0)
            new = w[:, slots:]
            gap = float(np.max(np.abs(new - v), initial=0.0))
            if gap < NEAR_V:
                break
            v = _step(v, new, step)
        return added, drive, w

    def _pull(self, touched: Ints, net: Numbers, pulled: Bools) -> Bools:
        """Relay contacts after the coils' volts are known."""
        result = pulled.copy()
        network = self.equations.network
        for slot, coil in enumerate(self.coils):
            if coil < 0:
                continue
            contact = int(self.equations.nonlinear[slot])
            branch = network.branches[contact]
            port = self.coil_at[slot]
            volts = self.base[port] + np.einsum("ft,ft->f", self.impedance[port][touched], net)
            on = (np.abs(volts) >= branch.volts) & ~self.rows.killed[:, coil]
            result[:, contact] = on != branch.rests_closed
        return result

    def _phasors(self, z: Numbers, w0: Numbers) -> tuple[Numbers, Numbers]:
        """AC: chords of filaments and clamps, found by damped repetition."""
        laws, _, alive = self._laws()
        at = self.equations.nonlinear
        slots = self.fault_at.shape[1]
        guess = self.equations.values[0][at]
        chord = np.tile(np.maximum(guess.real, 1e-9), (len(self.rows), 1))
        for step in range(MOST_STEPS * 3):
            added = np.concatenate([self.added, np.where(alive, chord, 0.0) - guess], axis=1)
            drive = np.concatenate([self.drive, np.zeros(chord.shape)], axis=1)
            w = _across(z, added, drive, w0)
            size = np.maximum(np.abs(w[:, slots:]), 1e-6)
            wanted = _chord(laws, size)
            if np.max(np.abs(np.log(wanted / chord)), initial=0.0) < 1e-9:
                break
            chord = chord * (wanted / chord) ** (0.6 if step < 60 else 0.3)
        return added, drive - added * w


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


def _across(z: Numbers, added: Numbers, drive: Numbers, w0: Numbers) -> Numbers:
    """Volts across the touched ports of every row."""
    right = w0 + np.einsum("fts,fs->ft", z, drive)
    solved: Numbers = np.linalg.solve(_system(z, added), right[:, :, None])[:, :, 0]
    return solved


def _step(old: Floats, new: Floats, step: int) -> Floats:
    """Newton's step, shortened where a junction would be thrown far past its bend."""
    if step < 8:
        return new
    limit = max(20.0 * BEND_V, DIODE_V) * (0.7 ** max(0, step - 20))
    result: Floats = old + np.clip(new - old, -limit, limit)
    return result
