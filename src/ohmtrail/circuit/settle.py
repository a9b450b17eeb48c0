"""Where laws, relays and network agree: most rows leave most laws where they are on the sound machine.

The sound machine is settled once and its laws are folded into the network as the straight lines that touch
them there. A row then needs only the laws that its change moves off their lines: those are unfolded and
settled by Newton's method, all others are checked afterwards, and any that moved too is unfolded as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.newton import System, chord_of, flip, phasors, system

__all__ = ["Settled", "settle"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Numbers = NDArray[Any]

#: volts that the bend of a law may be worth at its own terminals and still be left out
CLOSE_V = 1e-4
#: volts within which a charger is where it is on the sound machine
NEAR_V = 1e-6
#: rows are settled together as long as they need no more laws than these between them
TOGETHER = 16
#: rounds of unfolding before every law of a row is unfolded
ROUNDS = 6


@dataclass(frozen=True)
class Settled:
    """Every row at rest, seen from the sound machine.

    Attributes
    ----------
    impedance, base_v : array
        Of all ports, ohm and volt, with the sound machine's laws folded in.
    touched : array of int, (n_rows, n_touched)
        Ports of the changes, then of the laws that moved; the latter padded with the first law's port.
    added, net : array, (n_rows, n_touched)
        Conductance added there, siemens, and net source current, ampere.
    law_net : array, (n_rows, n_laws)
        Net source current of every law in the network without laws, ampere.
    pulled : array of bool, (n_rows, n_laws)
        Relay contacts that conduct.
    """

    impedance: Numbers
    base_v: Numbers
    touched: Ints
    added: Numbers
    net: Numbers
    law_net: Numbers
    pulled: Bools


def settle(small: System, pulled: Bools) -> Settled:
    """Find the state in which laws, relays and network agree.

    Parameters
    ----------
    small : System
        The reduced equations, all laws in use.
    pulled : array of bool, (n_rows, n_laws)
        Relay contacts that conduct to begin with.

    Returns
    -------
    Settled
        Every row.

    Raises
    ------
    Chatters
        Relays of the sound machine never come to rest.
    """
    ac = small.equations.regime == "ac"
    at_rest = pulled[:1] if ac else np.array([[item.kind == "relay-contact" and item.rests_closed for item in small.branches]])
    sound = _Sound.of(small, at_rest)
    work = _Work.of(sound, small, pulled)
    moved = work.check(np.arange(len(small)), pulled)
    rows = np.flatnonzero(moved.any(axis=1))
    for turn in range(ROUNDS + 1):
        if not len(rows):
            break
        if turn == ROUNDS:
            moved[rows] = True
        for members, laws in _batches(moved, rows):
            work.unfold(members, laws, pulled)
        more = work.check(rows, pulled) & ~moved[rows]
        moved[rows] |= more
        rows = rows[more.any(axis=1)]
    return work.settled()


def _batches(moved: Bools, rows: Ints) -> Iterator[tuple[Ints, Ints]]:
    """Rows that are settled together, and the laws they need between them."""
    kinds, which = np.unique(np.packbits(moved[rows], axis=1), axis=0, return_inverse=True)
    which = np.asarray(which).reshape(-1)
    wanted = np.zeros(moved.shape[1], dtype=bool)
    members: list[Ints] = []
    for kind in range(len(kinds)):
        mine = rows[which == kind]
        both = wanted | moved[mine[0]]
        if members and both.sum() > TOGETHER:
            yield np.concatenate(members), np.flatnonzero(wanted)
            members, both = [], moved[mine[0]].copy()
        members.append(mine)
        wanted = both
    if members:
        yield np.concatenate(members), np.flatnonzero(wanted)


def _rest_state(quiet: System, pulled: Bools) -> tuple[Numbers, Numbers, Floats, Bools]:
    """Where the sound machine comes to rest: added, net current, volts (chords in AC), relay contacts."""
    if quiet.equations.regime == "ac":
        added, state, net = phasors(quiet, pulled, None)
        return added, net, state, pulled
    added, net, pulled, volts = flip(quiet, pulled, None)
    return added, net, volts, pulled


@dataclass(frozen=True)
class _Sound:
    """The state of the laws on the sound machine, and the network seen from there.

    ``added`` and ``drive`` are the straight lines that touch the laws; ``state`` is volts (chords in AC) to
    start from; ``folded`` and ``volts`` are all ports' impedance and volts with those lines counted in.
    """

    state: Floats
    added: Numbers
    drive: Numbers
    folded: Numbers
    volts: Numbers
    pulled: Bools
    emf: Floats
    alive: Bools

    @classmethod
    def of(cls, small: System, pulled: Bools) -> _Sound:
        """Settle the sound machine, once for every state of relays and chargers."""
        quiet = small.quiet()
        key = (small.equations.regime, pulled.tobytes(), quiet.emf.tobytes())
        known = small.equations.settled
        if key not in known:
            known[key] = _rest_state(quiet, pulled)
        added, net, state, pulled = known[key]
        d, u, law = added[0, 1:], net[0, 1:], small.law_at
        to_laws = small.impedance[law]
        fold = np.linalg.solve(np.eye(len(law)) + d[:, None] * to_laws[:, law], d[:, None] * to_laws)
        folded = small.impedance - small.impedance[:, law] @ fold
        volts = small.base_v + small.impedance[:, law] @ u
        return cls(state, d, u + d * volts[law], folded, volts, pulled, quiet.emf, quiet.alive)

    def system(self, small: System, rows: Ints, laws: Ints) -> System:
        """Some rows on the folded network, some laws unfolded."""
        part = small.only(rows)
        columns = {name: getattr(part, name)[:, laws] for name in ("dead", "coil_dead", "emf")}
        fixed = {name: getattr(small, name)[laws] for name in ("used", "law_at", "coil_at", "coils")}
        return replace(
            part,
            **columns,
            **fixed,
            impedance=self.folded,
            base_v=self.volts,
            guess=small.guess[laws] + self.added[laws],
            given=self.drive[laws],
        )


@dataclass
class _Work:
    """Rows on their way to rest; arrays are filled in place.

    ``points`` are the ports of the laws and behind them those of the coils; ``v`` is (n_rows, n_points) volts
    there, ``own`` (n_rows, n_laws) ohm that a law sees, ``net`` amps at the changes, ``unfolded`` by row the laws
    taken off their straight lines with their added conductance and net current.
    """

    sound: _Sound
    small: System
    points: Ints
    net: Numbers
    v: Numbers
    own: Numbers
    pulled: Bools
    unfolded: dict[int, tuple[Ints, Numbers, Numbers]]

    @classmethod
    def of(cls, sound: _Sound, small: System, pulled: Bools) -> _Work:
        """Every row with its changes alone, all laws on their straight lines."""
        at, laws = small.fault_at, len(small.law_at)
        points = np.concatenate([small.law_at, small.coil_at])
        z = sound.folded[at[:, :, None], at[:, None, :]]
        to_points = np.moveaxis(sound.folded[points][:, at], 0, 1)
        to_laws = to_points[:, :laws]
        before = sound.volts[at] + np.einsum("fts,fs->ft", z, small.drive)
        solved = np.linalg.solve(system(z, small.added), np.concatenate([before[:, :, None], np.swapaxes(to_laws, 1, 2)], axis=2))
        net = small.drive - small.added * solved[:, :, 0]
        v = sound.volts[points] + np.einsum("fpt,ft->fp", to_points, net)
        # what a law sees of the changed network, not of the sound one: behind an open lead a trickle is volts
        seen = np.einsum("flt,ftl->fl", to_laws * small.added[:, None, :], solved[:, :, 1:])
        own = np.diagonal(sound.folded)[small.law_at] - seen
        held = pulled if small.equations.regime == "ac" else np.tile(sound.pulled, (len(small), 1))
        return cls(sound, small, points, net, v, own, held.copy(), {})

    def check(self, rows: Ints, pulled: Bools) -> Bools:
        """(len(rows), n_laws) laws that are not where their straight lines have them."""
        small, sound = self.small, self.sound
        missed, steeper = self._left_over(rows)
        with np.errstate(divide="ignore", invalid="ignore"):
            worth = np.where(missed > 0.0, missed / np.abs(1.0 / self.own[rows] + steeper), 0.0)
        away: Bools = ~(worth < CLOSE_V) | (small.alive[rows] != sound.alive)
        if small.equations.regime == "ac":
            away |= small.relays & (pulled[rows] != sound.pulled)
            return away
        away |= np.abs(small.emf[rows] - sound.emf) >= NEAR_V
        # a contact that stays where it is must be held there by its own coil
        away |= small.relays & (self._wanted(rows) != sound.pulled)
        return away

    def _left_over(self, rows: Ints) -> tuple[Floats, Floats]:
        """Amps by which each law misses its straight line, and siemens by which its slope does."""
        small, sound = self.small, self.sound
        law_v = self.v[rows, : len(small.law_at)]
        if small.equations.regime == "ac":
            size = np.abs(law_v)
            steeper = np.where(small.relays, 0.0, chord_of(small.laws, np.maximum(size, 1e-9))[0] - sound.state)
            return np.abs(steeper) * size, steeper
        alive = small.alive[rows]
        current, slope = small.laws.current(law_v, small.emf[rows], np.tile(sound.pulled, (len(rows), 1)))
        chord = sound.added + small.guess
        missed = np.where(alive, np.abs(current - (chord * law_v - sound.drive)), 0.0)
        return missed, np.where(alive, slope - chord, 0.0)

    def _wanted(self, rows: Ints) -> Bools:
        """What the coils' volts would have every relay contact do."""
        small = self.small
        size = np.abs(self.v[rows, len(small.law_at) :])
        rests = np.array([item.rests_closed for item in small.branches], dtype=bool)
        limits = np.array([item.volts for item in small.branches])
        wanted: Bools = ((size >= limits) & ~small.coil_dead[rows]) != rests
        return wanted

    def unfold(self, rows: Ints, laws: Ints, pulled: Bools) -> None:
        """Settle rows with some laws taken off their straight lines."""
        small, sound, slots = self.small, self.sound, self.small.fault_at.shape[1]
        part = sound.system(small, rows, laws)
        if small.equations.regime == "ac":
            added, _, net = phasors(part, pulled[np.ix_(rows, laws)], sound.state[:, laws])
        else:
            added, net, contacts, _ = flip(part, pulled[np.ix_(rows, laws)], sound.state[:, laws])
            self.pulled[np.ix_(rows, laws)] = contacts
        self.net[rows] = net[:, :slots]
        for place, row in enumerate(rows):
            self.unfolded[int(row)] = (laws, added[place, slots:], net[place, slots:])
        carried = np.einsum("pft,ft->fp", sound.folded[self.points][:, part.fault_at], net[:, :slots])
        self.v[rows] = sound.volts[self.points] + carried + net[:, slots:] @ sound.folded[np.ix_(part.law_at, self.points)]

    def settled(self) -> Settled:
        """The rows as they came to rest."""
        small, sound = self.small, self.sound
        law_net = sound.drive - sound.added * self.v[:, : len(small.law_at)]
        shape = (len(small), max((len(laws) for laws, _, _ in self.unfolded.values()), default=0))
        ports = np.full(shape, small.law_at[0], dtype=np.int64)
        added, net = np.zeros(shape, dtype=small.added.dtype), np.zeros(shape, dtype=small.added.dtype)
        for row, (laws, more, amps) in self.unfolded.items():
            count = len(laws)
            ports[row, :count], added[row, :count], net[row, :count] = small.law_at[laws], more, amps
            law_net[row, laws] += amps
        return Settled(
            sound.folded,
            sound.volts,
            np.concatenate([small.fault_at, ports], axis=1),
            np.concatenate([small.added, added], axis=1),
            np.concatenate([self.net, net], axis=1),
            law_net,
            self.pulled,
        )
