"""What turns in a setting, or may turn although it should not."""

from __future__ import annotations

from ohmtrail.circuit.setting import Setting, switch_position
from ohmtrail.harness.model import Function, Harness
from ohmtrail.harness.parts import Switch

__all__ = ["may_crank", "may_turn", "must_stop", "starts"]

#: the terminal that commands a starter, and those by which a motor is known to be one (DIN 72552)
STARTS, STARTERS = "50", frozenset({"30", "45", "50"})


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
        stands as for a function in which a starter must work.
    """
    if not setting.battery:
        return False
    switches = {name: part for name, part in harness.parts.items() if isinstance(part, Switch)}
    standing = _standing(harness, setting)
    commands = {name for name, part in switches.items() if STARTS in part.terminals()}
    if commands:
        return any(STARTS in pair for name in commands for pair in switches[name].positions[standing[name]])
    driven = [function for function in harness.functions.values() if starts(harness, function)]
    off_rest = [{name: at for name, at in item.when.items() if name in switches and at != switches[name].rests} for item in driven]
    return any(wanted and wanted.items() <= standing.items() for wanted in off_rest)


def _standing(harness: Harness, setting: Setting) -> dict[str, str]:
    """Every switch and the position it is in."""
    return {name: switch_position(harness, setting, name) for name, part in harness.parts.items() if isinstance(part, Switch)}


def must_stop(harness: Harness, setting: Setting) -> bool:
    """Say whether the engine is said to run in a setting in which it must die: it can only be brought there running.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state.

    Returns
    -------
    bool
        True where it runs and all stands as for a function that only wants something low while it runs: a stop.
    """
    if setting.engine != "running":
        return False
    standing = _standing(harness, setting)
    stops = [item for item in harness.functions.values() if item.when.get("engine") == "running" and item.needs and all(need.at_most for need in item.needs)]
    return any({name: at for name, at in item.when.items() if name in standing}.items() <= standing.items() for item in stops)


def starts(harness: Harness, function: Function) -> bool:
    """Say whether a function needs a starter to work: not a wiper, a fan or a pump.

    Parameters
    ----------
    harness : Harness
        The machine.
    function : Function
        One of its functions.

    Returns
    -------
    bool
        True where a motor with a starter's terminal must work.
    """
    worked = (harness.parts.get(need.works or "") for need in function.needs)
    return any(part is not None and part.kind == "motor" and bool(STARTERS & set(part.terminals())) for part in worked)


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
