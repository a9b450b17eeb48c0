"""A function's path as a walk: a sentence for each element that the current passes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ohmtrail.circuit.kinds import SOURCES
from ohmtrail.circuit.steps import Route, Step, Trace
from ohmtrail.errors import UnknownName
from ohmtrail.harness import FRAME, Harness
from ohmtrail.harness.standards import parse_colour
from ohmtrail.units import show

__all__ = ["Walk", "WalkStep", "walks_of"]

_ROLES = {
    "main": "the way of the current",
    "return": "back to the source",
    "side": "beside it: takes the volts away when it conducts",
    "shared": "beside it: other loads on the same feed",
}
_REGIMES = {"dc": "direct current", "ac": "alternating current", "pulse": "pulses", "ohms": "measured dead"}


@dataclass(frozen=True)
class WalkStep:
    """One element on the way.

    Attributes
    ----------
    element : str
        Lead, part or ``plug.cavity``, as pictures name it.
    branches : tuple of str
        What current passes in it, by branch id.
    start, end : str
        Points at which it is entered and left.
    words : str
        A sentence.
    load : bool
        Whether the volts are meant to be used up here, or come from here.
    """

    element: str
    branches: tuple[str, ...]
    start: str
    end: str
    words: str
    load: bool


@dataclass(frozen=True)
class Walk:
    """One route as a walk: its title, its regime, its steps."""

    words: str
    regime: str
    steps: tuple[WalkStep, ...]


def walks_of(harness: Harness, trace: Trace) -> tuple[Walk, ...]:
    """Turn the routes of a function into walks.

    Parameters
    ----------
    harness : Harness
        The machine.
    trace : Trace
        Its routes, in the setting in which it must work.

    Returns
    -------
    tuple of Walk
        Those with at least one step; main routes with what belongs to them.
    """
    found = []
    for route in trace.routes:
        words = f"{_ROLES[route.role]}, {_REGIMES[route.regime]}"
        steps = tuple(_steps(harness, route))
        if steps:
            found.append(Walk(words[:1].upper() + words[1:], route.regime, steps))
    return tuple(found)


def _steps(harness: Harness, route: Route) -> Iterator[WalkStep]:
    """Hops gathered by element: a lead with its two joints is one."""
    points = [step.point for step in route.steps]
    hops = [(step, points[number + 1]) for number, step in enumerate(route.steps[:-1]) if step.branch]
    gathered: list[list[tuple[Step, str]]] = []
    for hop in hops:
        if gathered and hop[0].owner == gathered[-1][-1][0].owner and hop[0].owner in harness.leads:
            gathered[-1].append(hop)
        else:
            gathered.append([hop])
    for number, group in enumerate(gathered):
        yield _step(harness, route, group, first=number == 0)


def _step(harness: Harness, route: Route, group: list[tuple[Step, str]], *, first: bool) -> WalkStep:
    step, start, end = group[-1][0], group[0][0].point, group[-1][1]
    element = step.branch if step.kind == "contact" else step.owner
    source = step.kind in SOURCES[route.regime] if route.regime != "ohms" else False
    load = source or any(item.branch == route.load for item, _ in group)
    told = _through(harness, step, start, end, load=load, source=source)
    words = f"From {_point(harness, start)}, {told}." if first else f"{told[:1].upper()}{told[1:]}."
    return WalkStep(element, tuple(item.branch for item, _ in group), start, end, words, load)


def _through(harness: Harness, step: Step, start: str, end: str, *, load: bool, source: bool) -> str:
    """What is passed, and where to."""
    if step.owner in harness.leads:
        return f"through the {_lead(harness, step.owner)} to {_point(harness, end)}"
    name = _part(harness, step.owner)
    pins = f"from terminal {_pin(start)} to {_pin(end)}" if "." in start and "." in end else f"to {_point(harness, end)}"
    if step.kind == "contact":
        return f"across {name}, cavity {step.branch.rpartition('.')[2]}"
    if step.kind == "earth":
        return f"by {name} to {_point(harness, end)}"
    if step.kind == "fuse":
        rating = getattr(harness.parts[step.owner], "rating", 0.0)
        return f"through {name}, {show(rating, 'ampere')}, {pins}"
    if source:
        return f"through {name}, which drives it, {pins}"
    return f"through {name}, {pins}" + (": here the current does its work" if load else "")


def _lead(harness: Harness, name: str) -> str:
    lead = harness.leads[name]
    try:
        colour = f"{parse_colour(lead.colour).words} " if lead.colour else ""
    except UnknownName:
        colour = f"{lead.colour} "
    return f"{colour}lead {name}"


def _part(harness: Harness, name: str) -> str:
    part = harness.parts.get(name)
    if part is None:
        return name
    words = part.called or name.replace("-", " ")
    kinds = {"splice": f"splice {name}", "earth": f"earth point {name}"}
    return kinds.get(part.kind) or (words if words.startswith(("the ", "The ")) else f"the {words}")


def _pin(point: str) -> str:
    return point.rpartition(".")[2].replace("-", "−")


def _point(harness: Harness, point: str) -> str:
    """A terminal in words."""
    if point == FRAME:
        return "the frame"
    if point in harness.lead_ends:
        lead, terminal = harness.lead_ends[point]
        return f"the crimp of lead {lead} at {_point(harness, terminal)}"
    owner = harness.terminals[point][0]
    if point == owner:
        return _part(harness, owner)
    part = harness.parts[owner]
    pin = _pin(point)
    return f"{_part(harness, owner)}, cavity {pin[:-1]}" if part.kind == "connector" else f"{_part(harness, owner)} terminal {pin}"
