"""A machine in one setting as a plain SPICE netlist, for whoever wants to solve it with another program.

Direct and alternating current are two circuits side by side that share only the frame (node 0). The laws
of bent branches are written out as they stand in `ohmtrail.circuit.laws`; which relay contacts conduct,
the open volts of chargers and, in alternating current, the resistance of filaments and clamps at their
volts are taken from our own solution, and each is named in a comment.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import networkx as nx
import numpy as np

from ohmtrail.circuit.cards import Altered, OneCircuit, cards_of
from ohmtrail.circuit.changes import Change, Mode
from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.equations import STRAY_S
from ohmtrail.circuit.flows import flow
from ohmtrail.circuit.network import Network, highest_hertz
from ohmtrail.circuit.setting import Setting
from ohmtrail.harness.model import FRAME

__all__ = ["netlist"]

#: tighter than the program's own limits, which stop at a thousandth
_OPTIONS = ".options reltol=1e-6 vntol=1e-6 abstol=1e-12 itl1=500"


def netlist(electrics: Electrics, setting: Setting, *, changes: Sequence[Change] = (), draw: int = 0) -> str:
    """Write a machine in one setting as a netlist that ngspice reads.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    setting : Setting
        Its state; a turning engine brings a second circuit for alternating current.
    changes : sequence of Change
        What is wrong with it; several changes of one branch add up.
    draw : int
        Which of its drawn machines, 0 for the nominal one.

    Returns
    -------
    str
        The text, ending in ``.end``. Node ``n7`` of the table at its head carries DC volts against the
        frame (analysis ``.op``), ``a7`` the RMS phasor of the same point (``.ac`` at the winding's
        frequency).

    Raises
    ------
    Chatters
        Relays of the sound machine never come to rest.

    Notes
    -----
    A module's pulses are left out. The one frequency of ``.ac`` is the highest of any winding; the
    inductance of a slower one is set so that its reactance there is what it is at its own frequency.

    Examples
    --------
    >>> # Path("lit.cir").write_text(netlist(electrics, setting)), then: ngspice -b -r lit.raw lit.cir
    """
    every = (*changes, *_by_hand(electrics.network, setting))
    circuits = list(_circuits(electrics, setting, tuple(changes), every, draw))
    analyses = [".op", *(f".ac lin 1 {item.hertz:.12g} {item.hertz:.12g}" for item in circuits if item.hertz)]
    lines = [*_head(electrics, setting, changes, draw, ac=len(circuits) > 1)]
    for item in circuits:
        lines.append("*")
        lines.append(f"* ---- {'alternating current, RMS' if item.hertz else 'direct current'} ----")
        lines += _lines(item)
    return "\n".join([*lines, "*", _OPTIONS, *analyses, ".end"]) + "\n"


def _circuits(
    electrics: Electrics, setting: Setting, changes: tuple[Change, ...], every: Sequence[Change], draw: int
) -> Iterator[OneCircuit]:
    """Direct current, and alternating current where a winding turns."""
    kinds = {branch.id: branch.kind for branch in electrics.network.branches}
    faults: dict[str, Altered] = {}
    for change in every:
        if change.branch:
            faults[change.branch] = faults.get(change.branch, Altered()).after(change, kinds[change.branch])
    steady = tuple(item for item in every if item.mode == Mode.SHUNT)
    coupling = electrics.coupling("dc", setting, electrics.cases([changes]), draw)
    none = np.zeros(len(electrics.network.branches))
    emf = none if coupling.charger_v is None else coupling.charger_v[0]
    machine = electrics.draws[draw]
    yield OneCircuit(
        flow(electrics, setting, "dc", changes=changes, machine=draw), machine, faults, steady, 0.0, emf
    )
    hertz = highest_hertz(electrics.network, setting)
    if hertz > 0.0:
        shunts = tuple(item for item in every if item.mode in (Mode.SHUNT, Mode.STRESS))
        solved = flow(electrics, setting, "ac", changes=changes, machine=draw)
        yield OneCircuit(solved, machine, faults, shunts, hertz, none)


def _head(
    electrics: Electrics, setting: Setting, changes: Sequence[Change], draw: int, *, ac: bool
) -> Iterator[str]:
    """Title, what the netlist stands for, and the table of nodes."""
    title = " ".join(electrics.harness.harness.split()).encode("ascii", "replace").decode()
    yield f"* {title}"
    yield f"* setting: {', '.join(setting.words()) or 'everything at rest'}"
    yield f"* machine: {f'draw {draw} within its tolerances' if draw else 'nominal'}"
    for change in changes:
        where = change.branch or f"{change.a} to {change.b}"
        yield f"* change: {change.mode.name.lower()} {where} {change.value:g}"
    yield "* filaments, diodes, clamps and chargers are B sources; relay contacts stand as they were solved"
    if ac:
        yield "* AC: sources are RMS, in phase; filaments and clamps are resistors, V/I at the RMS volts solved;"
        yield "* each inductance has the reactance it has at its own winding's frequency"
    yield "*"
    yield f"* node{'  AC node' if ac else ''}  point"
    for index, name in enumerate(electrics.network.nodes, 1):
        yield f"* n{index}{f' a{index}' if ac else ''} = {name}"


def _lines(circuit: OneCircuit) -> Iterator[str]:
    """The cards of one circuit, and what holds a part that hangs free."""
    joined: nx.Graph[str] = nx.Graph()
    joined.add_nodes_from((FRAME, *circuit.network.nodes))
    for index, branch in enumerate(circuit.network.branches):
        fault = circuit.faults.get(branch.id, Altered())
        cards = [] if fault.gone else list(cards_of(circuit, index, branch, fault))
        if cards:
            joined.add_edge(branch.a, branch.b)
            yield f"* {branch.id} ({branch.kind})"
            yield from cards
    for number, change in enumerate(circuit.shunts, 1):
        joined.add_edge(change.a, change.b)
        yield f"* change: {change.a} joined to {change.b}"
        yield f"R{circuit.letter}s{number} {circuit.node(change.a)} {circuit.node(change.b)} {change.value:.12g}"
    for group in nx.connected_components(joined):
        if FRAME not in group:
            first = min(group, key=lambda name: circuit.network.node_index[name])
            yield f"* {first} hangs free: what the surface of bare terminals lets through to the frame"
            yield f"R{circuit.letter}f{circuit.network.node_index[first] + 1} {circuit.node(first)} 0 {1.0 / STRAY_S:.12g}"


def _by_hand(network: Network, setting: Setting) -> Iterator[Change]:
    """What the setting lifts, parts and takes out, as changes to the mated machine."""
    for branch in network.branches:
        if branch.id in setting.lifted or (branch.kind == "contact" and branch.owner in setting.parted):
            yield Change(Mode.SERIES, branch.id)
        elif branch.owner in setting.out and branch.kind in ("fuse", "filament"):
            yield Change(Mode.KILL if branch.kind == "filament" else Mode.SERIES, branch.id)
