"""Names that point at other things in the harness: each must exist. One function per kind of link."""

from __future__ import annotations

from collections.abc import Iterator

from ohmtrail.errors import UnknownName
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.naming import terminal_hint
from ohmtrail.harness.parts import Earth, Lamp, Metal, Module, Need, Part, Points, Switch

__all__ = ["ENGINE_STATES", "Link", "broken_links"]

ENGINE_STATES = ("still", "cranking", "running")

Link = tuple[tuple[str | int, ...], UnknownName]


def broken_links(harness: Harness) -> Iterator[Link]:
    """Yield every name that points at nothing, with its path in the file.

    Parameters
    ----------
    harness : Harness
        A harness whose values are already checked one by one.

    Yields
    ------
    tuple
        Path of keys to the name, and the error that names the nearest right one.
    """
    for check in (_places, _earthing, _looms, _leads, _functions, _module_needs):
        yield from check(harness)


def _missing(kind: str, name: str, known: Iterator[str] | tuple[str, ...], path: tuple[str | int, ...]) -> Link:
    return path, UnknownName(kind, name, known)


def _places(harness: Harness) -> Iterator[Link]:
    known = tuple(harness.places)
    for place_id, place in harness.places.items():
        if place.inside is not None and place.inside not in harness.places:
            yield _missing("place", place.inside, known, ("places", place_id, "inside"))
    for part_id, part in harness.parts.items():
        if part.at not in harness.places:
            yield _missing("place", part.at, known, ("parts", part_id, "at"))


def _earthing(harness: Harness) -> Iterator[Link]:
    masses = (FRAME, *(name for name, part in harness.parts.items() if isinstance(part, Metal)))
    for part_id, part in harness.parts.items():
        for terminal, onto in part.mounts.items():
            if terminal not in part.terminals():
                yield _missing("terminal", terminal, part.terminals(), ("parts", part_id, "mounts", terminal))
            if onto not in masses:
                yield _missing("metal", onto, masses, ("parts", part_id, "mounts", terminal))
        if isinstance(part, Earth) and part.on not in masses:
            yield _missing("metal", part.on, masses, ("parts", part_id, "on"))
        if isinstance(part, Metal) and part.bolted_to is not None and part.bolted_to not in masses:
            yield _missing("metal", part.bolted_to, masses, ("parts", part_id, "bolted_to"))


def _looms(harness: Harness) -> Iterator[Link]:
    known = tuple(harness.places)
    for loom_id, loom in harness.looms.items():
        for key in ("passes", "flexes_at"):
            for index, place in enumerate(getattr(loom, key)):
                if place not in harness.places:
                    yield _missing("place", place, known, ("looms", loom_id, key, index))


def _leads(harness: Harness) -> Iterator[Link]:
    known = tuple(harness.terminals)
    for lead_id, lead in harness.leads.items():
        for key, terminal in (("from", lead.from_), ("to", lead.to)):
            if terminal not in harness.terminals:
                yield ("leads", lead_id, key), UnknownName("terminal", terminal, known, hint=terminal_hint(harness, terminal))
        if lead.loom is not None and lead.loom not in harness.looms:
            yield _missing("loom", lead.loom, tuple(harness.looms), ("leads", lead_id, "loom"))


def _when(harness: Harness, when: dict[str, str], path: tuple[str | int, ...]) -> Iterator[Link]:
    switches = {name: part for name, part in harness.parts.items() if isinstance(part, Switch | Points)}
    for name, position in when.items():
        if name == "engine":
            if position not in ENGINE_STATES:
                yield _missing("engine state", position, ENGINE_STATES, (*path, name))
        elif name == "battery":
            if position not in ("on", "off"):
                yield _missing("battery state", position, ("on", "off"), (*path, name))
        elif name not in switches:
            yield _missing("switch", name, ("engine", *switches), (*path, name))
        elif position not in switches[name].positions:
            yield _missing(f"position of {name}", position, tuple(switches[name].positions), (*path, name))


def _need(harness: Harness, need: Need, path: tuple[str | int, ...]) -> Iterator[Link]:
    pair = need.dc or need.ac or need.pulse or need.ohms
    for index, point in enumerate(pair or ()):
        if point not in harness.terminals:
            hint = terminal_hint(harness, point)
            yield (*path, need.quantity, index), UnknownName("terminal", point, tuple(harness.terminals), hint=hint)
    part = need.works or need.sound
    if part is not None and part not in harness.parts:
        yield _missing("part", part, tuple(harness.parts), (*path, need.quantity))
    if need.lit is not None:
        known = tuple(_lamp_names(harness.parts))
        if need.lit not in known:
            yield _missing("lamp", need.lit, known, (*path, "lit"))
    yield from _when(harness, need.when, (*path, "when"))


def _lamp_names(parts: dict[str, Part]) -> Iterator[str]:
    for part_id, part in parts.items():
        if isinstance(part, Lamp):
            yield from (f"{part_id}.{name}" for name in part.filaments) if part.filaments else (part_id,)


def _functions(harness: Harness) -> Iterator[Link]:
    for name, function in harness.functions.items():
        path: tuple[str | int, ...] = ("functions", name)
        if function.seen_at is not None and function.seen_at not in {*harness.parts, *harness.terminals}:
            yield _missing("part", function.seen_at, tuple(harness.parts), (*path, "seen_at"))
        yield from _when(harness, function.when, (*path, "when"))
        for index, need in enumerate(function.needs):
            yield from _need(harness, need, (*path, "needs", index))


def _module_needs(harness: Harness) -> Iterator[Link]:
    for part_id, part in harness.parts.items():
        if isinstance(part, Module):
            for index, need in enumerate(part.needs):
                yield from _need(harness, need, ("parts", part_id, "needs", index))


