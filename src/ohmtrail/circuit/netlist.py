"""A machine in one setting as a plain SPICE netlist, for whoever wants to solve it with another program.

Direct and alternating current are two circuits side by side that share only the frame (node 0). The laws
of bent branches are written out as they stand in `ohmtrail.circuit.laws`; which relay contacts conduct,
the open volts of chargers and, in alternating current, the resistance of filaments and clamps at their
volts are taken from our own solution, and each is named in a comment.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branches import COLD_RATIO, Branch
from ohmtrail.circuit.changes import OPEN_OHM, Change, Mode
from ohmtrail.circuit.draws import Draw
from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.equations import STRAY_S
from ohmtrail.circuit.flows import Flow, flow
from ohmtrail.circuit.laws import (
    BEND_V,
    CHARGED_V,
    DIODE_V,
    LEAK_S,
    UPTAKE_BEND_V,
    clamp_current,
    filament_current,
)
from ohmtrail.circuit.network import Network, closed_branches, highest_hertz, law_values
from ohmtrail.circuit.setting import Setting
from ohmtrail.harness.model import FRAME

__all__ = ["netlist"]

#: least volts at which a chord is taken
_LEAST_V = 1e-6
#: tighter than the program's own limits, which stop at a thousandth
_OPTIONS = ".options reltol=1e-6 vntol=1e-6 abstol=1e-12 itl1=500"
_RESISTIVE = frozenset(
    {"lead", "joint", "contact", "earth", "switch", "fuse", "resistor", "coil", "inside", "insulation"}
)


@dataclass(frozen=True)
class _Fault:
    """What the changes do to one branch."""

    series_ohm: float = 0.0
    scale: float = 1.0
    emf_v: float | None = None
    gone: bool = False

    def after(self, change: Change, kind: str) -> _Fault:
        """With one more change."""
        if change.mode == Mode.SERIES:
            return replace(
                self,
                series_ohm=self.series_ohm + min(change.value, OPEN_OHM),
                gone=self.gone or _cuts(change, kind),
            )
        if change.mode == Mode.SCALE:
            return replace(self, scale=self.scale * change.value)
        if change.mode == Mode.EMF:
            return replace(self, emf_v=change.value)
        return replace(self, gone=self.gone or change.mode == Mode.KILL)


def _cuts(change: Change, kind: str) -> bool:
    """A bent branch that is opened is taken out; a straight one keeps a gap of `OPEN_OHM`."""
    return kind not in _RESISTIVE | {"winding", "battery"} and bool(np.isinf(change.value))


def _by_hand(network: Network, setting: Setting) -> Iterator[Change]:
    """What the setting lifts, parts and takes out, as changes to the mated machine."""
    for branch in network.branches:
        if branch.id in setting.lifted or (branch.kind == "contact" and branch.owner in setting.parted):
            yield Change(Mode.SERIES, branch.id)
        elif branch.owner in setting.out and branch.kind in ("fuse", "filament"):
            yield Change(Mode.KILL if branch.kind == "filament" else Mode.SERIES, branch.id)


@dataclass(frozen=True)
class _Circuit:
    """One of the two circuits of a netlist.

    Attributes
    ----------
    solved : Flow
        Our own solution, for the state of relays, filaments and clamps.
    draw : Draw
        The machine.
    faults : dict
        Branch id -> what is wrong with it.
    shunts : tuple of Change
        What joins two nodes.
    hertz : float
        Frequency; nought for direct current.
    charger_v : array, (n_branches,)
        Open volts of chargers.
    """

    solved: Flow
    draw: Draw
    faults: dict[str, _Fault]
    shunts: tuple[Change, ...]
    hertz: float
    charger_v: NDArray[np.float64]

    @property
    def letter(self) -> Literal["n", "a"]:
        """First letter of its node names."""
        return "a" if self.hertz else "n"

    @property
    def network(self) -> Network:
        """The machine's circuit."""
        return self.solved.network

    def node(self, name: str) -> str:
        """Name of a node in the netlist."""
        return "0" if name == FRAME else f"{self.letter}{self.network.node_index[name] + 1}"

    @cached_property
    def there(self) -> NDArray[np.bool_]:
        """(n_branches,) what is there on the mated machine."""
        mated = replace(self.solved.setting, parted=frozenset(), lifted=frozenset(), out=frozenset())
        return closed_branches(self.network, mated)

    def lines(self) -> Iterator[str]:
        """The cards of the circuit."""
        joined: nx.Graph[str] = nx.Graph()
        joined.add_nodes_from((FRAME, *self.network.nodes))
        for index, branch in enumerate(self.network.branches):
            fault = self.faults.get(branch.id, _Fault())
            cards = [] if fault.gone else list(self._cards(index, branch, fault))
            if cards:
                joined.add_edge(branch.a, branch.b)
                yield f"* {branch.id} ({branch.kind})"
                yield from cards
        for number, change in enumerate(self.shunts, 1):
            joined.add_edge(change.a, change.b)
            yield f"* change: {change.a} joined to {change.b}"
            yield f"R{self.letter}s{number} {self.node(change.a)} {self.node(change.b)} {change.value:.12g}"
        for group in nx.connected_components(joined):
            if FRAME not in group:
                first = min(group, key=lambda name: self.network.node_index[name])
                yield f"* {first} hangs free: what the surface of bare terminals lets through to the frame"
                yield f"R{self.letter}f{self.network.node_index[first] + 1} {self.node(first)} 0 {1.0 / STRAY_S:.12g}"

    def _cards(self, index: int, branch: Branch, fault: _Fault) -> Iterator[str]:
        maker = _CARDS.get(branch.kind, _resistor if branch.kind in _RESISTIVE else None)
        if maker is None or not (self.there[index] or branch.kind == "relay-contact"):
            return
        yield from maker(self, _Place(self, index, branch, fault))

    @cached_property
    def rms(self) -> Any:
        """(n_branches,) volts across every branch in our own solution, in magnitude."""
        a, b = self.network.ends.T
        return np.abs(self.solved.volts[a] - self.solved.volts[b])


