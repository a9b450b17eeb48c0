"""Where a file may be wrong: functions that do not work by it, and the one change to it by which all would."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.amendments import Amendment, amendments, likeness
from ohmtrail.circuit.changes import Change
from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.needs import WORKS, check_function, function_level, function_setting, turned_round
from ohmtrail.errors import CircuitError

__all__ = ["Astray", "astray_of", "dead_functions"]

Ints = NDArray[np.int64]

#: changes that are told, the likeliest first
MOST_TOLD = 3
#: where some changed machines have no answer, the rest of them are parted from these in so many halvings at most
_HALVINGS = 6


@dataclass(frozen=True)
class Astray:
    """A file by which something does not work although everything is sound.

    Attributes
    ----------
    functions : tuple of str
        What does not work, in the order of the file.
    amendments : tuple of Amendment
        Single changes by which every function would work, the likeliest first; none where no single change does.
    more : int
        How many others would do as well.
    """

    functions: tuple[str, ...]
    amendments: tuple[Amendment, ...]
    more: int

    @property
    def points(self) -> tuple[str, ...]:
        """Leads and terminals that the changes concern, the likeliest first."""
        return tuple(dict.fromkeys(name for item in self.amendments for name in (*item.leads, *item.ends)))

    def words(self) -> str:
        """Say by what single changes it would all work; "" where none is known."""
        if not self.amendments:
            return ""
        several = len(self.functions) > 1
        others = f" ({self.more} other changes would do as well)" if self.more > 1 else " (one other change would do as well)" if self.more else ""
        return f"{'they' if several else 'it'} would work with {', or '.join(item.words() for item in self.amendments)}{others}"


def dead_functions(electrics: Electrics, functions: Collection[str]) -> tuple[str, ...]:
    """Name the functions that do not work on the nominal machine.

    Parameters
    ----------
    electrics : Electrics
        The machine as described.
    functions : collection of str
        Those that are looked at.

    Returns
    -------
    tuple of str
        In the order of the file; one whose circuit has no answer is among them.
    """
    return tuple(name for name in functions if not _works(electrics, name, [()]).size)


def astray_of(electrics: Electrics, functions: Collection[str] = ()) -> Astray | None:
    """Say what does not work by a file, and what single change to it would put that right.

    Parameters
    ----------
    electrics : Electrics
        The machine as described.
    functions : collection of str, optional
        Those that are looked at; all where not given.

    Returns
    -------
    Astray or None
        None where they all work.

    Notes
    -----
    Cost: nothing but the functions where all work; else some thousand changed machines solved for those that fail,
    and the few that put these right for the others.
    """
    names = tuple(functions) or tuple(electrics.harness.functions)
    dead = dead_functions(electrics, names)
    if not dead:
        return None
    if not all(_solved(electrics, name) for name in dead) or any(_turned_round(electrics, name) for name in dead):
        return Astray(dead, (), 0)
    order = sorted(names, key=lambda name: name not in dead)
    for group in amendments(electrics.harness):
        left = _healing(electrics, order, group)
        if left:
            left.sort(key=lambda item: -likeness(electrics.harness, item))
            told = list(_unlike(left))
            return Astray(dead, tuple(told[:MOST_TOLD]), max(len(told) - MOST_TOLD, 0))
    return Astray(dead, (), 0)


def _healing(electrics: Electrics, functions: Sequence[str], group: list[Amendment]) -> list[Amendment]:
    """Those of some changes by which every function works."""
    for name in functions:
        if not group:
            break
        group = [group[int(index)] for index in _works(electrics, name, [item.changes(electrics.harness) for item in group])]
    return group


def _turned_round(electrics: Electrics, name: str) -> bool:
    """Whether a function fails for a pair of points that are the wrong way round: no lead is astray then."""
    function = electrics.harness.functions[name]
    return any(turned_round(item) for item in check_function(electrics, function, function_setting(electrics.harness, function)))


def _solved(electrics: Electrics, name: str) -> bool:
    """Whether the circuit of a function has an answer as it is."""
    function = electrics.harness.functions[name]
    try:
        function_level(electrics, function, function_setting(electrics.harness, function))
    except CircuitError:
        return False
    return True


def _works(electrics: Electrics, name: str, sets: Sequence[Sequence[Change]], halvings: int = _HALVINGS) -> Ints:
    """Which sets of changes let a function work; where some have no answer, they are parted from the rest."""
    function = electrics.harness.functions[name]
    try:
        level = function_level(electrics, function, function_setting(electrics.harness, function), electrics.cases(sets))[0]
    except CircuitError:
        half = len(sets) // 2
        if not half or not halvings:
            return np.zeros(0, dtype=np.int64)
        parts = (sets[:half], sets[half:])
        first, second = (_works(electrics, name, part, halvings - 1) for part in parts)
        return np.concatenate([first, half + second])
    return np.flatnonzero(level >= WORKS)


def _unlike(found: Sequence[Amendment]) -> Iterator[Amendment]:
    """One change for each set of leads and ends."""
    seen: set[tuple[frozenset[str], ...]] = set()
    for item in found:
        key = (frozenset(item.leads),) if item.leads else (frozenset(item.ends),)
        if key not in seen:
            seen.add(key)
            yield item
