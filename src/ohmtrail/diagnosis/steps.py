"""Steps a technician can take, and the minutes they cost from where the machine stands now."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal

from ohmtrail.circuit.meter import Quantity
from ohmtrail.circuit.setting import Setting, put
from ohmtrail.circuit.turning import may_turn
from ohmtrail.diagnosis.evidence import Evidence, Looked, Measured, Seen
from ohmtrail.faults import Mend
from ohmtrail.harness.model import FRAME, Harness

__all__ = ["Bench", "Step", "after", "hands_in_the_way", "mending_minutes", "minutes_of", "minutes_through", "needed_places", "places_of", "repeats", "setting_minutes", "worked_on"]

#: minutes for each kind of reading once one is there; common practice, no source
READING_MIN = {"ohms": 0.6, "volts": 0.6, "ac": 0.8, "peak": 1.0, "diode": 0.6, "beep": 0.5, "lamp": 0.6, "amps": 0.6}
WATCH_MIN, LOOK_MIN, WIGGLE_MIN = 0.4, 0.6, 0.6
#: minutes to change the machine's state and, later, change it back; common practice, no source
SWITCH_MIN, LIFT_MIN, PART_MIN, OUT_MIN, BATTERY_MIN = 0.1, 1.0, 0.7, 0.8, 1.0
ENGINE_MIN = {"still": 0.0, "cranking": 0.4, "running": 1.0}


@dataclass(frozen=True)
class Bench:
    """Where the machine stands now.

    Attributes
    ----------
    setting : Setting
        Its state.
    opened : frozenset of str
        Places that are open; they stay open.
    barred : frozenset of str
        Places that cannot be reached.
    skipped : frozenset of Step
        Steps the technician does not want.
    renewed : frozenset of str
        Elements that were mended: to look at them tells nothing.
    stood : tuple of (Setting, str, str)
        Readings with the engine still since it last turned, with their probes: where a contact breaker is known to stand.
    """

    setting: Setting
    opened: frozenset[str] = frozenset()
    barred: frozenset[str] = frozenset()
    skipped: frozenset[Step] = frozenset()
    renewed: frozenset[str] = frozenset()
    stood: tuple[tuple[Setting, str, str], ...] = field(default=(), compare=False)

    def after(self, harness: Harness, step: Step) -> Bench:
        """Where the machine stands after a step: what it needed is open, the engine still, nothing moved.

        After a mend every switch is at rest, the battery commonly off, and what it mended is new.
        """
        opened = places_of(harness, step, self)
        setting = step.setting if step.kind in ("measure", "watch") else self.setting
        if step.mend is not None:
            setting = worked_on(harness, self, step.mend)
        still = put(harness, setting, engine="still", moved="")
        renewed = self.renewed if step.mend is None else self.renewed | {step.mend.element}
        stood = () if setting.engine != "still" else self.stood
        if step.kind == "measure" and setting.engine == "still":
            stood = (*stood, (setting, step.red, step.black))
        return replace(self, setting=still, opened=self.opened | opened, renewed=renewed, stood=stood)


@dataclass(frozen=True)
class Step:
    """One thing to do.

    Attributes
    ----------
    kind : str
        measure, watch (a function), look (at an element), mend (and try).
    setting : Setting
        State of the machine for it.
    quantity, red, black : str
        Of a measurement.
    function : str
        To watch.
    element : str
        To look at.
    mend : Mend or None
        To do.
    """

    kind: Literal["measure", "watch", "look", "mend"]
    setting: Setting
    quantity: Quantity = "ohms"
    red: str = ""
    black: str = ""
    function: str = ""
    element: str = ""
    mend: Mend | None = None

    @property
    def probed(self) -> str:
        """The point that is looked at: the red probe's, or the black one's where the red one is on the frame."""
        return self.black if self.red == FRAME else self.red

    @property
    def order(self) -> tuple[object, ...]:
        """What steps are sorted by where nothing else tells them apart; the same in every run."""
        now = self.setting
        state = (*map(sorted, (now.parted, now.lifted, now.out)), now.battery, now.engine, now.moved or "")
        what = (self.quantity, self.red, self.black, self.function, self.element, self.mend.id if self.mend else "")
        return (self.kind, *what, now.positions, *state)


def worked_on(harness: Harness, bench: Bench, mend: Mend) -> Setting:
    """Say how the machine stands while a mend is made.

    Parameters
    ----------
    harness : Harness
        The machine.
    bench : Bench
        Where it stands before.
    mend : Mend
        What is done.

    Returns
    -------
    Setting
        Every switch at rest; the battery lead off, unless a fuse, a bulb or a spark plug is all that is exchanged, or
        nobody gets at the battery.
    """
    part = harness.parts.get(mend.element)
    plugged = part is not None and part.kind in ("fuse", "lamp", "spark-plug")
    boxes = _battery_places(harness)
    left_on = plugged or not boxes or bool(with_outer(harness, boxes) & bench.barred)
    return replace(bench.setting, positions=(), battery=bench.setting.battery and left_on)


def _battery_places(harness: Harness) -> frozenset[str]:
    """Where the battery's lead is taken off and put on."""
    return frozenset(part.at for part in harness.parts.values() if part.kind == "battery")


