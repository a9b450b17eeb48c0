"""The sound machine at rest: where laws, relays and network agree without a change.

Found once for every setting and drawn machine, in the network's own sparse equations: each of Newton's steps
puts the straight lines that touch the laws into them. The lines of the last step stay in; what a change does
is reckoned from there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.bent import Bent, chatter
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.newton import MOST_FLIPS, MOST_STEPS, NEAR_V, System, phasors, shortened
from ohmtrail.errors import Chatters

__all__ = ["Rest", "rest_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Numbers = NDArray[Any]


@dataclass(frozen=True)
class Rest:
    """The laws of the sound machine.

    Attributes
    ----------
    folded : Equations
        The network with the lines that touch the laws there.
    state : array, (n_laws,)
        Volts across each, chords in siemens in alternating current.
    added_s, drive_a : array, (n_laws,)
        The lines: siemens added to the network without laws, and source current in ampere.
    pulled, alive : array of bool, (n_laws,)
        Relay contacts that conduct, and laws that can carry current.
    emf : array, (n_laws,)
        Open-circuit volts of chargers.
    """

    folded: Equations
    state: Floats
    added_s: Numbers
    drive_a: Numbers
    pulled: Bools
    alive: Bools
    emf: Floats


def rest_of(equations: Equations, bent: Bent, emf: Floats, pulled: Bools) -> Rest:
    """Find the state of the sound machine, or remember it.

    Parameters
    ----------
    equations : Equations
        The network without laws.
    bent : Bent
        Its laws.
    emf : array, (n_laws,)
        Open-circuit volts of chargers, volt.
    pulled : array of bool, (n_laws,)
        Relay contacts that conduct, where alternating current is asked for; in direct current they are found.

    Returns
    -------
    Rest
        Kept with the equations.

    Raises
    ------
    Chatters
        Its relays never come to rest.
    """
    ac = equations.regime == "ac"
    key = (pulled.tobytes() if ac else b"", emf.tobytes())
    if key not in equations.settled:
        equations.settled[key] = _alternating(equations, bent, emf, pulled) if ac else _direct(equations, bent, emf)
    found: Rest = equations.settled[key]
    return found


def _alternating(equations: Equations, bent: Bent, emf: Floats, pulled: Bools) -> Rest:
    """Chords of filaments and clamps, on the few ports of the laws."""
    small = _alone(equations, bent, emf)
    added, chord, _ = phasors(small, pulled[None, :], None)
    lines = added[0, 1:], np.zeros(len(bent), dtype=np.complex128)
    return Rest(equations.folded(*lines), chord[0], *lines, pulled, small.alive[0], emf)


def _alone(equations: Equations, bent: Bent, emf: Floats) -> System:
    """The laws on the network without them and without a change: one row."""
    count = len(bent)
    impedance = equations.between(bent.ends, bent.ends)
    none = np.zeros((1, count), dtype=bool)
    zero = np.zeros((1, 1), dtype=impedance.dtype)
    return System(
        bent=bent,
        impedance=impedance,
        base_v=equations.across(equations.open_volts, bent.ends),
        fault_at=np.zeros((1, 1), dtype=np.int64),
        added=zero,
        drive=zero,
        law_at=np.arange(count),
        coil_at=np.zeros(count, dtype=np.int64),
        guess=equations.values[0][equations.nonlinear],
        given=np.zeros(count),
        dead=none,
        coil_dead=none,
        sick=np.zeros(1, dtype=bool),
        emf=emf[None, :],
    )


def _direct(equations: Equations, bent: Bent, emf: Floats) -> Rest:
    """Newton's method again and again until the relays stay as they are."""
    alive = bent.alive(np.zeros((1, len(bent)), dtype=bool), emf[None, :])[0]
    lamps = np.array(bent.laws.kind) == "filament"
    volts = np.where(lamps, equations.across(equations.open_volts, bent.ends), 0.0)
    pulled = bent.rests & bent.relays
    for _ in range(MOST_FLIPS):
        folded, volts, added, drive = _newton(equations, bent, emf, pulled, alive, volts)
        after = np.where(bent.relays, bent.wanted(folded.across(folded.open_volts, bent.coil_ends)), pulled)
        if (after == pulled).all():
            return Rest(folded, volts, added, drive, pulled, alive, emf)
        moving, pulled = after != pulled, after
    raise Chatters(chatter(bent, moving))


def _newton(
    equations: Equations, bent: Bent, emf: Floats, pulled: Bools, alive: Bools, volts: Floats
) -> tuple[Equations, Floats, Floats, Floats]:
    """Network with the last lines, volts across the laws, conductance added, source current."""
    guess = equations.values[0][equations.nonlinear].real
    for step in range(MOST_STEPS):
        current, slope = (np.where(alive, part[0], 0.0) for part in bent.laws.current(volts[None], emf[None], pulled[None]))
        added, drive = slope - guess, slope * volts - current
        folded = equations.folded(added, drive)
        new = folded.across(folded.open_volts, bent.ends)
        far = bool((np.abs(new - volts) > NEAR_V).any())
        volts = shortened(volts, new, step)
        if not far:
            break
    return folded, volts, added, drive
