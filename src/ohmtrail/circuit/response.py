"""The response of a solved circuit to many sets of changes, without solving it again.

Method: for ports p (nodes a, b) the columns ``x_p = Y^-1 (e_a - e_b)`` are solved directly; the volts
across the ports a row touches then obey ``(I + Z D) w = w0 + Z s`` with Z the port impedances, D the
added conductances and s the added source currents. Filaments, diodes, clamps, chargers and relay
contacts stand in the network as the straight lines that touch their laws on the sound machine; where a
row moves one off its line it is a further port whose D and s follow its volts: Newton's method on that
small system, all rows at once. Cost: some factorisations to find the sound machine at rest, one solve per
distinct port, one small solve per row.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.bent import Bent
from ohmtrail.circuit.changes import Rows, deltas
from ohmtrail.circuit.drawn import by_changes, drawn
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.newton import carried, solve_rows, system
from ohmtrail.circuit.rest import rest_of
from ohmtrail.circuit.settle import Asked, Settled, settle

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
    feed : tuple of (volt, ohm or array of ohm, (n_rows,)) or None
        A meter that feeds the first probe pair, as a source behind a resistance; of nought volts, a resistance across it.
    """

    charger_v: Floats | None = None
    pulled: Bools | None = None
    delivers: Bools | None = None
    feed: tuple[float, float | Floats] | None = None


@dataclass(frozen=True)
class Answer:
    """Volts and resistances of every row.

    Attributes
    ----------
    equations : Equations
        What was solved.
    sound : Equations
        The same with straight lines for the laws of the sound machine: what all below is seen from.
    probes : array of int, (n_probes, 2)
        Node pairs that were asked for.
    ports : array of int, (n_ports, 2)
        Node pairs of changes and laws.
    impedance : array, (n_ports, n_ports)
        Ohm, of the sound machine: its laws as the straight lines that touch them where it rests.
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
    sound: Equations
    probes: Ints
    ports: Ints
    impedance: Numbers
    fault_at: Ints
    touched: Ints
    added_s: Numbers
    drive_a: Numbers
    law_net: Numbers
    pulled: Bools

    @property
    def nbytes(self) -> int:
        """Memory its own arrays take."""
        own = (self.ports, self.impedance, self.fault_at, self.touched, self.added_s, self.drive_a, self.law_net, self.pulled)
        return sum(item.nbytes for item in own)

    def at(self, probes: Ints) -> Answer:
        """Give the same rows, asked at other points."""
        return replace(self, probes=probes)

    @cached_property
    def _transfer(self) -> Numbers:
        """(n_ports, n_probes) ohm."""
        return self.sound.between(self.ports, self.probes)

    @cached_property
    def volts(self) -> Numbers:
        """Open-circuit volts across the probes, (n_rows, n_probes)."""
        sound_v = self.sound.across(self.sound.open_volts, self.probes)
        return sound_v + carried(self.touched, self.drive_a, self._transfer)

    @cached_property
    def resistance(self) -> Numbers:
        """Source impedance seen by the probes, ohm, (n_rows, n_probes)."""
        transfer, own = self._transfer, self.sound.own(self.probes)
        result: Numbers = np.tile(own, (len(self.touched), 1))
        for rows, slots in by_changes(self.added_s):
            at, added = self.touched[rows, slots], self.added_s[rows, slots]
            reached = transfer[at]
            solved = solve_rows(system(self.impedance[at[:, :, None], at[:, None, :]], added), reached)
            result[rows[:, 0]] -= np.einsum("ftr,ftr->fr", reached * added[:, :, None], solved)
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
        Of every row.

    Raises
    ------
    Chatters
        On the sound machine relays chase each other.
    """
    network, nonlinear = equations.network, equations.nonlinear
    rows = rows.beside(nonlinear)
    pulsing = np.flatnonzero(network.kinds == "delivers")
    ends = np.stack([rows.a, rows.b], axis=-1).reshape(-1, 2)
    fed = probes[:1] if coupling.feed is not None else probes[:0]
    ports, (at, pulse_at, feed_at) = _distinct([ends, network.ends[pulsing], fed])
    fault_at, added, drive = _put(equations, rows, at.reshape(len(rows), -1), (pulsing, pulse_at), feed_at, coupling)
    pulled = np.tile(network.resting, (len(rows), 1)) if coupling.pulled is None else coupling.pulled
    if not len(nonlinear):
        return _straight(equations, probes, ports, fault_at, added, drive, pulled)
    bent = Bent.every(equations)
    emf = np.zeros((len(rows), len(bent))) if coupling.charger_v is None else coupling.charger_v[:, nonlinear]
    asked = Asked(
        bent=bent,
        rest=rest_of(equations, bent, emf[0], pulled[0, nonlinear]),
        ports=ports,
        fault_at=fault_at,
        added=added,
        drive=drive,
        dead=rows.kills(nonlinear),
        coil_dead=rows.kills(bent.coils),
        sick=np.asarray(np.concatenate([added != 0, drive != 0, rows.gone >= 0], axis=1).any(axis=1)),
        emf=emf,
        pulled=pulled[:, nonlinear],
    )
    return _bent(equations, probes, asked, settle(asked), pulled)


