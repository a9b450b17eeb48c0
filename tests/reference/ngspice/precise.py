"""The cards of a netlist solved in 80-bit numbers, to say which of two programs is nearer.

Behind a gap of 10 GΩ in a lead of a thousandth of an ohm thirteen of the sixteen digits of ordinary numbers are
used up; these have nineteen.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branches import COLD_RATIO, Branch
from ohmtrail.circuit.laws import (
    clamp_current,
    diode_current,
    filament_current,
    refused_current,
    source_current,
)

Law = Callable[[NDArray[Any]], tuple[NDArray[Any], NDArray[Any]]]
#: Newton steps, and volts within which they have settled
_STEPS, _NEAR_V = 40, 1e-10


def law_of(branch: Branch, ohm: NDArray[Any], volts: NDArray[Any], emf: float) -> Law:
    """Current and slope of a bent branch as a function of the volts across it; its own ohms and volts as arrays of one."""
    if branch.kind == "filament":
        return lambda v: filament_current(v, ohm, volts, COLD_RATIO)
    if branch.kind == "clamp":
        return lambda v: clamp_current(v, ohm, volts)
    if branch.kind == "charger":
        return lambda v: source_current(v, ohm, np.array([emf]))
    if branch.kind == "uptake":
        return lambda v: refused_current(v, ohm, volts)
    return lambda v: diode_current(v, ohm)


@dataclass
class _Equations:
    """Modified nodal equations, filled card by card."""

    index: dict[str, int]
    size: int
    kind: Any
    matrix: NDArray[Any] = field(init=False)
    right: NDArray[Any] = field(init=False)

    def __post_init__(self) -> None:
        self.matrix = np.zeros((self.size, self.size), dtype=self.kind)
        self.right = np.zeros(self.size, dtype=self.kind)

    def ends(self, card: Sequence[str]) -> list[tuple[int, int]]:
        return [(self.index[node], sign) for node, sign in zip(card[1:3], (1, -1), strict=True) if node != "0"]

    def conduct(self, card: Sequence[str], siemens: Any, source: Any = 0) -> None:
        for one, sign in self.ends(card):
            self.right[one] += sign * source
            for two, other in self.ends(card):
                self.matrix[one, two] += sign * other * siemens

    def drive(self, card: Sequence[str], row: int, volts: Any) -> None:
        for end, sign in self.ends(card):
            self.matrix[row, end] += sign
            self.matrix[end, row] += sign
        self.right[row] = volts


def solve_precisely(text: str, start: dict[str, complex], laws: dict[str, Law], letter: str = "n") -> dict[str, complex]:
    """Node -> volts of one of the two circuits of a netlist.

    ``start`` is where Newton's method begins, ``laws`` those of the B cards by number.
    """
    cards = [line.split() for line in text.splitlines() if line[0] not in "*."]
    cards = [card for card in cards if card[0].lstrip("RVBLC")[0] == letter]
    nodes = sorted({node for card in cards for node in card[1:3] if node != "0"})
    index = {node: place for place, node in enumerate(nodes)}
    kind: Any = np.longdouble if letter == "n" else np.clongdouble
    found = np.array([start.get(node, 0j).real for node in nodes]).astype(kind)
    frequency = re.search(r"^\.ac lin 1 (\S+) ", text, re.MULTILINE)
    omega = 2.0 * np.pi * float(frequency[1]) if frequency else 0.0
    for _ in range(_STEPS):
        before, found = found, _step(cards, index, kind, omega, laws, found)
        if np.abs(found - before).max() < _NEAR_V:
            break
    return {"0": 0j} | {node: complex(found[place]) for node, place in index.items()}


def _step(
    cards: list[list[str]], index: dict[str, int], kind: Any, omega: float, laws: dict[str, Law], at: NDArray[Any]
) -> NDArray[Any]:
    """All volts from the straight lines that touch the laws at some volts."""
    sources = [card for card in cards if card[0][0] == "V"]
    made = _Equations(index, len(index) + len(sources), kind)
    volts = {"0": kind(0)} | {node: at[place] for node, place in index.items()}
    for card in cards:
        match card[0][0]:
            case "V":
                made.drive(card, len(index) + sources.index(card), kind(card[-1]))
            case "R":
                made.conduct(card, 1 / kind(card[3]))
            case "L":
                made.conduct(card, 1 / kind(1j * omega * float(card[3])))
            case "C":
                made.conduct(card, kind(1j * omega * float(card[3])))
            case "B":
                across = np.array([volts[card[1]] - volts[card[2]]])
                current, slope = laws[card[0][2:]](across)
                made.conduct(card, slope[0], slope[0] * across[0] - current[0])
    return _eliminated(made.matrix, made.right)[: len(index)]


def _eliminated(matrix: NDArray[Any], right: NDArray[Any]) -> NDArray[Any]:
    """Gauss's elimination with pivots."""
    size = len(right)
    for k in range(size):
        pivot = k + int(np.argmax(np.abs(matrix[k:, k])))
        matrix[[k, pivot]], right[[k, pivot]] = matrix[[pivot, k]], right[[pivot, k]]
        below = k + 1 + np.flatnonzero(matrix[k + 1 :, k])
        share = matrix[below, k] / matrix[k, k]
        matrix[below, k:] -= share[:, None] * matrix[k, k:]
        right[below] -= share * right[k]
    found = np.zeros_like(right)
    for k in reversed(range(size)):
        found[k] = (right[k] - matrix[k, k + 1 :] @ found[k + 1 :]) / matrix[k, k]
    return found