def with_outer(harness: Harness, places: Iterable[str]) -> frozenset[str]:
    """Places together with those they lie inside of."""
    found: set[str] = set()
    for start in places:
        place: str | None = start
        while place is not None and place not in found:
            found.add(place)
            place = harness.places[place].inside
    return frozenset(found)


def hands_in_the_way(harness: Harness, setting: Setting, points: Iterable[str] = ()) -> bool:
    """Say whether a step would put hands where something turns, or may.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state, and what is moved in it.
    points : iterable of str
        Terminals and lead ends that are probed.

    Returns
    -------
    bool
        True where a place that wants a still engine (``engine_still``) is worked at, and where wiring at a hot place,
        at the engine, is moved by hand.
    """
    places = {harness.place_of(point) for point in points if point and point != FRAME and point not in harness.leads}
    still = any(harness.places[place].engine_still for place in with_outer(harness, [item for item in (*places, setting.moved) if item]))
    moved = bool(setting.moved) and harness.places[setting.moved or ""].hot
    return (still or moved) and may_turn(harness, setting)


def needed_places(harness: Harness, step: Step, now: Setting) -> frozenset[str]:
    """Places that must be open for a step, from the present setting.

    Parameters
    ----------
    harness : Harness
        The machine.
    step : Step
        What is to be done.
    now : Setting
        State of the machine.

    Returns
    -------
    frozenset of str
        Without those they lie inside of.
    """
    setting = step.setting
    found = {harness.place_of(end) for end in setting.lifted ^ now.lifted}
    found |= {harness.parts[name].at for name in (setting.parted ^ now.parted) | (setting.out ^ now.out)}
    if setting.battery != now.battery:
        found |= _battery_places(harness)
    if setting.moved:
        found.add(setting.moved)
    if step.kind == "measure":
        found |= {harness.place_of(point) for point in (step.red, step.black) if point != FRAME and point not in harness.leads}
    if step.kind == "look":
        found.add(_element_place(harness, step.element))
    if step.kind == "mend" and step.mend is not None:
        found |= set(step.mend.places)
    return frozenset(place for place in found if place is not None)


def _element_place(harness: Harness, element: str) -> str | None:
    if element in harness.leads:
        loom = harness.leads[element].loom
        flex = harness.looms[loom].flexes_at if loom else ()
        return flex[0] if flex else harness.place_of(f"{element}.from")
    if element in harness.lead_ends:
        return harness.place_of(element)
    part = harness.parts.get(element) or harness.parts.get(element.partition(".")[0])
    return part.at if part is not None else None


def setting_minutes(now: Setting, then: Setting) -> float:
    """Minutes to change one setting into another.

    Parameters
    ----------
    now, then : Setting
        State before and after.

    Returns
    -------
    float
        Minute; without the opening of places.
    """
    switches = dict(now.positions).items() ^ dict(then.positions).items()
    total = SWITCH_MIN * len({name for name, _ in switches})
    total += LIFT_MIN * len(now.lifted ^ then.lifted) + PART_MIN * len(now.parted ^ then.parted)
    total += OUT_MIN * len(now.out ^ then.out)
    total += BATTERY_MIN if now.battery != then.battery and now.fed and then.fed else 0.0
    total += ENGINE_MIN[then.engine]
    return total + (WIGGLE_MIN if then.moved else 0.0)