def _put(
    equations: Equations, rows: Rows, fault_at: Ints, pulses: tuple[Ints, Ints], feed_at: Ints, coupling: Coupling
) -> tuple[Ints, Numbers, Numbers]:
    """Ports of what each row puts in, conductance added and source current: changes, pulses, a meter's feed."""
    stressed = equations.regime in ("ac", "pulse") and equations.setting.engine != "still"
    conductance, volts = equations.values
    added: Numbers
    drive: Numbers
    added, drive = deltas(rows, conductance, volts, stressed=stressed)
    if equations.regime != "ac":
        added, drive = _real(added), _real(drive)
    if coupling.delivers is not None and equations.regime == "pulse":
        pulsing, pulse_at = pulses
        alive = coupling.delivers[:, pulsing] & ~rows.kills(pulsing)
        current = _real(conductance[pulsing]) * np.array([equations.network.branches[i].volts for i in pulsing])
        fault_at = np.concatenate([fault_at, np.tile(pulse_at, (len(rows), 1))], axis=1)
        added = np.concatenate([added, np.zeros(alive.shape)], axis=1)
        drive = np.concatenate([drive, alive * current], axis=1)
    if coupling.feed is not None:
        open_v, ohm = coupling.feed
        per_ohm = np.broadcast_to(1.0 / np.asarray(ohm), (len(rows),))[:, None]
        fault_at = np.concatenate([fault_at, np.tile(feed_at, (len(rows), 1))], axis=1)
        added, drive = np.concatenate([added, per_ohm], axis=1), np.concatenate([drive, open_v * per_ohm], axis=1)
    return fault_at, added, drive


def _straight(
    equations: Equations, probes: Ints, ports: Ints, fault_at: Ints, added: Numbers, drive: Numbers, pulled: Bools
) -> Answer:
    """Rows of a network without laws."""
    impedance, base = equations.between(ports, ports), equations.across(equations.open_volts, ports)
    z = impedance[fault_at[:, :, None], fault_at[:, None, :]]
    quiet = equations.regime == "ohms"
    before = base[fault_at] + np.einsum("fts,fs->ft", z, drive)
    net = np.zeros(added.shape) if quiet else drive - drawn(z, added, before[:, :, None])[:, :, 0]
    none = np.zeros((len(fault_at), 0))
    return Answer(equations, equations, probes, ports, impedance, fault_at, fault_at, added, net, none, pulled)


def _bent(equations: Equations, probes: Ints, asked: Asked, found: Settled, pulled: Bools) -> Answer:
    """Rows at rest; contacts that were asked about are those that conduct now."""
    conducts = pulled.copy()
    conducts[:, asked.bent.at] = found.pulled
    return Answer(
        equations,
        asked.rest.folded,
        probes,
        found.ports,
        found.impedance,
        asked.fault_at,
        found.touched,
        found.added,
        found.net,
        found.law_net,
        conducts,
    )


def _real(numbers: Numbers) -> Numbers:
    return numbers.real


def _distinct(groups: list[Ints]) -> tuple[Ints, list[Ints]]:
    """Distinct node pairs, and where each group went."""
    every = np.concatenate(groups)
    width = int(every.max(initial=0)) + 2
    codes, back = np.unique((every[:, 0] + 1) * width + every[:, 1] + 1, return_inverse=True)
    ports = np.stack([codes // width - 1, codes % width - 1], axis=1).astype(np.int64)
    bounds = np.cumsum([len(group) for group in groups])[:-1]
    return ports, np.split(np.asarray(back).reshape(-1), bounds)
