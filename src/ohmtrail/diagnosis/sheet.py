"""The sheet of a sound machine: its readings in an order that opens each place once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from ohmtrail.circuit import Electrics, Setting, function_setting
from ohmtrail.circuit.meter import Meter
from ohmtrail.circuit.sound import Sound, sound_readings
from ohmtrail.diagnosis.cautions import Caution, cautions_for
from ohmtrail.diagnosis.expected import dead_steps, live_steps
from ohmtrail.diagnosis.steps import Step, with_outer
from ohmtrail.harness import Harness

__all__ = ["Sheet", "SheetGroup", "SheetPlace", "SheetRow", "sheet_of"]

_ENGINES = ("still", "cranking", "running")


@dataclass(frozen=True)
class SheetRow:
    """One reading to take.

    Attributes
    ----------
    number : int
        From 1, through the whole sheet.
    part : str
        Part that the red probe is on, or the function that is watched.
    step : Step
        What to measure or watch, and in which setting.
    sound : Sound or None
        What a sound machine shows; None for a function, which must work.
    """

    number: int
    part: str
    step: Step
    sound: Sound | None


@dataclass(frozen=True)
class SheetGroup:
    """Readings for which the machine is set alike.

    Attributes
    ----------
    setting : Setting
        State of the machine; with the battery off, rows may have switches turned or leads lifted beside it.
    cautions : tuple of Caution
        What to be careful of.
    rows : tuple of SheetRow
        In order.
    """

    setting: Setting
    cautions: tuple[Caution, ...]
    rows: tuple[SheetRow, ...]


@dataclass(frozen=True)
class SheetPlace:
    """A place, opened once.

    Attributes
    ----------
    place : str
        Its id; "" for what is watched from outside.
    opens : tuple of str
        What has to be opened for it, in order, and was not open before.
    groups : tuple of SheetGroup
        Its readings.
    """

    place: str
    opens: tuple[str, ...]
    groups: tuple[SheetGroup, ...]


@dataclass(frozen=True)
class Sheet:
    """The whole sheet.

    Attributes
    ----------
    harness : Harness
        The machine.
    functions : tuple of str
        What it covers.
    places : tuple of SheetPlace
        In the order in which they are opened; functions to watch come last.
    """

    harness: Harness
    functions: tuple[str, ...]
    places: tuple[SheetPlace, ...]

    @property
    def rows(self) -> tuple[SheetRow, ...]:
        """Every reading, in order."""
        return tuple(row for place in self.places for group in place.groups for row in group.rows)


def sheet_of(electrics: Electrics, meter: Meter, points: frozenset[str], functions: Sequence[str]) -> Sheet:
    """Make the sheet of a machine.

    Parameters
    ----------
    electrics : Electrics
        The machine, with healthy draws for the bands.
    meter : Meter
        What readings are taken with.
    points : frozenset of str
        Terminals in question.
    functions : sequence of str
        Functions it covers.

    Returns
    -------
    Sheet
        Every place once; in a place the dead readings first, then the live ones setting by setting.

    Raises
    ------
    CircuitError
        The machine has no answer in a setting.
    """
    harness = electrics.harness
    steps = (*dead_steps(electrics, meter, points), *live_steps(electrics, meter, points, functions))
    by_place: dict[str, list[Step]] = {}
    for step in dict.fromkeys(steps):
        place = harness.place_of(step.probed)
        assert place is not None, "one probe at least is at a place"
        by_place.setdefault(place, []).append(step)
    sound = _sound(electrics, meter, steps)
    made: list[SheetPlace] = []
    opened: frozenset[str] = frozenset()
    count = 0
    for place in _order(harness, by_place):
        needed = with_outer(harness, (place,)) - opened
        opened |= needed
        groups = _groups(harness, by_place[place], sound, count)
        count += sum(len(group.rows) for group in groups)
        made.append(SheetPlace(place, tuple(sorted(needed, key=lambda name: _inward(harness, name))), groups))
    return Sheet(harness, tuple(functions), (*made, *_watched(harness, functions, count)))


def _sound(electrics: Electrics, meter: Meter, steps: Iterable[Step]) -> dict[Step, Sound]:
    """What each step shows, worked out setting by setting."""
    alike: dict[tuple[object, ...], list[Step]] = {}
    for step in steps:
        alike.setdefault((step.quantity, step.setting), []).append(step)
    found: dict[Step, Sound] = {}
    for items in alike.values():
        first = items[0]
        readings = sound_readings(electrics, meter, first.quantity, [(item.red, item.black) for item in items], first.setting)
        found |= dict(zip(items, readings, strict=True))
    return found


def _inward(harness: Harness, place: str) -> tuple[float, int]:
    """Minutes and depth of a place with all that lies around it: what is outside comes first."""
    around = with_outer(harness, (place,))
    return sum(harness.places[name].reach for name in around), len(around)


def _order(harness: Harness, places: Iterable[str]) -> list[str]:
    """The quickest place first; what lies inside of it later."""
    return sorted(places, key=lambda place: (*_inward(harness, place), place))


def _shared(setting: Setting) -> Setting:
    """What the readings of a group have in common."""
    return replace(setting, positions=(), lifted=frozenset()) if setting.dead else setting


def _groups(harness: Harness, steps: Sequence[Step], sound: dict[Step, Sound], count: int) -> tuple[SheetGroup, ...]:
    first = {_shared(step.setting): index for index, step in reversed(list(enumerate(steps)))}
    part_order = {name: index for index, name in enumerate(harness.parts)}

    def key(step: Step) -> tuple[bool, int, int]:
        shared = _shared(step.setting)
        return not shared.dead, _ENGINES.index(shared.engine), first[shared]

    def within(step: Step) -> tuple[int, bool]:
        return part_order[harness.terminals[step.probed][0]], bool(step.setting.lifted)

    ordered = sorted(steps, key=lambda step: (key(step), within(step)))
    groups: list[SheetGroup] = []
    for _, items in groupby(ordered, key=key):
        held = list(items)
        rows = tuple(SheetRow(count + index, harness.terminals[step.probed][0], step, sound[step]) for index, step in enumerate(held, 1))
        count += len(rows)
        cautions = dict.fromkeys(item for step in held for item in cautions_for(harness, step))
        groups.append(SheetGroup(_shared(held[0].setting), tuple(cautions), rows))
    return tuple(groups)


def _watched(harness: Harness, functions: Sequence[str], count: int) -> tuple[SheetPlace, ...]:
    """Functions to watch, everything closed up again."""
    if not functions:
        return ()
    steps = [Step("watch", function_setting(harness, harness.functions[name]), function=name) for name in functions]
    rows = tuple(SheetRow(count + index, step.function, step, None) for index, step in enumerate(steps, 1))
    cautions = dict.fromkeys(item for step in steps for item in cautions_for(harness, step))
    return (SheetPlace("", (), (SheetGroup(Setting(), tuple(cautions), rows),)),)
