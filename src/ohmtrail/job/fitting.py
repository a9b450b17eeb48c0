"""Whether something recorded can have been done on a machine: every name in it must exist."""

from __future__ import annotations

from collections.abc import Collection

from ohmtrail.circuit import Setting, put
from ohmtrail.diagnosis import Evidence, Looked, Measured, Mended, Seen
from ohmtrail.errors import UnknownName
from ohmtrail.harness.model import Harness

__all__ = ["check_fits"]


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
