"""States of a machine as ``--set NAME=STATE`` gives them."""

from __future__ import annotations

from collections.abc import Iterable

from ohmtrail.circuit import Setting
from ohmtrail.errors import SettingError
from ohmtrail.grammar import read_setting
from ohmtrail.harness import Harness

__all__ = ["put_states"]


def put_states(harness: Harness, setting: Setting, items: Iterable[str]) -> Setting:
    """Give a setting with some things put otherwise.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state before.
    items : iterable of str
        Each ``NAME=STATE``: a switch and its position, ``engine=running``, ``battery=off``,
        ``head-plug=parted``, ``stop-1.from=lifted``, ``main-fuse=out``.

    Returns
    -------
    Setting
        The state after.

    Raises
    ------
    SettingError
        An item that does not say how.
    UnknownName
        A name or position that does not exist.
    """
    for item in items:
        name, equals, state = (word.strip() for word in item.partition("="))
        if not (name and equals and state):
            raise SettingError(f"{item!r} does not say how: write it as NAME=STATE, as in 'engine=running'")
        setting = read_setting(harness, setting, [name, state])
    return setting
