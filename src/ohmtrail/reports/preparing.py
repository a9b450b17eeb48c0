"""What to do to the machine for a step or for a group of readings, contact breakers included."""

from __future__ import annotations

from collections.abc import Sequence

from ohmtrail.circuit import Setting, put
from ohmtrail.circuit.breakers import breaker_positions, breakers_known
from ohmtrail.diagnosis import Bench, Step, worked_on
from ohmtrail.harness.model import Harness
from ohmtrail.reports.settings import setting_changes

__all__ = ["breaker_changes", "group_changes", "in_order", "step_changes"]


def breaker_changes(harness: Harness, known: dict[str, str], step: Step) -> tuple[str, ...]:
    """Say where contact breakers must stand for a reading with the engine still.

    Parameters
    ----------
    harness : Harness
        The machine.
    known : dict of str to str
        Breakers that are known to stand, and where; brought up to date, empty once the engine has turned.
    step : Step
        What is done next.

    Returns
    -------
    tuple of str
        One phrase for each that is to be turned there.
    """
    if step.kind in ("measure", "watch") and step.setting.engine != "still":
        known.clear()
    wanted = breaker_positions(harness, step.setting, (step.red, step.black)) if step.kind == "measure" else {}
    # a live ignition may fire an engine that is turned
    how = "the engine turned by hand" if step.setting.dead else "the engine turned by hand before anything is switched on"
    made = tuple(f"{name} to {at}, {how}" for name, at in wanted.items() if known.get(name) != at)
    known.update(wanted)
    return made


def group_changes(harness: Harness, known: dict[str, str], now: Setting, steps: Sequence[Step]) -> tuple[str, ...]:
    """Say what to do to the machine for readings that share a setting.

    Parameters
    ----------
    harness : Harness
        The machine.
    known : dict of str to str
        As for `breaker_changes`.
    now : Setting
        State before.
    steps : sequence of Step
        At least one.

    Returns
    -------
    tuple of str
        One phrase for each change.
    """
    stand = dict.fromkeys(phrase for step in steps for phrase in breaker_changes(harness, known, step))
    return in_order(setting_changes(harness, now, steps[0].setting), tuple(stand), steps[0].setting)


def in_order(changes: tuple[str, ...], stand: tuple[str, ...], then: Setting) -> tuple[str, ...]:
    """Put two lists of changes in order: the engine is turned by hand with everything off.

    Parameters
    ----------
    changes : tuple of str
        Of switches, leads and plugs.
    stand : tuple of str
        Of contact breakers.
    then : Setting
        State after.

    Returns
    -------
    tuple of str
        Breakers after the battery lead has come off, and before anything goes on.
    """
    return (*changes, *stand) if then.dead else (*stand, *changes)


def step_changes(harness: Harness, bench: Bench, step: Step) -> tuple[str, ...]:
    """Say what to do to the machine for a step.

    Parameters
    ----------
    harness : Harness
        The machine.
    bench : Bench
        Where it stands.
    step : Step
        What is to be done.

    Returns
    -------
    tuple of str
        One phrase for each change. For a mend what must be off goes off; for a look nothing changes.
    """
    if step.mend is not None:
        return setting_changes(harness, bench.setting, put(harness, worked_on(harness, bench, step.mend), engine="still", moved=""))
    if step.kind not in ("measure", "watch"):
        return ()
    known = breakers_known(harness, bench.stood)
    return in_order(setting_changes(harness, bench.setting, step.setting), breaker_changes(harness, known, step), step.setting)
