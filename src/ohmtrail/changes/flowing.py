"""Volts and amps of one machine in every function's setting: loads, fuses and contacts, ways of current."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ohmtrail.circuit.bench import Bench
from ohmtrail.circuit.branches import Branch
from ohmtrail.circuit.flows import Flow
from ohmtrail.circuit.kinds import is_load
from ohmtrail.circuit.steps import Route

__all__ = ["Carried", "Fed", "Way", "carried", "fed_loads", "ways"]

#: kinds that a person would call a load; what a module or a rectifier shows its feed is not among them
_LOADS = frozenset({"filament", "resistor", "coil"})
_CONTACTS = {"fuse": "fuse", "switch": "switch", "relay-contact": "relay"}


@dataclass(frozen=True)
class Fed:
    """What a load gets: volts across it and amps through it, RMS."""

    volts: float
    amps: float


@dataclass(frozen=True)
class Carried:
    """The most that a fuse, switch or relay contact carries in any function, ampere; its rating, where it has one."""

    kind: str
    amps: float
    function: str
    rating: float | None


@dataclass(frozen=True)
class Way:
    """A function's way of current: what lies in it, ohm out and back, and its leads and parts in order."""

    ohm: float
    elements: tuple[str, ...]


def fed_loads(bench: Bench) -> dict[tuple[str, str], Fed]:
    """Work out what every load gets in every function's setting.

    Parameters
    ----------
    bench : Bench
        The machine.

    Returns
    -------
    dict
        (function, load) -> volts and amps; a load is a part or ``lamp.filament``.
    """
    found: dict[tuple[str, str], Fed] = {}
    for name, flows in _by_function(bench):
        for branch in bench.network.branches:
            if branch.kind in _LOADS and is_load(bench.network, branch):
                volts = math.hypot(*(item.across(branch.id) for item in flows))
                found[name, branch.id] = Fed(volts, math.hypot(*(item.through(branch.id) for item in flows)))
    return found


def _by_function(bench: Bench) -> Iterator[tuple[str, list[Flow]]]:
    """The flows of each function together: dc alone, or dc and ac."""
    found: dict[str, list[Flow]] = {}
    for name, item in bench.flows:
        found.setdefault(name, []).append(item)
    yield from found.items()


def carried(bench: Bench) -> dict[str, Carried]:
    """Work out the most that every fuse, switch and relay carries.

    Parameters
    ----------
    bench : Bench
        The machine.

    Returns
    -------
    dict
        Part -> the greatest amps through one of its contacts, RMS.
    """
    found: dict[str, Carried] = {}
    for name, flows in _by_function(bench):
        for branch in bench.network.branches:
            if branch.kind in _CONTACTS:
                amps = math.hypot(*(item.through(branch.id) for item in flows))
                if branch.owner not in found or amps > found[branch.owner].amps:
                    rating = getattr(bench.harness.parts[branch.owner], "rating", None)
                    found[branch.owner] = Carried(_CONTACTS[branch.kind], amps, name, rating)
    return found


def ways(bench: Bench) -> dict[tuple[str, str], Way]:
    """Sum up the resistance that lies in the way of every function's current.

    Parameters
    ----------
    bench : Bench
        The machine.

    Returns
    -------
    dict
        (function, load) -> ohm of leads, joints, contacts, fuses and earths out and back.
    """
    found: dict[tuple[str, str], Way] = {}
    for name, trace in bench.traces.items():
        loads = {route.need: route.load for route in trace.of("main") if route.load}
        for need, load in loads.items():
            routes = [route for route in trace.routes if route.need == need and route.role in ("main", "return")]
            if all(route.conducts for route in routes):
                found[name, load] = _way(bench, routes)
    return found


def _way(bench: Bench, routes: list[Route]) -> Way:
    branches = [bench.network.branches[bench.network.index[step.branch]] for route in routes for step in route.steps if step.branch]
    unique = list(dict.fromkeys(branch for branch in branches if _plain(branch)))
    elements = tuple(dict.fromkeys(branch.owner for branch in unique))
    return Way(sum(branch.ohm for branch in unique), elements)


def _plain(branch: Branch) -> bool:
    return branch.kind in ("lead", "joint", "contact", "earth", *_CONTACTS)
