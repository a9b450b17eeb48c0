"""Worked examples as harnesses: a builder that several reference folders share."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import pytest

from ohmtrail.circuit import Change, Electrics, Setting
from ohmtrail.circuit.flows import flow
from ohmtrail.circuit.network import Regime
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree

#: a lead of 1 mΩ between two joints of 5 mΩ, as every lead of 1 mm² and less has them
LEAD_OHM, JOINT_OHM = 0.001, 0.005
WIRE_OHM = LEAD_OHM + 2 * JOINT_OHM
#: what stands for a source without resistance
LEAST_OHM = 1e-6


@dataclass(frozen=True)
class Bench:
    """A worked example as a harness.

    Node ``0`` is the minus of the first source, which is bolted to the frame, and that source's plus is a
    node too; every other node is a splice. A published resistance is a part and its two leads together (or
    one lead, joints included), so that nothing is left out and nothing is added.

    Attributes
    ----------
    sources : mapping
        Name -> (plus, minus, volts) or (plus, minus, volts, ohms of its own).
    resistors, wires : mapping
        Name -> (a, b, ohms): resistor parts on two leads, and single leads.
    carried : mapping
        Name of a resistor -> wiring of other parts, ohm, that its published ohms include.
    windings : mapping
        Name -> (plus, minus, volts RMS, ohms, millihenries, hertz) of an engine that runs.
    parts, leads : str
        Further lines of the harness file.
    """

    sources: Mapping[str, tuple[Any, ...]] = field(default_factory=dict)
    resistors: Mapping[str, tuple[str, str, float]] = field(default_factory=dict)
    wires: Mapping[str, tuple[str, str, float]] = field(default_factory=dict)
    carried: Mapping[str, float] = field(default_factory=dict)
    windings: Mapping[str, tuple[str, str, float, float, float, float]] = field(default_factory=dict)
    parts: str = ""
    leads: str = ""

    @cached_property
    def points(self) -> dict[str, str]:
        """Node -> point of the harness."""
        every = [*self.sources.values(), *self.windings.values(), *self.resistors.values(), *self.wires.values()]
        found = {node: f"n{node}" for item in every for node in item[:2] if "." not in node}
        if self.sources or self.windings:
            name, (plus, minus, *_) = next(iter({**self.sources, **self.windings}.items()))
            ends = ("+", "-") if self.sources else ("1", "2")
            found |= {plus: f"{name}.{ends[0]}", minus: f"{name}.{ends[1]}"}
        return found

    def point(self, node: str) -> str:
        """The point of the harness that a node is."""
        return self.points.get(node, node)

    @cached_property
    def text(self) -> str:
        """The harness file."""
        parts, leads = self.parts.splitlines(), self.leads.splitlines()
        parts += [f"{name}: {{kind: splice, at: tray}}" for name in self.points.values() if "." not in name]
        for place, (name, (plus, minus, volts, *ohm)) in enumerate(self.sources.items()):
            said = f"kind: battery, at: tray, volts: {volts:.12g} V, resistance: {(*ohm, LEAST_OHM)[0]:.12g} Ω"
            parts.append(f'{name}: {{{said}{"" if place else ", mounts: {-: frame}"}}}')
            leads += self._on_leads(name, ("+", "-"), (plus, minus)) if place else []
        for place, (name, (plus, minus, volts, ohm, henry, hertz)) in enumerate(self.windings.items()):
            said = f"kind: winding, at: tray, between: [1, 2], resistance: {ohm:.12g} Ω, inductance: {henry:.12g} mH"
            turned = f"volts: {{cranking: 1 V, running: {volts:.12g} V}}, frequency: {{cranking: 10 Hz, running: {hertz:.12g} Hz}}"
            parts.append(f'{name}: {{{said}, {turned}{"" if place else ", mounts: {2: frame}"}}}')
            leads += self._on_leads(name, ("1", "2"), (plus, minus)) if place else []
        for name, (a, b, ohm) in self.resistors.items():
            own = ohm - 2 * WIRE_OHM - self.carried.get(name, 0.0)
            parts.append(f"{name}: {{kind: resistor, at: tray, resistance: {own:.12g} Ω}}")
            leads += self._on_leads(name, ("1", "2"), (a, b))
        for name, (a, b, ohm) in self.wires.items():
            own = ohm - 2 * JOINT_OHM
            leads.append(f"{name}: {{from: {self.point(a)}, to: {self.point(b)}, resistance: {own:.12g} Ω}}")
        head = ["harness: worked example", "places: {tray: {reach: 1 min}}", "parts:"]
        return "\n".join([*head, *(f"  {line}" for line in parts), "leads:", *(f"  {line}" for line in leads)]) + "\n"

    def _on_leads(self, name: str, terminals: tuple[str, str], nodes: tuple[str, str]) -> list[str]:
        return [
            f"{name}-{place}: {{from: {self.point(node)}, to: {name}.{terminal}, resistance: {LEAD_OHM} Ω}}"
            for place, (terminal, node) in enumerate(zip(terminals, nodes, strict=True), 1)
        ]

    @cached_property
    def electrics(self) -> Electrics:
        """The machine, by the way every harness file takes."""
        return Electrics(parse_harness(read_tree(self.text, file="example.yaml")), count=1)

    @property
    def setting(self) -> Setting:
        """Battery on, and the engine running where a winding is to turn."""
        return Setting(engine="running" if self.windings else "still")

    def _regime(self) -> Regime:
        return "ac" if self.windings else "dc"

    def volts(self, red: str, black: str = "0", changes: tuple[Change, ...] = ()) -> complex:
        """Volts between two nodes, a phasor where a winding turns."""
        solved = flow(self.electrics, self.setting, self._regime(), changes=changes)
        one, two = (solved.volts[self.electrics.network.node_index[self.point(node)]] for node in (red, black))
        return complex(one - two)

    def amps(self, name: str, changes: tuple[Change, ...] = ()) -> complex:
        """Amps through a part or lead, from its first node to its second."""
        solved = flow(self.electrics, self.setting, self._regime(), changes=changes)
        return complex(solved.amps[self.electrics.network.index[name]])

    def ohms(self, red: str, black: str) -> float:
        """Ohms between two nodes of the dead machine."""
        dead = Setting(battery=False)
        return float(self.electrics.read("ohms", dead, [(self.point(red), self.point(black))]).value[0, 0, 0])


class _Printed:
    """A printed figure: equal to what rounds to it, or to a neighbour of its last digit by a hair."""

    def __init__(self, figure: str, *, unit: float = 1.0) -> None:
        self.figure = figure
        behind = len(figure.partition(".")[2])
        self.value, self.half = float(figure) * unit, 0.5 * 10.0**-behind * unit

    def __eq__(self, other: object) -> bool:
        assert isinstance(other, float | int | complex)
        return abs(other - self.value) <= self.half * 1.001

    __hash__ = None  # type: ignore[assignment]  # equality is within a tolerance

    def __repr__(self) -> str:
        return f"{self.value:g} ± {self.half:g} (printed {self.figure})"


@pytest.fixture(scope="session")
def bench() -> type[Bench]:
    """Build a worked example as a harness."""
    return Bench


@pytest.fixture(scope="session")
def printed() -> Callable[..., Any]:
    """Compare with a figure as a book prints it: to half of its last digit."""
    return _Printed