@dataclass(frozen=True)
class _Place:
    """A branch on its way into the netlist."""

    circuit: _Circuit
    index: int
    branch: Branch
    fault: _Fault

    @property
    def name(self) -> str:
        """What its cards are called behind their first letter."""
        return f"{self.circuit.letter}{self.index + 1}"

    @property
    def ends(self) -> tuple[str, str]:
        """Names of its nodes."""
        return self.circuit.node(self.branch.a), self.circuit.node(self.branch.b)

    @property
    def ohm(self) -> float:
        """Resistance of this machine's branch at work."""
        return self.branch.ohm * float(self.circuit.draw.live[self.index])

    def resistor(self, ohm: float) -> str:
        """A card of so many ohms, and what a fault adds."""
        a, b = self.ends
        return f"R{self.name} {a} {b} {ohm + self.fault.series_ohm:.12g}"

    def current(self, law: str) -> Iterator[str]:
        """Cards of a current that follows the volts across it, written ``v`` in the law."""
        a, b = self.ends
        if self.fault.series_ohm:
            yield f"R{self.name} x{self.name} {b} {self.fault.series_ohm:.12g}"
            b = f"x{self.name}"
        volts = f"V({a})" if b == "0" else f"-V({b})" if a == "0" else f"(V({a})-V({b}))"
        yield f"B{self.name} {a} {b} I = {law.replace('@', f'({volts})')}"


def _resistor(_: _Circuit, place: _Place) -> Iterator[str]:
    yield place.resistor(place.ohm)


def _battery(circuit: _Circuit, place: _Place) -> Iterator[str]:
    if circuit.hertz:
        yield place.resistor(place.ohm)
        return
    volts = place.branch.volts + circuit.draw.battery_v if place.fault.emf_v is None else place.fault.emf_v
    a, b = place.ends
    yield f"V{place.name} {a} x{place.name} {volts:.12g}"
    yield f"R{place.name} x{place.name} {b} {place.ohm + place.fault.series_ohm:.12g}"


def _winding(circuit: _Circuit, place: _Place) -> Iterator[str]:
    scale, (a, b), name = place.fault.scale, place.ends, place.name
    if not circuit.hertz:
        yield place.resistor(place.ohm * scale)
        return
    engine = circuit.solved.setting.engine
    volts = dict(place.branch.turning).get(engine, 0.0) * circuit.draw.engine.get(engine, 1.0)
    own = dict(place.branch.hertz).get(engine, 0.0)
    henry = place.branch.henry * scale * own / circuit.hertz
    yield f"V{name} {a} x{name} DC 0 AC {volts * scale:.12g}"
    yield f"R{name} x{name} {f'y{name}' if henry else b} {place.ohm * scale + place.fault.series_ohm:.12g}"
    if henry:
        yield f"L{name} y{name} {b} {henry:.12g}"


def _capacitor(circuit: _Circuit, place: _Place) -> Iterator[str]:
    if circuit.hertz:
        a, b = place.ends
        yield f"C{place.name} {a} {b} {place.branch.farad:.12g}"


def _load(circuit: _Circuit, place: _Place) -> Iterator[str]:
    if circuit.hertz:
        yield place.resistor(place.ohm)


def _contact(circuit: _Circuit, place: _Place) -> Iterator[str]:
    if circuit.solved.conducts[place.index]:
        yield place.resistor(place.ohm)