def minutes_of(harness: Harness, step: Step, bench: Bench) -> float:
    """Minutes a step takes from where the machine stands, openings included.

    Parameters
    ----------
    harness : Harness
        The machine.
    step : Step
        What is to be done.
    bench : Bench
        Where it stands.

    Returns
    -------
    float
        Minute; infinite where it needs a place that cannot be reached.
    """
    return minutes_through(harness, step, bench, places_of(harness, step, bench))


def places_of(harness: Harness, step: Step, bench: Bench) -> frozenset[str]:
    """Places that a step needs open, with those they lie inside of.

    Parameters
    ----------
    harness : Harness
        The machine.
    step : Step
        What is done.
    bench : Bench
        The machine as it stands.

    Returns
    -------
    frozenset of str
        Ids of places.
    """
    found = needed_places(harness, step, bench.setting)
    if step.mend is not None and worked_on(harness, bench, step.mend).battery != bench.setting.battery:
        found |= _battery_places(harness)
    return with_outer(harness, found)


def minutes_through(harness: Harness, step: Step, bench: Bench, places: frozenset[str]) -> float:
    """Minutes a step takes where `places_of` says what it needs open; infinite where one is out of reach.

    Parameters
    ----------
    harness : Harness
        The machine.
    step : Step
        What is done.
    bench : Bench
        The machine as it stands.
    places : frozenset of str
        Places that the step needs open.

    Returns
    -------
    float
        Minutes, opening included; infinite, too, where hands would be in the way of what turns.
    """
    if places & bench.barred or (step.kind != "mend" and hands_in_the_way(harness, step.setting, (step.red, step.black))):
        return float("inf")
    opening = sum(harness.places[place].reach for place in places - bench.opened)
    if step.mend is not None:
        during = _during(harness, bench, step.mend)
        there = setting_minutes(bench.setting, during) + setting_minutes(during, step.setting)
        return there + opening + step.mend.minutes + WATCH_MIN
    total = setting_minutes(bench.setting, step.setting) + opening
    if step.kind == "measure":
        return total + READING_MIN[step.quantity]
    return total + (WATCH_MIN if step.kind == "watch" else LOOK_MIN)


def _during(harness: Harness, bench: Bench, mend: Mend) -> Setting:
    """What a mend's work is priced from: the battery lead is on or off; switches are turned in passing."""
    return replace(bench.setting, battery=worked_on(harness, bench, mend).battery)


def mending_minutes(harness: Harness, mend: Mend, bench: Bench) -> float:
    """Minutes of a mend by itself: to get there and to do it, the try that proves it left out.

    Parameters
    ----------
    harness : Harness
        The machine.
    mend : Mend
        What is put right.
    bench : Bench
        Where the machine stands.

    Returns
    -------
    float
        Minute; infinite where it needs a place that cannot be reached.
    """
    step = Step("mend", _during(harness, bench, mend), mend=mend)
    return minutes_of(harness, step, bench) - WATCH_MIN


def after(harness: Harness, bench: Bench, step: Step) -> tuple[Bench, float]:
    """Say where the machine stands after a step, and what the step took.

    Parameters
    ----------
    harness : Harness
        The machine.
    bench : Bench
        Where it stood.
    step : Step
        What was done.

    Returns
    -------
    tuple of Bench and float
        With the places that had to be opened, and minute. The engine stands again and nothing is moved.
    """
    places = places_of(harness, step, bench)
    reached = replace(bench, barred=bench.barred - places)
    minutes = mending_minutes(harness, step.mend, reached) if step.mend is not None else minutes_of(harness, step, reached)
    return reached.after(harness, step), minutes if math.isfinite(minutes) else 0.0


def repeats(step: Step, item: Evidence) -> bool:
    """Whether a piece of evidence is what a step would give again.

    Parameters
    ----------
    step : Step
        What would be done.
    item : Evidence
        What was observed.

    Returns
    -------
    bool
        Whether it is.
    """
    if step.kind == "measure" and isinstance(item, Measured):
        return (step.quantity, step.setting, {step.red, step.black}) == (item.quantity, item.setting, {item.red, item.black})
    if step.kind == "watch" and isinstance(item, Seen):
        return (step.function, step.setting) == (item.function, item.setting)
    return step.kind == "look" and isinstance(item, Looked) and step.element == item.element
