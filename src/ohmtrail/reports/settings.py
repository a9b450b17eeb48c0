"""Settings in words: what to do to the machine for a step, and what stays as it is."""

from __future__ import annotations

from dataclasses import replace

from ohmtrail.circuit import Setting, worked
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Points
from ohmtrail.reports.results import Standing

__all__ = ["left_text", "setting_changes", "setting_kept", "setting_text"]


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
