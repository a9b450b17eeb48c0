"""Settings in words: what to do to the machine for a step, and what stays as it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ohmtrail.circuit import Setting, put, worked
from ohmtrail.circuit.breakers import breaker_positions
from ohmtrail.diagnosis import Bench, Step, worked_on
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Points
from ohmtrail.reports.results import Standing

__all__ = ["breaker_changes", "group_changes", "left_text", "setting_changes", "setting_kept", "setting_text", "step_changes"]


def setting_text(setting: Setting) -> str:
    """Say a setting on one line, ``at rest`` where nothing is changed.

    Parameters
    ----------
    setting : Setting
        State of the machine.

    Returns
    -------
    str
        One line.
    """
    return ", ".join(setting.words()) or "everything at rest"


def setting_changes(harness: Harness, now: Setting, then: Setting) -> tuple[str, ...]:
    """Say what to do to the machine, from one setting to another.

    Parameters
    ----------
    harness : Harness
        The machine.
    now, then : Setting
        State before and after.

    Returns
    -------
    tuple of str
        One phrase for each change, as an instruction.
    """
    made = ["battery lead off, earth side"] if harness.has_battery and now.battery and not then.battery else []
    made += [f"mate {name} again" for name in sorted(now.parted - then.parted)]
    made += [f"put {end} back on {harness.lead_ends[end][1]}" for end in sorted(now.lifted - then.lifted)]
    made += [f"put {name} back" for name in sorted(now.out - then.out)]
    made += [f"part {name}" for name in sorted(then.parted - now.parted)]
    made += [f"lift {end} off {harness.lead_ends[end][1]}" for end in sorted(then.lifted - now.lifted)]
    made += [f"take out {name}" for name in sorted(then.out - now.out)]
    if harness.has_battery and then.battery and not now.battery:
        # everything is switched off before the battery lead goes on, and what is wanted is switched on after it
        off = replace(now, positions=tuple(item for item in now.positions if not _by_hand(harness, item[0])))
        made += [*_switched(harness, now, off), "battery lead on", *_switched(harness, off, then)]
    else:
        made += _switched(harness, now, then)
    made += [f"engine {then.engine}"] if then.engine != "still" else []
    made += [f"{worked(harness, name)} puts {name} to {at}" for name, at in then.positions if worked(harness, name) and (name, at) not in now.positions]
    return (*made, *([f"move the wiring at {then.moved}"] if then.moved else []))


def _switched(harness: Harness, now: Setting, then: Setting) -> list[str]:
    """Switches for a hand to turn; a contact breaker is set by the engine (`breaker_changes`)."""
    before, wanted = dict(now.positions), dict(then.positions)
    turned = [name for name in sorted(before.keys() | wanted.keys()) if before.get(name) != wanted.get(name) and _by_hand(harness, name)]
    return [f"{name} to {wanted.get(name, getattr(harness.parts[name], 'rests', 'rest'))}" for name in turned]


def _by_hand(harness: Harness, switch: str) -> bool:
    """Whether a hand turns it, and nothing else."""
    return not worked(harness, switch) and not isinstance(harness.parts[switch], Points)


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
    return _in_order(setting_changes(harness, now, steps[0].setting), tuple(stand), steps[0].setting)


def _in_order(changes: tuple[str, ...], stand: tuple[str, ...], then: Setting) -> tuple[str, ...]:
    """The engine is turned by hand with everything off: after the battery lead comes off, before anything goes on."""
    return (*changes, *stand) if then.dead else (*stand, *changes)


def setting_kept(harness: Harness, now: Setting, then: Setting) -> tuple[str, ...]:
    """Say what stays as it is, from one setting to another.

    Parameters
    ----------
    harness : Harness
        The machine.
    now, then : Setting
        State before and after.

    Returns
    -------
    tuple of str
        One phrase for each thing that is not at rest; none for what `setting_changes` sets again.
    """
    connects = harness.has_battery and then.battery and not now.battery
    again = {f"{name} at {at}" for name, at in now.positions if connects and _by_hand(harness, name)}
    return tuple(words for words in now.words() if words in then.words() and words not in again)


def left_text(standing: Standing) -> str:
    """Say what is left to do at a machine once the job is done.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    str
        What goes back to rest and what is closed again; empty where nothing is left.
    """
    harness, bench = standing.job.harness, standing.job.bench
    shut = [f"close {harness.places[place].called or place}" for place in harness.places if place in bench.opened]
    back = [*setting_changes(harness, bench.setting, Setting()), *shut]
    return f"Left to do: {', '.join(back)}." if back else ""


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
    known: dict[str, str] = {}
    for setting, red, black in bench.stood:
        known |= breaker_positions(harness, setting, (red, black))
    return _in_order(setting_changes(harness, bench.setting, step.setting), breaker_changes(harness, known, step), step.setting)
