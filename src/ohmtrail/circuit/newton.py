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
#: volts that the bend of a nonlinear branch may be worth at its own terminals and still be left out
CLOSE_V = 1e-4
#: share by which a chord may still move and count as settled
NEAR_SHARE = 1e-5
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

    def only(self, rows: Ints) -> System:
        """The same network, some of the rows."""
        volts = None if self.charger_v is None else self.charger_v[rows]
        return replace(
            self, killed=self.killed[rows], fault_at=self.fault_at[rows], added=self.added[rows], drive=self.drive[rows], charger_v=volts
        )

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

    Most rows leave the nonlinear branches where they are on the sound machine; these are settled by the
    network as it is there, and only the rest by Newton's method.

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
    at_rest = pulled[:1] if small.equations.regime == "ac" else _rest(small)
    sound = _Sound.of(small, at_rest)
    added, net, near = sound.linear(small, pulled)
    far = np.flatnonzero(~near)
    pulled = np.where(near[:, None], sound.pulled, pulled)
    if len(far):
        rest = small.only(far)
        if small.equations.regime == "ac":
            added[far], _, net[far] = _phasors(rest, pulled[far], sound.state)
        else:
            added[far], net[far], pulled[far] = _flip(rest, pulled[far], sound.state)
    return small.touched, added, net, pulled


def _rest_state(quiet: System, pulled: Bools) -> tuple[Numbers, Numbers, Floats, Bools]:
    """Where the sound machine comes to rest: added, net current, volts (chords in AC), relay contacts."""
    if quiet.equations.regime == "ac":
        added, state, net = _phasors(quiet, pulled, None)
        return added, net, state, pulled
    start = _newton(quiet, pulled, None)[3]
    added, net, pulled = _flip(quiet, pulled, start)
    return added, net, _newton(quiet, pulled, start)[3], pulled


def _flip(small: System, pulled: Bools, start: Floats) -> tuple[Numbers, Numbers, Bools]:
    """Newton's method again and again until the relays stay as they are."""
    moving, solved = pulled, pulled
    for _ in range(MOST_FLIPS):
        added, net, _, _ = _newton(small, pulled, start)
        after = _pull(small, net, pulled)
        moving = after != pulled
        if not moving.any():
            return added, net, pulled
        solved, pulled = pulled, after
    _complain(small, moving)
    # of a machine that chatters, one moment: the volts, and the contacts they were solved with
    return added, net, solved


