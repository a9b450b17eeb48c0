"""Cards of a SPICE netlist: what stands there for a branch of each kind, as its law in `ohmtrail.circuit.laws` has it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branches import COLD_RATIO, Branch
from ohmtrail.circuit.changes import OPEN_OHM, Change, Mode
from ohmtrail.circuit.draws import Draw
from ohmtrail.circuit.flows import Flow
from ohmtrail.circuit.laws import (
    BEND_V,
    CHARGED_V,
    DIODE_V,
    LEAK_S,
    UPTAKE_BEND_V,
    clamp_current,
    filament_current,
)
from ohmtrail.circuit.network import Network, closed_branches, law_values
from ohmtrail.harness.model import FRAME

__all__ = ["Altered", "OneCircuit", "cards_of"]

#: least volts at which a chord is taken
_LEAST_V = 1e-6
_RESISTIVE = frozenset(
    {"lead", "joint", "contact", "earth", "switch", "fuse", "resistor", "coil", "inside", "insulation"}
)


@dataclass(frozen=True)
class Altered:
    """What the changes do to one branch."""

    series_ohm: float = 0.0
    scale: float = 1.0
    emf_v: float | None = None
    gone: bool = False

    def after(self, change: Change, kind: str) -> Altered:
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


@dataclass(frozen=True)
class OneCircuit:
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
    faults: dict[str, Altered]
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

    @cached_property
    def rms(self) -> Any:
        """(n_branches,) volts across every branch in our own solution, in magnitude."""
        a, b = self.network.ends.T
        return np.abs(self.solved.volts[a] - self.solved.volts[b])


@dataclass(frozen=True)
class _Place:
    """A branch on its way into the netlist."""

    circuit: OneCircuit
    index: int
    branch: Branch
    fault: Altered

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


def _resistor(_: OneCircuit, place: _Place) -> Iterator[str]:
    yield place.resistor(place.ohm)


def _battery(circuit: OneCircuit, place: _Place) -> Iterator[str]:
    if circuit.hertz:
        yield place.resistor(place.ohm)
        return
    volts = place.branch.volts + circuit.draw.battery_v if place.fault.emf_v is None else place.fault.emf_v
    a, b = place.ends
    yield f"V{place.name} {a} x{place.name} {volts:.12g}"
    yield f"R{place.name} x{place.name} {b} {place.ohm + place.fault.series_ohm:.12g}"


def _winding(circuit: OneCircuit, place: _Place) -> Iterator[str]:
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


def _capacitor(circuit: OneCircuit, place: _Place) -> Iterator[str]:
    if circuit.hertz:
        a, b = place.ends
        yield f"C{place.name} {a} {b} {place.branch.farad:.12g}"


def _load(circuit: OneCircuit, place: _Place) -> Iterator[str]:
    if circuit.hertz:
        yield place.resistor(place.ohm)


def _contact(circuit: OneCircuit, place: _Place) -> Iterator[str]:
    if circuit.solved.conducts[place.index]:
        yield place.resistor(place.ohm)


def _bend(argument: str) -> str:
    """ln(1 + e^x), without overflow."""
    return f"(max({argument},0)+ln(1+exp(-abs({argument}))))"


def _filament(circuit: OneCircuit, place: _Place) -> Iterator[str]:
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


def _diode(circuit: OneCircuit, place: _Place) -> Iterator[str]:
    if circuit.hertz:
        # what a rectifier takes from its winding is its 'load'; its junctions only leak
        yield place.resistor(place.branch.dead_ohm * float(circuit.draw.dead[place.index]))
        return
    yield from place.current(f"{BEND_V / place.ohm:.12g}*{_bend(f'((@-{DIODE_V})/{BEND_V})')}+{LEAK_S}*@")


def _clamp(circuit: OneCircuit, place: _Place) -> Iterator[str]:
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


def _charger(circuit: OneCircuit, place: _Place) -> Iterator[str]:
    emf = float(circuit.charger_v[place.index])
    if not circuit.hertz and emf > 0.0:
        yield from place.current(f"-{BEND_V / place.ohm:.12g}*{_bend(f'(({emf:.12g}-@)/{BEND_V})')}")


def _uptake(circuit: OneCircuit, place: _Place) -> Iterator[str]:
    battery = circuit.faults.get(place.branch.follows)
    if not circuit.hertz and battery is None:
        ohm, volts = law_values(circuit.network, circuit.draw, np.array([place.index]))
        bent = _bend(f"((@-{float(volts[0]) + CHARGED_V:.12g})/{UPTAKE_BEND_V})")
        yield from place.current(f"-{UPTAKE_BEND_V / float(ohm[0]):.12g}*{bent}")


_CARDS: dict[str, Callable[[OneCircuit, _Place], Iterator[str]]] = {
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


def cards_of(circuit: OneCircuit, index: int, branch: Branch, fault: Altered) -> Iterator[str]:
    """Write the cards of one branch.

    Parameters
    ----------
    circuit : OneCircuit
        Direct or alternating current.
    index : int
        Of the branch in the network.
    branch : Branch
        What is written.
    fault : Altered
        What is wrong with it.

    Yields
    ------
    str
        A card; none where the branch carries nothing in this setting.
    """
    maker = _CARDS.get(branch.kind, _resistor if branch.kind in _RESISTIVE else None)
    if maker is not None and (circuit.there[index] or branch.kind == "relay-contact"):
        yield from maker(circuit, _Place(circuit, index, branch, fault))
