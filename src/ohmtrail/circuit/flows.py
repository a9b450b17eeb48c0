"""Where current runs: volts of every node and amps of every branch, in one setting and regime.

Readings ask for a few probe pairs; drawing, tracing and checking want the whole machine at once. The
answer is the same: the linear network with the currents that laws and changes put in at their ports.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.changes import Change, Mode, Rows
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.machine import Machine
from ohmtrail.circuit.network import Network, Regime
from ohmtrail.circuit.response import Answer
from ohmtrail.circuit.setting import Setting
from ohmtrail.harness.model import FRAME

__all__ = ["Flow", "flow"]

Bools = NDArray[np.bool_]
Numbers = NDArray[Any]

#: a junction, clamp or charger that lets less through counts as not conducting, ampere
_TRICKLE_A = 1e-3


@dataclass(frozen=True)
class Flow:
    """One machine solved everywhere, in one setting and regime.

    Attributes
    ----------
    network : Network
        The circuit.
    setting : Setting
        State of the machine.
    regime : str
        ``dc``, ``ac`` or ``pulse``.
    volts : array, (n_nodes + 1,)
        Against the frame, which is the last; complex RMS phasors in ``ac``.
    amps : array, (n_branches,)
        From each branch's end ``a`` through it to ``b``, ampere.
    conducts : array of bool, (n_branches,)
        Whether a branch is there and lets current pass.
    """

    network: Network
    setting: Setting
    regime: Regime
    volts: Numbers
    amps: Numbers
    conducts: Bools

    def at(self, point: str) -> float:
        """Volts of a point against the frame: signed in dc and pulse, RMS in ac."""
        value = self.volts[self.network.node_index[point]]
        return float(abs(value) if self.regime == "ac" else value.real)

    def through(self, branch: str) -> float:
        """Amps through a branch, in magnitude (RMS in ac)."""
        return float(abs(self.amps[self.network.index[branch]]))

    def across(self, branch: str) -> float:
        """Volts across a branch, in magnitude (RMS in ac)."""
        a, b = self.network.ends[self.network.index[branch]]
        return float(abs(self.volts[a] - self.volts[b]))

    @cached_property
    def grounded(self) -> frozenset[str]:
        """Points that something conducting joins to the frame; all others float."""
        graph: nx.Graph[str] = nx.Graph([(FRAME, FRAME)])
        for branch, on in zip(self.network.branches, self.conducts, strict=True):
            if on and branch.kind != "insulation":
                graph.add_edge(branch.a, branch.b)
        return frozenset(nx.node_connected_component(graph, FRAME))


def flow(
    electrics: Machine,
    setting: Setting,
    regime: Regime,
    *,
    changes: Sequence[Change] = (),
    machine: int = 0,
) -> Flow:
    """Solve a machine everywhere.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    setting : Setting
        Its state.
    regime : str
        ``dc``, ``ac`` or ``pulse``.
    changes : sequence of Change
        What is wrong with it.
    machine : int
        Which draw.

    Returns
    -------
    Flow
        Volts of every node, amps of every branch.

    Notes
    -----
    Cost: one factorisation (kept by ``electrics``), one small solve, one column.
    """
    network = electrics.network
    cases = electrics.cases([tuple(changes)]) if changes else electrics.sound
    answer, rows = electrics.everywhere(regime, setting, cases, machine)
    volts = _volts(answer)
    return Flow(network, setting, regime, volts, *_amps(answer, rows, volts))


def _volts(answer: Answer) -> Numbers:
    """Node volts in network order, the frame last."""
    sound, net = answer.sound, answer.drive_a[0]
    solved = sound.open_volts
    if net.any():
        solved = solved + sound.solve(sound.injected(answer.ports[answer.touched[0]], net))
    return np.append(solved, 0.0)


def _driven(answer: Answer) -> Numbers:
    """Amps that changes (and pulses), then laws put into the linear network of the first row."""
    return np.concatenate([answer.drive_a[0, : answer.fault_at.shape[1]], answer.law_net[0]])


def _amps(answer: Answer, rows: Rows, volts: Numbers) -> tuple[Numbers, Bools]:
    """Amps of every branch, and whether it conducts."""
    network, (conductance, emf) = answer.equations.network, answer.equations.values
    a, b = network.ends.T
    amps = conductance * (volts[a] - volts[b] - emf)
    own = np.concatenate([rows.branch[0], _law_branches(answer.equations)])
    named = own >= 0
    np.subtract.at(amps, own[named], _driven(answer)[named])
    conducts = conductance != 0
    for index, branch in enumerate(network.branches):
        if branch.kind in ("diode", "clamp", "charger", "delivers"):
            conducts[index] = abs(amps[index]) > _TRICKLE_A
        elif branch.kind == "uptake":
            # one battery, drawn as two branches
            amps[network.index[branch.follows]] += amps[index]
            amps[index] = 0.0
        elif branch.kind == "relay-contact":
            conducts[index] = answer.pulled[0, index]
    conducts &= ~_opened(rows, len(network.branches))
    return amps, conducts


def _opened(rows: Rows, count: int) -> Bools:
    """Branches that a change takes away."""
    opened = np.zeros(count, dtype=bool)
    opened[rows.gone[0][rows.gone[0] >= 0]] = True
    cut = (rows.mode[0] == Mode.SERIES) & np.isinf(rows.value[0])
    opened[rows.branch[0][cut]] = True
    return opened


def _law_branches(equations: Equations) -> NDArray[np.int64]:
    """Branches whose law or pulse takes the slots behind those of the changes."""
    if equations.regime != "pulse":
        return equations.nonlinear
    found = [i for i, branch in enumerate(equations.network.branches) if branch.kind == "delivers"]
    return np.array(found, dtype=np.int64)
