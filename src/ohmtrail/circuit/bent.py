"""The branches of a network whose current is no straight line in their volts, and the relay contacts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branches import COLD_RATIO, Branch
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.laws import Laws
from ohmtrail.circuit.network import law_values

__all__ = ["Bent", "chatter"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Numbers = NDArray[Any]


@dataclass(frozen=True)
class Bent:
    """Branches whose current follows their volts by a law, of one setting and drawn machine.

    Attributes
    ----------
    equations : Equations
        The network.
    used : array of int, (n_laws,)
        Places in ``equations.nonlinear`` of those that are meant.
    """

    equations: Equations
    used: Ints

    @classmethod
    def every(cls, equations: Equations) -> Bent:
        """Give all of a network's."""
        return cls(equations, np.arange(len(equations.nonlinear)))

    def __len__(self) -> int:
        return len(self.used)

    def only(self, laws: Ints) -> Bent:
        """Give some of them."""
        return Bent(self.equations, self.used[laws])

    @cached_property
    def at(self) -> Ints:
        """(n_laws,) their branches."""
        result: Ints = self.equations.nonlinear[self.used]
        return result

    @cached_property
    def branches(self) -> tuple[Branch, ...]:
        """The branches themselves."""
        return tuple(self.equations.network.branches[i] for i in self.at)

    @cached_property
    def ends(self) -> Ints:
        """(n_laws, 2) their nodes."""
        result: Ints = self.equations.network.ends[self.at]
        return result

    @cached_property
    def coils(self) -> Ints:
        """(n_laws,) branch of the coil that each relay contact follows, -1 for what is no relay contact."""
        index = self.equations.network.index
        return np.array([index[item.follows] if item.kind == "relay-contact" else -1 for item in self.branches], dtype=np.int64)

    @cached_property
    def coil_ends(self) -> Ints:
        """(n_laws, 2) nodes of that coil; the frame twice for what is no relay contact."""
        return np.where(self.coils[:, None] >= 0, self.equations.network.ends[self.coils], -1)

    @cached_property
    def laws(self) -> Laws:
        """Their laws in this drawn machine."""
        ohm, volts = law_values(self.equations.network, self.equations.draw, self.at)
        return Laws(tuple(item.kind for item in self.branches), ohm, volts, COLD_RATIO)

    @cached_property
    def relays(self) -> Bools:
        """(n_laws,) which of them are relay contacts."""
        return np.array([item.kind == "relay-contact" for item in self.branches], dtype=bool)

    @cached_property
    def rests(self) -> Bools:
        """(n_laws,) which of them conduct while nothing pulls them."""
        return np.array([item.rests_closed for item in self.branches], dtype=bool)

    @cached_property
    def _pull_v(self) -> Floats:
        """(n_laws,) volts at which a coil pulls."""
        return np.array([item.volts for item in self.branches])

    def alive(self, dead: Bools, emf: Floats) -> Bools:
        """Say which are there and can carry current.

        Parameters
        ----------
        dead : array of bool, (n_rows, n_laws)
            What a change took away.
        emf : array, (n_rows, n_laws)
            Open-circuit volts of chargers.

        Returns
        -------
        array of bool, (n_rows, n_laws)
            True for those.
        """
        there = self.equations.there[self.at] | self.relays
        charging = np.array([item.kind == "charger" for item in self.branches], dtype=bool)
        result: Bools = there[None, :] & ~dead & ~(charging[None, :] & (emf <= 0.0))
        return result

    def wanted(self, coil_v: Numbers, coil_dead: Bools | None = None) -> Bools:
        """Say which relay contacts conduct at the volts of their coils.

        Parameters
        ----------
        coil_v : array, (..., n_laws)
            Volts over the coil of each.
        coil_dead : array of bool, same shape, optional
            Coils that a change took away.

        Returns
        -------
        array of bool, same shape
            Means nothing for what is no relay contact.
        """
        on = np.abs(coil_v) >= self._pull_v
        result: Bools = (on if coil_dead is None else on & ~coil_dead) != self.rests
        return result


def chatter(bent: Bent, moving: Bools) -> str:
    """Say which relays never come to rest: an error on a machine without a change, a fact about a faulty one.

    Parameters
    ----------
    bent : Bent
        Lamps, diodes and relays of a network.
    moving : array of bool, (n_bent,)
        Which of its branches still change.

    Returns
    -------
    str
        One clause.
    """
    owners = sorted({bent.branches[i].owner for i in np.flatnonzero(moving)})
    return f"{' and '.join(owners)} chatters: its own contact takes the volts off its coil and gives them back"