@dataclass(frozen=True)
class _Sound:
    """The state of the nonlinear branches on the sound machine, and the network seen from there.

    ``added`` and ``net`` are those of the law ports; ``state`` is volts (chords in AC) to start from;
    ``folded`` and ``volts`` are all ports' impedance and volts with the laws' slopes counted in.
    """

    state: Floats
    added: Numbers
    net: Numbers
    across: Numbers
    drive: Numbers
    folded: Numbers
    volts: Numbers
    pulled: Bools
    emf: Floats
    alive: Bools

    @classmethod
    def of(cls, small: System, pulled: Bools) -> _Sound:
        quiet = small.quiet()
        key = (small.equations.regime, pulled.tobytes(), quiet.emf.tobytes())
        known = small.equations.settled
        if key not in known:
            known[key] = _rest_state(quiet, pulled)
        added, net, state, pulled = known[key]
        d, u, law = added[0, 1:], net[0, 1:], small.law_at
        z_law = small.impedance[np.ix_(law, law)]
        fold = np.linalg.solve(np.eye(len(law)) + d[:, None] * z_law, np.diag(d))
        folded = small.impedance - small.impedance[:, law] @ fold @ small.impedance[law, :]
        volts = small.base_v + small.impedance[:, law] @ u
        across_law = volts[law]
        return cls(state, d, u, across_law, u + d * across_law, folded, volts, pulled, quiet.emf, quiet.alive)

    def _left_over(self, small: System, law: Numbers) -> tuple[Floats, Floats]:
        """(n_rows, n_laws) amps by which each law misses its straight line, and siemens by which its slope does."""
        laws, at = small.laws, small.equations.nonlinear
        if small.equations.regime == "ac":
            relays = np.array(laws.kind) == "relay-contact"
            size = np.abs(law)
            steeper = np.where(relays, 0.0, _chord(laws, np.maximum(size, 1e-9))[0] - self.state)
            return np.abs(steeper) * size, steeper
        contacts = np.tile(self.pulled[:, at], (len(law), 1))
        current, slope = laws.current(law, small.emf, contacts)
        chord = self.added + small.equations.values[0][at].real
        missed = np.where(self.alive, np.abs(current - (chord * law - self.drive)), 0.0)
        return missed, np.where(self.alive, slope - chord, 0.0)

    def linear(self, small: System, pulled: Bools) -> tuple[Numbers, Numbers, Bools]:
        """Settle every row on the folded network; say for which rows that holds."""
        at = small.fault_at
        z = self.folded[at[:, :, None], at[:, None, :]]
        to_laws = np.moveaxis(self.folded[small.law_at][:, at], 0, 1)
        right = np.concatenate([(self.volts[at] + np.einsum("fts,fs->ft", z, small.drive))[:, :, None], np.swapaxes(to_laws, 1, 2)], axis=2)
        solved = np.linalg.solve(system(z, small.added), right)
        net = small.drive - small.added * solved[:, :, 0]
        law = self.across + np.einsum("flt,ft->fl", to_laws, net)
        # what a law sees of the changed network, not of the sound one: behind an open lead a trickle is volts
        own = np.diagonal(self.folded)[small.law_at] - np.einsum("flt,ftl->fl", to_laws * small.added[:, None, :], solved[:, :, 1:])
        missed, steeper = self._left_over(small, law)
        with np.errstate(divide="ignore", invalid="ignore"):
            worth = np.where(missed > 0.0, missed / np.abs(1.0 / own + steeper), 0.0)
        near = np.asarray((worth < CLOSE_V).all(axis=1))
        near = near & (small.alive == self.alive).all(axis=1) & (np.abs(small.emf - self.emf) < NEAR_V).all(axis=1)
        if small.equations.regime == "ac":
            contacts = small.equations.nonlinear
            near = near & (pulled[:, contacts] == self.pulled[0, contacts]).all(axis=1)
        added = np.concatenate([small.added, np.tile(self.added, (len(at), 1))], axis=1)
        all_net = np.concatenate([net, self.drive - self.added * law], axis=1)
        if small.equations.regime != "ac":
            # a contact that stays where it is must be held there by its own coil
            held = np.tile(self.pulled, (len(at), 1))
            near = near & (_pull(small, all_net, held) == held).all(axis=1)
        return added, all_net, near


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


def _phasors(small: System, pulled: Bools, start: Floats | None) -> tuple[Numbers, Floats, Numbers]:
    """AC: chords |I| / |V| of filaments and clamps, port by port Newton steps in their logarithms.

    Gives conductance added, chords, net current.
    """
    at, slots = small.equations.nonlinear, small.fault_at.shape[1]
    guess = small.equations.values[0][at]
    own = np.abs(np.diagonal(small.impedance)[small.law_at])
    chord = np.tile(np.maximum(guess.real, 1e-9)[None, :] if start is None else start, (len(small.killed), 1))
    relays = np.array(small.laws.kind) == "relay-contact"
    chord[:, relays] = pulled[:, at[relays]] / small.laws.ohm[relays]
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
        wanted, steep = _chord(small.laws, np.maximum(np.abs(w[:, slots:]), 1e-6))
        moves = small.alive[rows] & ~relays[None, :]
        gap = np.log(np.where(moves, wanted, 1.0) / np.where(moves, chord[rows], 1.0))
        far = (np.abs(gap) > NEAR_SHARE).any(axis=1)
        load = np.abs(chord[rows] - guess.real) * own
        power = 1.0 / (1.0 + np.maximum(steep - 1.0, 0.0) * load / (1.0 + load))
        # a step that changes sides was too long: half of it next time
        damping = np.where(gap * before < 0.0, 0.5 * damping, np.minimum(1.2 * damping, 1.0))
        chord[rows] = chord[rows] * np.exp(np.clip(gap * power * damping, -3.0, 3.0))
        rows, damping, before = rows[far], damping[far], gap[far]
        if not len(rows):
            break
    return added, chord, net


def _chord(laws: Laws, size: Floats) -> tuple[Floats, Floats]:
    """Conductance |I| / |V| at an RMS value, and how many times faster than the volts the amps grow."""
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