def _bend(argument: str) -> str:
    """ln(1 + e^x), without overflow."""
    return f"(max({argument},0)+ln(1+exp(-abs({argument}))))"


def _filament(circuit: _Circuit, place: _Place) -> Iterator[str]:
    rated = place.branch.volts
    if circuit.hertz:
        yield _chord(
            place, lambda volts: filament_current(volts, np.array(place.ohm), np.array(rated), COLD_RATIO)[0]
        )
        return
    square = COLD_RATIO**2
    # (u^2)^0.45 is |u|^0.9; what is added to u^2 keeps its slope within reason at nought
    bent = f"{1.0 - square:.12g}*(pwr(@*@/{rated**2:.12g}+1e-14,0.45))"
    yield from place.current(f"@/({place.ohm:.12g}*sqrt({square:.12g}+{bent}))")


def _diode(circuit: _Circuit, place: _Place) -> Iterator[str]:
    if circuit.hertz:
        # what a rectifier takes from its winding is its 'load'; its junctions only leak
        yield place.resistor(place.branch.dead_ohm * float(circuit.draw.dead[place.index]))
        return
    yield from place.current(f"{BEND_V / place.ohm:.12g}*{_bend(f'((@-{DIODE_V})/{BEND_V})')}+{LEAK_S}*@")


def _clamp(circuit: _Circuit, place: _Place) -> Iterator[str]:
    limit = place.branch.volts
    if circuit.hertz:
        yield _chord(place, lambda volts: clamp_current(volts, np.array(place.ohm), np.array(limit))[0])
        return
    up, down = (_bend(f"(({sign}@-{limit:.12g})/{BEND_V})") for sign in ("", "-"))
    yield from place.current(f"{BEND_V / place.ohm:.12g}*({up}-{down})+{LEAK_S}*@")


def _chord(place: _Place, law: Callable[[NDArray[np.float64]], NDArray[np.float64]]) -> str:
    """A resistor of as many ohms as the branch has at the volts that stand across it."""
    volts = np.maximum(place.circuit.rms[place.index], _LEAST_V)
    return place.resistor(float(volts / law(volts)))


def _charger(circuit: _Circuit, place: _Place) -> Iterator[str]:
    emf = float(circuit.charger_v[place.index])
    if not circuit.hertz and emf > 0.0:
        yield from place.current(f"-{BEND_V / place.ohm:.12g}*{_bend(f'(({emf:.12g}-@)/{BEND_V})')}")


def _uptake(circuit: _Circuit, place: _Place) -> Iterator[str]:
    battery = circuit.faults.get(place.branch.follows)
    if not circuit.hertz and battery is None:
        ohm, volts = law_values(circuit.network, circuit.draw, np.array([place.index]))
        bent = _bend(f"((@-{float(volts[0]) + CHARGED_V:.12g})/{UPTAKE_BEND_V})")
        yield from place.current(f"-{UPTAKE_BEND_V / float(ohm[0]):.12g}*{bent}")


_CARDS: dict[str, Callable[[_Circuit, _Place], Iterator[str]]] = {
    "battery": _battery,
    "winding": _winding,
    "capacitor": _capacitor,
    "load": _load,
    "relay-contact": _contact,
    "filament": _filament,
    "diode": _diode,
    "clamp": _clamp,
    "charger": _charger,
    "uptake": _uptake,
}


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
        lines += item.lines()
    return "\n".join([*lines, "*", _OPTIONS, *analyses, ".end"]) + "\n"


def _circuits(
    electrics: Electrics, setting: Setting, changes: tuple[Change, ...], every: Sequence[Change], draw: int
) -> Iterator[_Circuit]:
    """Direct current, and alternating current where a winding turns."""
    kinds = {branch.id: branch.kind for branch in electrics.network.branches}
    faults: dict[str, _Fault] = {}
    for change in every:
        if change.branch:
            faults[change.branch] = faults.get(change.branch, _Fault()).after(change, kinds[change.branch])
    steady = tuple(item for item in every if item.mode == Mode.SHUNT)
    coupling = electrics.coupling("dc", setting, electrics.cases([changes]), draw)
    none = np.zeros(len(electrics.network.branches))
    emf = none if coupling.charger_v is None else coupling.charger_v[0]
    machine = electrics.draws[draw]
    yield _Circuit(
        flow(electrics, setting, "dc", changes=changes, machine=draw), machine, faults, steady, 0.0, emf
    )
    hertz = highest_hertz(electrics.network, setting)
    if hertz > 0.0:
        shunts = tuple(item for item in every if item.mode in (Mode.SHUNT, Mode.STRESS))
        solved = flow(electrics, setting, "ac", changes=changes, machine=draw)
        yield _Circuit(solved, machine, faults, shunts, hertz, none)


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
