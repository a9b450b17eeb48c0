"""Whether something recorded can have been done on a machine: every name in it must exist."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import TypeVar

from ohmtrail.circuit import Setting, put
from ohmtrail.diagnosis import Evidence, Looked, Measured, Mended, Seen, Step
from ohmtrail.errors import UnknownName
from ohmtrail.harness.model import Harness

__all__ = ["check_fits", "on_machine"]

Kept = TypeVar("Kept", bound=Measured | Seen | Looked | Mended | Step)


def on_machine(harness: Harness, what: Kept) -> Kept:
    """Give what was recorded with what its setting owes to the machine: whether there is a battery at all.

    Parameters
    ----------
    harness : Harness
        The machine.
    what : Evidence, Mended or Step
        As it was read from a record.

    Returns
    -------
    Evidence, Mended or Step
        The same.
    """
    if isinstance(what, Mended | Looked):
        return what
    return replace(what, setting=replace(what.setting, fed=harness.has_battery))


def check_fits(harness: Harness, what: Evidence | Mended) -> None:
    """Refuse evidence that names what the machine does not have.

    Parameters
    ----------
    harness : Harness
        The machine.
    what : Evidence or Mended
        What was recorded; a mend is looked up where its work is needed.

    Raises
    ------
    UnknownName, SettingError
        A name that does not exist.
    """
    if isinstance(what, Mended):
        return
    if isinstance(what, Looked):
        _known("lead or part", what.element.partition(".")[0], (*harness.leads, *harness.parts))
        return
    _setting(harness, what.setting)
    if isinstance(what, Seen):
        _known("function", what.function, harness.functions)
    elif isinstance(what, Measured) and what.quantity == "amps":
        _known("lead", what.red, harness.leads)
    else:
        for point in (what.red, what.black):
            _known("terminal or lead end", point, harness.points)


def _known(kind: str, name: str, known: Collection[str]) -> None:
    if name not in known:
        raise UnknownName(kind, name, known)


def _setting(harness: Harness, setting: Setting) -> None:
    put(
        harness,
        Setting(),
        positions=dict(setting.positions),
        parted=setting.parted,
        lifted=setting.lifted,
        out=setting.out,
        engine=setting.engine,
        moved=setting.moved or "",
    )
