"""Planting the fault of a drill: one that shows, that can be found, and that can be told from all others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ohmtrail.circuit import WORKS, function_setting
from ohmtrail.diagnosis import Case, PlantedFault, Seen, plant
from ohmtrail.errors import InputError
from ohmtrail.faults import Fault
from ohmtrail.training.dice import Dice
from ohmtrail.training.drill import Drill, Level, Wish
from ohmtrail.training.machine import DrillMachine
from ohmtrail.training.route import Route, best_route

__all__ = ["plant_drill", "planted_again"]

#: draws of a fault, and ways that are tried to the end, before a drill is given up; own choice
MOST_DRAWS, MOST_ROUTES = 3000, 8
#: the least share that the best route must have given the mend it made; own choice: found, and not guessed
FOUND = 0.5


def plant_drill(case: Case, wish: Wish) -> tuple[Drill, Route]:
    """Plant what a wish asks for, and prove that it can be found.

    Parameters
    ----------
    case : Case
        The machine as described.
    wish : Wish
        Level, function and seed.

    Returns
    -------
    tuple of Drill and Route
        The drill, and the tool's own way from its complaint to the proof.

    Raises
    ------
    InputError
        No fault of that level that stops that function can be found on this machine.
    """
    routes = 0
    for drill in _showing(case, wish):
        route = best_route(drill)
        if wish.unsplit or (route.solved and not route.grouped and route.share >= FOUND):
            return drill, route
        routes += 1
        if routes == MOST_ROUTES:
            break
    what = f"stops {wish.function}" if wish.function else "stops anything"
    tried = "that can be told from all others " if routes else ""
    bent = wish.level != "intermittent" or any(loom.flexes_at for loom in case.harness.looms.values())
    remedy = "choose" if bent else "by its file no wiring moves: say where its looms are bent ('flexes_at'), or choose"
    raise InputError(f"no {wish.level} fault {tried}{what} on {case.harness.harness}: {remedy} another --function or --level, or another --seed")


def planted_again(case: Case, wish: Wish, draw: int) -> Drill | None:
    """Give the drill of a draw that is known.

    Parameters
    ----------
    case : Case
        The machine as described.
    wish : Wish
        What was wanted.
    draw : int
        Which draw of the seed.

    Returns
    -------
    Drill or None
        None where that draw stops nothing that was asked for.
    """
    return _drawn(case, wish, draw, _pool(case, wish.level))


def _showing(case: Case, wish: Wish) -> Iterator[Drill]:
    """Draws that make a complaint appear."""
    pool = _pool(case, wish.level)
    if not pool:
        return
    for draw in range(MOST_DRAWS):
        drill = _drawn(case, wish, draw, pool)
        if drill is not None:
            yield drill


def _pool(case: Case, level: Level) -> tuple[Fault, ...]:
    """Faults of a level."""
    if level == "intermittent":
        return tuple(item for item in case.faults if item.moves_at)
    steady = (item for item in case.faults if not item.moves_at)
    return tuple(item for item in steady if level != "high-resistance" or item.kind == "high")


def _drawn(case: Case, wish: Wish, draw: int, pool: Sequence[Fault]) -> Drill | None:
    dice = Dice(wish.seed, wish.level, wish.function, draw)
    rates = [item.rate for item in pool]
    chosen = [pool[dice.pick(rates)] for _ in range(2 if wish.level == "double" else 1)]
    if len({item.mend.id for item in chosen}) < len(chosen) or len({item.element for item in chosen}) < len(chosen):
        return None
    planted = tuple(plant(item, dice) for item in chosen)
    complaint = _complaint(case, wish, planted, dice)
    return None if complaint is None else Drill(case, wish, draw, planted, complaint)


def _complaint(case: Case, wish: Wish, planted: tuple[PlantedFault, ...], dice: Dice) -> Seen | None:
    """What the owner says: a function that works on the sound machine and that every planted fault stops."""
    harness = case.harness
    machine = DrillMachine(harness, planted, meter=case.meter, seed=wish.seed)
    names = [wish.function] if wish.function else list(harness.functions)
    while names:
        name = names.pop(dice.pick([1.0] * len(names)))
        found = _stopped(machine, name, planted)
        if found is not None:
            return replace(found, sometimes=bool(planted[0].fault.moves_at))
    return None


def _stopped(machine: DrillMachine, name: str, planted: tuple[PlantedFault, ...]) -> Seen | None:
    setting = function_setting(machine.harness, machine.harness.functions[name])
    machine.faults = planted
    level = machine.level(name, setting)
    if level == WORKS:
        return None
    if len(planted) > 1:
        for item in planted:
            machine.faults = (item,)
            if machine.level(name, setting) == WORKS:
                return None
    machine.faults = ()
    return Seen(name, setting, level) if machine.level(name, setting) == WORKS else None
