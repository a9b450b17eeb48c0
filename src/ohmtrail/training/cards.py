"""Drills on paper: what a class may ask, what its machine shows, and what the trainer needs to know."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from ohmtrail.circuit import Setting, function_setting, put
from ohmtrail.diagnosis import Bench, Case, Evidence, Step, minutes_of, needed_places, with_outer
from ohmtrail.diagnosis.expected import dead_steps, live_steps
from ohmtrail.errors import InputError
from ohmtrail.harness import FRAME, Harness
from ohmtrail.training.drill import Drill, Wish
from ohmtrail.training.marking import GRACE_MIN
from ohmtrail.training.planting import plant_drill
from ohmtrail.training.route import Route

__all__ = ["Card", "CardRow", "ClassCards", "cards_for"]

#: kinds of part that are worth a look from outside; own choice
_LOOKED_AT = ("fuse", "earth", "connector")
#: seeds that are tried for each card before a fault may come up twice; own choice
_TRIES = 3
#: marks that the answer sheet gives minutes for
_MARKS = (100, 75, 50, 25)


@dataclass(frozen=True)
class CardRow:
    """One thing that may be asked.

    Attributes
    ----------
    number : int
        On its card, from 1.
    step : Step
        What to do.
    place : str
        The place that it is done at, the innermost where there are several; "" for what is seen from outside.
    minutes : float
        What it takes with everything open and the machine at rest before and after.
    shown : Evidence
        What the planted machine shows.
    """

    number: int
    step: Step
    place: str
    minutes: float
    shown: Evidence


@dataclass(frozen=True)
class Card:
    """One drill on paper.

    Attributes
    ----------
    number : int
        Of the card, from 1.
    drill : Drill
        What is planted.
    route : Route
        The tool's own way.
    rows : tuple of CardRow
        What may be asked, place by place.
    best : tuple of int
        Numbers of the rows that the tool's own way takes.
    best_minutes : float
        What those rows and the places they need come to on paper.
    """

    number: int
    drill: Drill
    route: Route
    rows: tuple[CardRow, ...]
    best: tuple[int, ...]
    best_minutes: float

    @property
    def marks(self) -> tuple[tuple[int, float], ...]:
        """Marks, each with the minutes of search up to which it is given."""
        return tuple((mark, (self.best_minutes + GRACE_MIN) * 100.0 / mark - GRACE_MIN) for mark in _MARKS)


@dataclass(frozen=True)
class ClassCards:
    """The cards of a class."""

    harness: Harness
    cards: tuple[Card, ...]


def cards_for(case: Case, wish: Wish, count: int, points_of: Callable[[str], frozenset[str]]) -> ClassCards:
    """Make the cards of a class.

    Parameters
    ----------
    case : Case
        The machine as described.
    wish : Wish
        Level and function; the first card's seed, the next ones follow.
    count : int
        How many cards, at least one.
    points_of : callable
        The terminals that a function works through.

    Returns
    -------
    ClassCards
        No fault twice where there are enough of them; cards of one function share their list of what may be
        asked, so that the list itself tells little.

    Raises
    ------
    InputError
        There is no such fault on this machine.
    """
    if count < 1:
        raise InputError(f"{count} cards are none: ask for one at least")
    drills = _drills(case, wish, count)
    lists: dict[str, tuple[Step, ...]] = {}
    for name in {drill.complaint.function for drill, _ in drills}:
        routes = [route for drill, route in drills if drill.complaint.function == name]
        lists[name] = _askable(case, name, points_of(name), routes)
    return ClassCards(
        case.harness, tuple(_card(case, number, *item, lists[item[0].complaint.function]) for number, item in enumerate(drills, start=1))
    )


def _drills(case: Case, wish: Wish, count: int) -> list[tuple[Drill, Route]]:
    found: list[tuple[Drill, Route]] = []
    known: set[tuple[str, ...]] = set()
    for later in range(_TRIES * count):
        left = count - len(found)
        if not left:
            break
        drill, route = plant_drill(case, replace(wish, seed=wish.seed + later))
        faults = tuple(item.fault.id for item in drill.planted)
        if faults not in known or left >= _TRIES * count - later:
            known.add(faults)
            found.append((drill, route))
    return found


def _askable(case: Case, function: str, points: frozenset[str], routes: Iterable[Route]) -> tuple[Step, ...]:
    """What a class may ask about a function: what a test sheet has, every terminal to the frame, looks, functions, the best ways."""
    harness, found = case.harness, dict[Step, None]()
    for step in (*dead_steps(case.electrics, case.meter, points), *live_steps(case.electrics, case.meter, points, [function])):
        found.setdefault(step)
    for name, other in harness.functions.items():
        found.setdefault(Step("watch", function_setting(harness, other), function=name))
    own = function_setting(harness, harness.functions[function])
    dead = put(harness, own, battery=False, engine="still")
    for point in (point for point in harness.terminals if point in points - {FRAME} and not _mate(harness, point)):
        found.setdefault(Step("measure", dead, "ohms", point, FRAME))
    owners = {harness.terminals[point][0] for point in points if point in harness.terminals}
    for name in (name for name in harness.parts if name in owners and harness.parts[name].kind in _LOOKED_AT):
        found.setdefault(Step("look", Setting(), element=name))
        if harness.parts[name].kind == "connector":
            found.setdefault(Step("watch", put(harness, own, parted=[name]), function=function))
    for route in routes:
        for step in _readings(route):
            found.setdefault(step)
    return tuple(found)


def _mate(harness: Harness, point: str) -> bool:
    """Whether a point is the second side of a cavity, which reads as the first while the plug is together."""
    return point.endswith("b") and harness.parts[harness.terminals[point][0]].kind == "connector"


def _readings(route: Route) -> Iterator[Step]:
    """The steps of a way that read something."""
    for step in (item.step for item in route.done if item.kind == "reading"):
        if step is not None:
            yield replace(step, setting=Setting()) if step.kind == "look" else step


def _card(case: Case, number: int, drill: Drill, route: Route, steps: Sequence[Step]) -> Card:
    harness, machine = case.harness, drill.machine()
    open_all = Bench(Setting(), frozenset(harness.places))
    placed = sorted(((_place(harness, step), step) for step in steps), key=lambda item: _order(harness, *item))
    rows = tuple(
        CardRow(index, step, place, minutes_of(harness, step, open_all), machine.take(step))
        for index, (place, step) in enumerate(placed, start=1)
    )
    numbers = {row.step: row.number for row in rows}
    taken = tuple(dict.fromkeys(numbers[step] for step in _readings(route)))
    places = with_outer(harness, [place for n in taken for place in needed_places(harness, rows[n - 1].step, Setting())])
    minutes = sum(rows[n - 1].minutes for n in taken) + sum(harness.places[place].reach for place in places)
    return Card(number, drill, route, rows, taken, minutes)


def _place(harness: Harness, step: Step) -> str:
    """The place of a step that is hardest to get at."""
    needed = needed_places(harness, step, Setting())
    return max(needed, key=lambda name: (_reach(harness, name), name), default="")


def _reach(harness: Harness, place: str) -> float:
    return sum(harness.places[name].reach for name in with_outer(harness, (place,)))


def _order(harness: Harness, place: str, step: Step) -> tuple[object, ...]:
    reach = _reach(harness, place) if place else 0.0
    kinds = ("watch", "look", "measure", "mend")
    return reach, place, kinds.index(step.kind), not step.setting.dead, step.setting.words(), step.quantity, step.red, step.black, step.function, step.element
