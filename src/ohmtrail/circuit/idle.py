"""Changes that lie where nothing flows: they leave the volts of the machine as they are.

A network of resistances, lamps and junctions passes no more on than is put in. Ohms put into a branch act like
volts in series with it: no current anywhere moves by more than what the branch carried. A path between two
nodes acts like a source of at most the volts between them. So a change of a branch that carries next to
nothing, and a path between nodes with next to no volts, need not be worked out, however many there are: on a
large machine most circuits are switched off.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.cases import Cases
from ohmtrail.circuit.changes import Mode
from ohmtrail.circuit.flows import flow
from ohmtrail.circuit.machine import Machine
from ohmtrail.circuit.setting import Setting

__all__ = ["lively"]

Ints = NDArray[np.int64]

#: amps and volts that count as nothing: a ten-thousandth of a volt over a kilohm, less over any load
_IDLE_A, _IDLE_V = 1e-7, 1e-5


def lively(electrics: Machine, setting: Setting, cases: Cases, draw: int) -> Ints:
    """Give the rows whose changes lie where something flows, in direct current.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    setting : Setting
        Its state, the engine still.
    cases : Cases
        Sets of changes.
    draw : int
        Which machine.

    Returns
    -------
    array of int, (n_found,)
        Places of rows; all others leave every volt that holds a load where it is, to some hundredths of a
        millivolt.
    """
    solved = flow(electrics, setting, "dc", machine=draw)
    rows, network = cases.rows, electrics.network
    amps = np.append(np.abs(solved.amps), 0.0)
    volts = np.abs(solved.volts[rows.a] - solved.volts[rows.b])
    carries = amps[rows.branch] > _IDLE_A
    across = volts > _IDLE_V
    moves = np.where(np.isin(rows.mode, (Mode.SHUNT, Mode.STRESS)), across, carries)
    moves = np.where(rows.mode == Mode.NONE, False, moves | (rows.mode == Mode.EMF))
    found = moves.any(axis=1) | (amps[rows.gone] > _IDLE_A).any(axis=1)
    coils = {network.index[item.follows] for item in network.branches if item.kind == "relay-contact"}
    found |= np.isin(rows.gone, sorted(coils)).any(axis=1)
    # the second change of a row acts on what the first has made of the machine
    found |= (rows.mode != Mode.NONE).sum(axis=1) > 1
    return np.flatnonzero(found)
