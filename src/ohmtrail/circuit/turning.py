"""What turns in a setting, or may turn although it should not, and where hands must not be then."""

from __future__ import annotations

from collections.abc import Iterable

from ohmtrail.circuit.setting import Setting
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Switch

__all__ = ["hands_in_the_way", "may_crank", "may_turn"]

#: terminal that commands a starter (DIN 72552)
STARTS = "50"


def may_crank(harness: Harness, setting: Setting) -> bool:
    """Say whether a starter may turn while the engine is said to stand still.

    An interlock that should hold it back may be the very thing that is wrong, so it counts for nothing here.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state.

    Returns
    -------
    bool
        True where the battery is on and a switch joins terminal 50; where no switch of the machine has one, where all
        stands as for a function in which a motor must work.
    """
    motors = {name for name, part in harness.parts.items() if part.kind == "motor"}
    if not motors or not setting.battery:
        return False
    switches = {name: part for name, part in harness.parts.items() if isinstance(part, Switch)}
    standing = {name: part.rests for name, part in switches.items()} | dict(setting.positions)
    commands = {name for name, part in switches.items() if STARTS in part.terminals()}
    if commands:
        return any(STARTS in pair for name in commands for pair in switches[name].positions[standing[name]])
    driven = [item for item in harness.functions.values() if any((need.works or "") in motors for need in item.needs)]
    off_rest = [{name: at for name, at in item.when.items() if name in switches and at != switches[name].rests} for item in driven]
    return any(wanted and wanted.items() <= standing.items() for wanted in off_rest)


def may_turn(harness: Harness, setting: Setting) -> bool:
    """Say whether the engine turns, or a starter may turn it.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state.

    Returns
    -------
    bool
        Whether hands must be clear.
    """
    return setting.engine != "still" or may_crank(harness, setting)


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
    still = any(_wants_still(harness, place) for place in (*places, setting.moved) if place)
    moved = bool(setting.moved) and harness.places[setting.moved or ""].hot
    return (still or moved) and may_turn(harness, setting)


def _wants_still(harness: Harness, place: str) -> bool:
    at: str | None = place
    while at is not None:
        if harness.places[at].engine_still:
            return True
        at = harness.places[at].inside
    return False

