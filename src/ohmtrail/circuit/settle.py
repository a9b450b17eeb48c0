"""Where laws, relays and network agree: most rows leave most laws where they are on the sound machine.

The network holds the laws as the straight lines that touch them where the sound machine rests. A row then
needs only the laws that its change moves off their lines: those are unfolded and settled by Newton's method,
all others are checked afterwards, and any that moved too is unfolded as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.bent import Bent
from ohmtrail.circuit.drawn import drawn
from ohmtrail.circuit.newton import System, carried, chord_of, flip, phasors
from ohmtrail.circuit.rest import Rest

__all__ = ["Asked", "Settled", "settle"]

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
class Asked:
    """Rows that are to be settled.

    Attributes
    ----------
    bent : Bent
        All laws of the network.
    rest : Rest
        The sound machine.
    ports : array of int, (n_ports, 2)
        Node pairs.
    fault_at : array of int, (n_rows, n_slots)
        Ports of the changes; ``added`` siemens and ``drive`` ampere at each.
    dead, coil_dead : array of bool, (n_rows, n_laws)
        What a change took away.
    sick : array of bool, (n_rows,)
        Rows with any change at all.
    emf : array, (n_rows, n_laws)
        Open-circuit volts of chargers.
    pulled : array of bool, (n_rows, n_laws)
        Relay contacts that conduct to begin with.
    """

    bent: Bent
    rest: Rest
    ports: Ints
    fault_at: Ints
    added: Numbers
    drive: Numbers
    dead: Bools
    coil_dead: Bools
    sick: Bools
    emf: Floats
    pulled: Bools

    def __len__(self) -> int:
        return len(self.fault_at)

    @property
    def ac(self) -> bool:
        """Whether currents alternate."""
        return self.rest.folded.regime == "ac"


@dataclass(frozen=True)
class Settled:
    """Every row at rest, seen from the sound machine.

    Attributes
    ----------
    ports : array of int, (n_ports, 2)
        Those of the changes, then those of the laws that moved.
    impedance : array, (n_ports, n_ports)
        Ohm, of the sound machine.
    touched : array of int, (n_rows, n_touched)
        Ports of the changes, then of the laws that moved; filled up with port 0, where nothing is added.
    added, net : array, (n_rows, n_touched)
        Conductance added there, siemens, and net source current, ampere.
    law_net : array, (n_rows, n_laws)
        Net source current of every law in the network without laws, ampere.
    pulled : array of bool, (n_rows, n_laws)
        Relay contacts that conduct.
    """

    ports: Ints
    impedance: Numbers
    touched: Ints
    added: Numbers
    net: Numbers
    law_net: Numbers
    pulled: Bools


def settle(asked: Asked) -> Settled:
    """Find the state in which laws, relays and network agree.

    Parameters
    ----------
    asked : Asked
        The rows.

    Returns
    -------
    Settled
        Every row.

    Raises
    ------
    Chatters
        Relays of a machine without a change never come to rest.
    """
    work = _Work.of(asked)
    rows = np.arange(len(asked))
    moved = work.check(rows)
    rows = rows[moved.any(axis=1)]
    for turn in range(ROUNDS + 1):
        if not len(rows):
            break
        if turn == ROUNDS:
            moved[rows] = True
        for members, laws in _batches(moved, rows):
            work.unfold(members, laws)
        more = work.check(rows) & ~moved[rows]
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


@dataclass
class _Work:
    """Rows on their way to rest; arrays are filled in place.

    ``points`` are node pairs of the laws and behind them of the coils of relay contacts (``relays``); ``to_points``
    is (n_ports, n_points) ohm, ``v`` (n_rows, n_points) volts there; ``z`` is the impedance between
    each row's ports, ``own`` (n_rows, n_laws) ohm that a law sees, nan where it was not asked for; ``net`` amps at the changes;
    ``unfolded`` by row the laws taken off their straight lines with their added conductance and net current.
    """

    asked: Asked
    relays: Ints
    points: Ints
    impedance: Numbers
    base_v: Numbers
    to_points: Numbers
    point_v: Numbers
    z: Numbers
    net: Numbers
    v: Numbers
    own: Numbers
    pulled: Bools
    unfolded: dict[int, tuple[Ints, Numbers, Numbers]]

    @classmethod
    def of(cls, asked: Asked) -> _Work:
        """Every row with its changes alone, all laws on their straight lines."""
        folded, bent, at = asked.rest.folded, asked.bent, asked.fault_at
        relays = np.flatnonzero(bent.relays)
        points = np.concatenate([bent.ends, bent.coil_ends[relays]])
        reached = folded.between(asked.ports, np.concatenate([asked.ports, points]))
        impedance, to_points = reached[:, : len(asked.ports)], reached[:, len(asked.ports) :]
        base_v, point_v = folded.across(folded.open_volts, asked.ports), folded.across(folded.open_volts, points)
        z = impedance[at[:, :, None], at[:, None, :]]
        before = base_v[at] + np.einsum("fts,fs->ft", z, asked.drive)
        net = asked.drive - drawn(z, asked.added, before[:, :, None])[:, :, 0]
        v = point_v + carried(at, net, to_points)
        own = np.full((len(asked), len(bent)), np.nan, dtype=net.dtype)
        held = asked.pulled if asked.ac else np.tile(asked.rest.pulled, (len(asked), 1))
        return cls(asked, relays, points, impedance, base_v, to_points, point_v, z, net, v, own, held.copy(), {})

    @property
    def law_v(self) -> Numbers:
        """(n_rows, n_laws) volts across the laws."""
        return self.v[:, : len(self.asked.bent)]

    def check(self, rows: Ints) -> Bools:
        """(len(rows), n_laws) laws that are not where their straight lines have them."""
        asked, rest, relays = self.asked, self.asked.rest, self.asked.bent.relays
        missed, slope, steeper = self._left_over(rows)
        away: Bools = self._worth(rows, missed, slope, steeper) | (self._alive(rows) != rest.alive)
        if asked.ac:
            away |= relays & (asked.pulled[rows] != rest.pulled)
            return away
        away |= np.abs(asked.emf[rows] - rest.emf) >= NEAR_V
        # a contact that stays where it is must be held there by its own coil
        away |= relays & (self._wanted(rows) != rest.pulled)
        return away

    def _alive(self, rows: Ints) -> Bools:
        return self.asked.bent.alive(self.asked.dead[rows], self.asked.emf[rows])

    def _worth(self, rows: Ints, missed: Floats, slope: Floats, steeper: Floats) -> Bools:
        """Laws whose bend is worth more volts at their own terminals than may be left out.

        Beside itself a law that rises sees at least nothing, so that the volts are at most what it misses over its
        own slope; what it sees is worked out only where that is too much.
        """
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            doubtful = (missed > 0.0) & ~((slope > 0.0) & (missed / slope < CLOSE_V))
            laws = np.flatnonzero(doubtful.any(axis=0))
            self._see(laws)
            worth = missed[:, laws] / np.abs(1.0 / self.own[np.ix_(rows, laws)] + steeper[:, laws])
        doubtful[:, laws] &= ~(worth < CLOSE_V)
        return doubtful

    def _see(self, laws: Ints) -> None:
        """Ohms that some laws see of the changed network: behind an open lead a trickle is volts."""
        laws = laws[np.isnan(self.own[0, laws])]
        if not len(laws):
            return
        asked, folded, ends = self.asked, self.asked.rest.folded, self.asked.bent.ends[laws]
        to_laws = self.to_points[:, laws][asked.fault_at]
        seen = np.einsum("ftl,ftl->fl", to_laws, drawn(self.z, asked.added, to_laws))
        self.own[:, laws] = folded.own(ends) - seen

    def _left_over(self, rows: Ints) -> tuple[Floats, Floats, Floats]:
        """Amps by which each law misses its straight line, its slope, and siemens by which that is steeper than the line."""
        asked, rest = self.asked, self.asked.rest
        bent, law_v = asked.bent, self.law_v[rows]
        if asked.ac:
            size = np.abs(law_v)
            steeper = np.where(bent.relays, 0.0, chord_of(bent.laws, np.maximum(size, 1e-9))[0] - rest.state)
            return np.abs(steeper) * size, np.zeros(size.shape), steeper
        current, slope = bent.laws.current(law_v, asked.emf[rows], np.tile(rest.pulled, (len(rows), 1)))
        alive, line = self._alive(rows), rest.folded.values[0][bent.equations.nonlinear].real
        missed = np.where(alive, np.abs(current - (line * law_v - rest.drive_a)), 0.0)
        return missed, slope, np.where(alive, slope - line, 0.0)

    def _wanted(self, rows: Ints) -> Bools:
        """What the coils' volts would have every relay contact do."""
        bent = self.asked.bent
        volts = np.zeros((len(rows), len(bent)))
        volts[:, self.relays] = self.v[rows, len(bent) :]
        return bent.wanted(volts, self.asked.coil_dead[rows])

    def unfold(self, rows: Ints, laws: Ints) -> None:
        """Settle rows with some laws taken off their straight lines."""
        asked, slots = self.asked, self.asked.fault_at.shape[1]
        part = self._system(rows, laws)
        state, pulled = asked.rest.state[None, laws], asked.pulled[np.ix_(rows, laws)]
        if asked.ac:
            added, _, net = phasors(part, pulled, state)
        else:
            added, net, self.pulled[np.ix_(rows, laws)] = flip(part, pulled, state)
        self.net[rows] = net[:, :slots]
        for place, row in enumerate(rows):
            self.unfolded[int(row)] = (laws, added[place, slots:], net[place, slots:])
        to_points = asked.rest.folded.between(asked.bent.ends[laws], self.points)
        self.v[rows] = self.point_v + carried(part.fault_at, net[:, :slots], self.to_points) + net[:, slots:] @ to_points

    def _system(self, rows: Ints, laws: Ints) -> System:
        """Some rows, some laws unfolded."""
        asked, bent = self.asked, self.asked.bent.only(laws)
        folded, more = asked.rest.folded, np.concatenate([bent.ends, bent.coil_ends])
        ports, impedance = self._with(more)
        first, line = len(asked.ports), folded.values[0][bent.at]
        return System(
            bent=bent,
            impedance=impedance,
            base_v=np.concatenate([self.base_v, folded.across(folded.open_volts, more)]),
            fault_at=asked.fault_at[rows],
            added=asked.added[rows],
            drive=asked.drive[rows],
            law_at=np.arange(first, first + len(laws)),
            coil_at=np.arange(first + len(laws), len(ports)),
            guess=line if asked.ac else line.real,
            given=asked.rest.drive_a[laws],
            dead=asked.dead[np.ix_(rows, laws)],
            coil_dead=asked.coil_dead[np.ix_(rows, laws)],
            sick=asked.sick[rows],
            emf=asked.emf[np.ix_(rows, laws)],
        )

    def _with(self, more: Ints) -> tuple[Ints, Numbers]:
        """The ports and some more, with impedance between all of them."""
        folded, ports = self.asked.rest.folded, self.asked.ports
        every = np.concatenate([ports, more])
        reached = folded.between(more, every)
        impedance = np.block([[self.impedance, reached[:, : len(ports)].T], [reached]])
        return every, impedance

    def settled(self) -> Settled:
        """The rows as they came to rest."""
        asked, rest = self.asked, self.asked.rest
        law_net = rest.drive_a - rest.added_s * self.law_v
        every = np.array(sorted({int(law) for laws, _, _ in self.unfolded.values() for law in laws}), dtype=np.int64)
        ports, impedance = self._with(asked.bent.ends[every])
        shape = (len(asked), max((len(laws) for laws, _, _ in self.unfolded.values()), default=0))
        at = np.zeros(shape, dtype=np.int64)
        added, net = np.zeros(shape, dtype=self.net.dtype), np.zeros(shape, dtype=self.net.dtype)
        for row, (laws, more, amps) in self.unfolded.items():
            count = len(laws)
            at[row, :count] = len(asked.ports) + np.searchsorted(every, laws)
            added[row, :count], net[row, :count] = more, amps
            law_net[row, laws] += amps
        touched, added = np.concatenate([asked.fault_at, at], axis=1), np.concatenate([asked.added, added], axis=1)
        return Settled(ports, impedance, touched, added, np.concatenate([self.net, net], axis=1), law_net, self.pulled)
