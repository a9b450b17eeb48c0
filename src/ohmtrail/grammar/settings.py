"""The ``with`` part of a reading: how the machine was set."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from ohmtrail.circuit import Setting, put
from ohmtrail.errors import SettingError, UnknownName
from ohmtrail.grammar.names import pick
from ohmtrail.grammar.values import is_number
from ohmtrail.grammar.words import OVER_RANGE
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Connector, Fuse, Lamp, Switch

__all__ = ["read_setting", "read_settings"]

_JOINERS = frozenset(("and", "with", "also", ";", ","))
_MOVING = frozenset(("moving", "wiggling", "moved", "shaking"))
_TURNS = {"cranking": "cranking", "kicking": "cranking", "running": "running", "idling": "running"}
_ENGINE = {**_TURNS, "still": "still", "off": "still", "stopped": "still", "standing": "still"}
_OFF = frozenset(["off", "disconnected", "out", "lifted"])
_ON = frozenset(["on", "connected", "in", "back"])
_LIFTED = frozenset(["lifted", "off", "loose", "disconnected"])
_BACK = frozenset(["back", "on", "fixed", "connected", "fitted"])
_PARTED = frozenset(["parted", "apart", "unplugged", "open", "pulled", "off"])
_MATED = frozenset(["mated", "together", "plugged", "closed", "back", "on", "joined"])
_OUT = frozenset(["out", "removed", "off", "pulled"])
_IN = frozenset(["in", "back", "fitted", "on"])


def read_setting(harness: Harness, setting: Setting, words: Sequence[str]) -> Setting:
    """Change a setting as the ``with`` part of a reading says.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state before.
    words : sequence of str
        What follows ``with``: ``ignition-switch on``, ``stop-1.from lifted``, ``engine cranking`` ...

    Returns
    -------
    Setting
        Its state after.

    Raises
    ------
    SettingError
        A phrase that is no setting.
    UnknownName
        A switch, position, connector, lead end or place that does not exist.
    """
    rest = [word for item in words for word in re.split(r"([,;=])", item) if word]
    setting = put(harness, setting)
    while rest:
        if rest[0].casefold() in _JOINERS:
            rest.pop(0)
            continue
        setting, used = _phrase(harness, setting, rest)
        del rest[:used]
    return setting


def read_settings(harness: Harness, setting: Setting, phrases: Iterable[str]) -> Setting:
    """Change a setting by whole phrases, each as one ``--with`` gives it.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state before.
    phrases : iterable of str
        Each as the ``with`` part of a reading: ``horn-button pressed``, ``stop-1.from lifted and battery off``.

    Returns
    -------
    Setting
        Its state after.

    Raises
    ------
    SettingError
        A phrase that is no setting.
    UnknownName
        A switch, position, connector, lead end or place that does not exist.
    """
    for phrase in phrases:
        setting = read_setting(harness, setting, phrase.split())
    return setting


def _phrase(harness: Harness, setting: Setting, words: Sequence[str]) -> tuple[Setting, int]:
    """Carry out the first phrase of some words; say how many words it took."""
    first = words[0].casefold()
    if first in _TURNS:
        return put(harness, setting, engine=_TURNS[first]), 1
    if first in ("all", "everything") and len(words) > 1 and words[1].casefold() in _BACK:
        return put(harness, Setting()), 2
    if len(words) < 2 and (is_number(words[0]) or first in OVER_RANGE):
        raise SettingError(f"{words[0]!r} stands after 'with', where settings stand: write what was read before it, as in '{words[0]} with battery off'")
    if len(words) < 2:
        raise SettingError(f"'with {words[0]}' does not say how: write it as in 'with {_example(harness, words[0])}'")
    skip = 2 if len(words) > 2 and words[1].casefold() in ("at", "in", "to", "is", "=") else 1
    if first in _MOVING:
        place = words[skip]
        found = "" if place.casefold() in ("nothing", "none") else pick("place", place, harness.places)
        return put(harness, setting, moved=found), skip + 1
    return _state(harness, setting, words[0], words[skip]), skip + 1


def _example(harness: Harness, word: str) -> str:
    part = harness.parts.get(word)
    if isinstance(part, Switch):
        return f"{word} {next(name for name in part.positions if name != part.rests)}"
    if isinstance(part, Connector):
        return f"{word} parted"
    return f"{word} lifted" if word in harness.lead_ends else "battery off"


def _state(harness: Harness, setting: Setting, name: str, state: str) -> Setting:
    """One thing put into one state."""
    folded, how = name.casefold(), state.casefold()
    if folded == "engine":
        return put(harness, setting, engine=_ENGINE.get(how, how))
    if folded == "battery":
        if how not in _OFF | _ON:
            raise UnknownName("battery state", state, ("on", "off"))
        return put(harness, setting, battery=how in _ON)
    for known, change in ((harness.lead_ends, _end), (harness.parts, _part)):
        found = next((item for item in known if item.casefold() == folded), None)
        if found is not None:
            return change(harness, setting, found, state)
    if name in harness.leads:
        raise SettingError(f"which end of {name} is {state}: write 'with {name}.from {state}' or 'with {name}.to {state}'")
    raise UnknownName("switch, connector, lead end, fuse or lamp", name, _settable(harness))


def _settable(harness: Harness) -> tuple[str, ...]:
    parts = (name for name, part in harness.parts.items() if isinstance(part, Switch | Connector | Fuse | Lamp))
    return ("battery", "engine", "moving", *parts, *harness.lead_ends)


def _end(harness: Harness, setting: Setting, end: str, state: str) -> Setting:
    change = _toggled(end, state, setting.lifted, _LIFTED, _BACK, ("lifted", "back"))
    return put(harness, setting, lifted=change)


def _part(harness: Harness, setting: Setting, name: str, state: str) -> Setting:
    part = harness.parts[name]
    if isinstance(part, Switch):
        return put(harness, setting, positions={name: pick(f"position of {name}", state, part.positions)})
    if isinstance(part, Connector):
        return put(harness, setting, parted=_toggled(name, state, setting.parted, _PARTED, _MATED, ("parted", "mated")))
    return put(harness, setting, out=_toggled(name, state, setting.out, _OUT, _IN, ("out", "in")))


def _toggled(
    name: str,
    state: str,
    now: frozenset[str],
    yes: frozenset[str],
    no: frozenset[str],
    words: tuple[str, str],
) -> frozenset[str]:
    """A set with a name put in or taken out of it."""
    if state.casefold() in yes:
        return now | {name}
    if state.casefold() in no:
        return now - {name}
    raise SettingError(f"{name} cannot be {state!r}: write '{name} {words[0]}' or '{name} {words[1]}'")
