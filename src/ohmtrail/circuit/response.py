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

from ohmtrail.circuit.changes import Rows, deltas
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.newton import System, across, system
from ohmtrail.circuit.settle import Settled, settle

__all__ = ["Answer", "Coupling", "respond"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Numbers = NDArray[Any]

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
    feed : tuple of (volt, ohm) or None
        A meter that feeds the first probe pair, as a source behind a resistance.
    """

    charger_v: Floats | None = None
    pulled: Bools | None = None
    delivers: Bools | None = None
    feed: tuple[float, float] | None = None


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
        Ohm, of the sound machine: its laws as the straight lines that touch them where it rests.
    base_v : array, (n_ports,)
        Volts across the ports there.
    fault_at : array of int, (n_rows, n_slots)
        Ports of the changes.
    touched : array of int, (n_rows, n_touched)
        Ports that each row touches: those of the changes, then of the laws they move.
    added_s : array, (n_rows, n_touched)
        Conductance added at them.
    drive_a : array, (n_rows, n_touched)
        Net source current at them, ampere.
    law_net : array, (n_rows, n_laws)
        Net source current of every law in the linear network, ampere.
    pulled : array of bool, (n_rows, n_branches)
        Relay contacts that conduct.
    """

    equations: Equations
    ports: Ints
    impedance: Numbers
    base_v: Numbers
    fault_at: Ints
    touched: Ints
    added_s: Numbers
    drive_a: Numbers
    law_net: Numbers
    pulled: Bools

    def volts(self, count: int) -> Numbers:
        """Open-circuit volts across the first ``count`` ports, (n_rows, count)."""
        transfer = self.impedance[:count][:, self.touched]
        result: Numbers = self.base_v[:count][None, :] + np.einsum("rft,ft->fr", transfer, self.drive_a)
        return result

    @cached_property
    def _small(self) -> Numbers:
        z = self.impedance[self.touched[:, :, None], self.touched[:, None, :]]
        return system(z, self.added_s)

    def resistance(self, count: int) -> Numbers:
        """Source impedance seen by the first ``count`` ports, ohm, (n_rows, count)."""
        transfer = np.moveaxis(self.impedance[:count][:, self.touched], 0, 1)
        solved = np.linalg.solve(self._small, np.swapaxes(transfer, 1, 2))
        drop = np.einsum("frt,ftr->fr", transfer * self.added_s[:, None, :], solved)
        own = np.diagonal(self.impedance)[:count]
        result: Numbers = own[None, :] - drop
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
    rows = rows.beside(nonlinear)
    follows = np.array([network.index.get(network.branches[i].follows, -1) for i in nonlinear], dtype=np.int64)
    coils = np.where([network.branches[i].kind == "relay-contact" for i in nonlinear], follows, -1) if len(nonlinear) else follows
    wanted = [probes, np.stack([rows.a, rows.b], axis=-1).reshape(-1, 2), network.ends[nonlinear], network.ends[np.maximum(coils, 0)]]
    pulsing = np.array([i for i, b in enumerate(network.branches) if b.kind == "delivers"], dtype=np.int64)
    wanted.append(network.ends[pulsing])
    ports, inverse = _distinct(wanted)
    impedance = equations.across(equations.columns(ports), ports)
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
        alive = coupling.delivers[:, pulsing] & ~rows.kills(pulsing)
        current = _real(conductance[pulsing]) * np.array([network.branches[i].volts for i in pulsing])
        fault_at = np.concatenate([fault_at, np.tile(inverse[4], (len(rows), 1))], axis=1)
        added = np.concatenate([added, np.zeros(alive.shape)], axis=1)
        drive = np.concatenate([drive, alive * current], axis=1)
    if coupling.feed is not None:
        ohm = coupling.feed[1]
        fault_at = np.concatenate([fault_at, np.zeros((len(rows), 1), dtype=np.int64)], axis=1)
        added = np.concatenate([added, np.full((len(rows), 1), 1.0 / ohm)], axis=1)
        drive = np.concatenate([drive, np.full((len(rows), 1), coupling.feed[0] / ohm)], axis=1)
    rest = np.array([b.kind == "relay-contact" and b.rests_closed for b in network.branches])
    pulled = np.tile(rest, (len(rows), 1)) if coupling.pulled is None else coupling.pulled
    if not len(law_at):
        z = impedance[fault_at[:, :, None], fault_at[:, None, :]]
        quiet = equations.regime == "ohms"
        net = np.zeros(added.shape) if quiet else drive - added * across(z, added, drive, base[fault_at])
        return Answer(equations, ports, impedance, base, fault_at, fault_at, added, net, np.zeros((len(rows), 0)), pulled)
    small = System(
        equations,
        np.arange(len(nonlinear)),
        impedance,
        base,
        fault_at,
        added,
        drive,
        law_at,
        coil_at,
        coils,
        guess=conductance[nonlinear] if equations.regime == "ac" else conductance[nonlinear].real,
        given=np.zeros(len(nonlinear)),
        dead=rows.kills(nonlinear),
        coil_dead=rows.kills(coils),
        sick=np.asarray(np.concatenate([added != 0, drive != 0, rows.gone >= 0], axis=1).any(axis=1)),
        emf=np.zeros((len(rows), len(nonlinear))) if coupling.charger_v is None else coupling.charger_v[:, nonlinear],
    )
    return _answer(small, ports, settle(small, pulled[:, nonlinear]), pulled)


def _answer(small: System, ports: Ints, found: Settled, pulled: Bools) -> Answer:
    """An answer from rows at rest; contacts that were asked about are those that conduct now."""
    conducts = pulled.copy()
    conducts[:, small.at] = found.pulled
    at, net = small.fault_at, found.net
    return Answer(
        small.equations, ports, found.impedance, found.base_v, at, found.touched, found.added, net, found.law_net, conducts
    )


def _real(numbers: Numbers) -> Numbers:
    return numbers.real


def _distinct(groups: list[Ints]) -> tuple[Ints, list[Ints]]:
    """Distinct node pairs, those of the first group kept in place, and where each group went."""
    first = groups[0]
    rest = np.concatenate(groups[1:]) if len(groups) > 1 else np.zeros((0, 2), dtype=np.int64)
    width = int(rest.max(initial=0)) + 2
    codes, back = np.unique((rest[:, 0] + 1) * width + rest[:, 1] + 1, return_inverse=True)
    unique = np.stack([codes // width - 1, codes % width - 1], axis=1)
    ports = np.concatenate([first, unique]).astype(np.int64)
    back = np.asarray(back).reshape(-1) + len(first)
    places, start = [np.arange(len(first))], 0
    for group in groups[1:]:
        places.append(back[start : start + len(group)])
        start += len(group)
    return ports, places
