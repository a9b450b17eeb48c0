"""The order of a survey's readings: stage by stage, alike settings together, places opened once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Step
from ohmtrail.diagnosis.steps import ENGINE_MIN, setting_minutes
from ohmtrail.harness.model import Harness
from ohmtrail.survey.choose import reading_minutes
from ohmtrail.survey.pool import Candidate

__all__ = ["Stop", "everything_minutes", "in_order", "walk"]

#: what the plan is held against takes an ohms reading so long; as in `READING_MIN`
OHMS_MIN = 0.6
_ENGINES = ("still", "cranking", "running")


class Stop:
    """Where the walk of a survey stands: how the machine is set, which places are open."""

    def __init__(self, harness: Harness) -> None:
        self.harness, self.setting, self.opened = harness, Setting(), frozenset[str]()

    def go(self, item: Candidate) -> tuple[float, frozenset[str]]:
        """Do a reading; give its minutes and the places opened for it.

        Parameters
        ----------
        item : Candidate
            The next reading.

        Returns
        -------
        tuple of float and frozenset of str
            Minute, openings and setting included; an engine that turns already is not started again.
        """
        opens = item.places - self.opened
        minutes = change_minutes(self.setting, item.step.setting) + reading_minutes(item.step)
        minutes += sum(self.harness.places[name].reach for name in opens)
        self.setting, self.opened = replace(item.step.setting, moved=None), self.opened | opens
        return minutes, opens

    def back(self) -> float:
        """Minutes to put the machine as it runs."""
        return setting_minutes(replace(self.setting, engine="still"), Setting())


def change_minutes(now: Setting, then: Setting) -> float:
    """Minutes from one setting to another; the moving of wiring counts with the reading."""
    total = setting_minutes(now, replace(then, moved=None))
    return total - (ENGINE_MIN[then.engine] if now.engine == then.engine else 0.0)


def in_order(harness: Harness, chosen: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """Put readings in the order in which they are taken.

    Parameters
    ----------
    harness : Harness
        The machine.
    chosen : sequence of Candidate
        In any order.

    Returns
    -------
    tuple of Candidate
        Stage by stage; in a stage the nearest setting next, cranking before running, what stops the engine first.
    """
    made: list[Candidate] = []
    now = Setting()
    for stage in sorted({item.stage for item in chosen}):
        groups: dict[Setting, list[Candidate]] = {}
        for item in chosen:
            if item.stage == stage:
                groups.setdefault(replace(item.step.setting, moved=None), []).append(item)
        left = list(groups)
        while left:
            nearest = min(left, key=lambda setting: _far(harness, now, setting, groups[setting]))
            made += sorted(groups[nearest], key=lambda item: _within(harness, item))
            left.remove(nearest)
            now = nearest
    return tuple(made)


def stops(harness: Harness, step: Step) -> bool:
    """Whether a step watches that the engine stops: a function that wants few volts at a running ignition."""
    if step.kind != "watch" or step.setting.engine != "running":
        return False
    needs = harness.functions[step.function].needs
    return all(need.at_most is not None and need.ac is not None for need in needs)


def _far(harness: Harness, now: Setting, then: Setting, items: Sequence[Candidate]) -> tuple[object, ...]:
    stopping = any(stops(harness, item.step) for item in items)
    # the fuses go in only when their feeds were found free, and the engine runs only when it can be stopped
    first = (len(then.out) == 0, _ENGINES.index(then.engine), not stopping)
    return (*first, change_minutes(now, then), then.words())


def _within(harness: Harness, item: Candidate) -> tuple[object, ...]:
    step = item.step
    order = {name: index for index, name in enumerate(harness.places)}
    point = step.probed if step.kind == "measure" and step.quantity != "amps" else ""
    place = order.get(harness.place_of(point) or "", -1) if point else -1
    return step.kind != "watch", bool(step.setting.moved), place, step.quantity, step.red, step.black, step.setting.moved or ""


def walk(harness: Harness, ordered: Sequence[Candidate]) -> tuple[float, tuple[tuple[float, frozenset[str]], ...]]:
    """Add up the minutes of readings in their order, the way back included.

    Parameters
    ----------
    harness : Harness
        The machine.
    ordered : sequence of Candidate
        As they are taken.

    Returns
    -------
    tuple of float and tuple
        Minute in all, and of each reading its minutes and the places opened for it.
    """
    stop = Stop(harness)
    found = tuple(stop.go(item) for item in ordered)
    return sum(minutes for minutes, _ in found) + stop.back(), found


def everything_minutes(harness: Harness) -> float:
    """Give the minutes of measuring every lead end to end and every terminal to the frame, each place opened once.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    float
        Minute.
    """
    readings = len(harness.leads) + len(harness.terminals) - 1
    dead = 2.0 * setting_minutes(Setting(), Setting(battery=False))
    return OHMS_MIN * readings + dead + sum(place.reach for place in harness.places.values())
