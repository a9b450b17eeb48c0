"""What a job file's records say: evidence, settings and steps as plain text, and back."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import get_args

from ohmtrail.circuit import Setting
from ohmtrail.circuit.meter import Meter, Quantity
from ohmtrail.diagnosis import Evidence, Looked, Measured, Seen, Step
from ohmtrail.errors import JobError
from ohmtrail.faults import Mend
from ohmtrail.job.texts import Data, amount, names, word
from ohmtrail.journal import Value

__all__ = ["KIND", "VERSION", "Start", "evidence_data", "evidence_of", "setting_data", "setting_of", "step_data", "step_of"]

KIND, VERSION = "job", 1

_LEVELS = ("fails", "weak", "works")
_LISTS = ("parted", "lifted", "out")
_UNSIGNED = frozenset(("ohms", "ac", "peak", "beep", "lamp"))
_SETTING = frozenset((*_LISTS, "positions", "battery", "engine", "moved"))


@dataclass(frozen=True)
class Start:
    """The first record of a job.

    Attributes
    ----------
    harness : str
        Path of the harness file as the job file has it: from the job file's folder where that can be said.
    sha256 : str
        Of the harness file when the job began, or when a change to it was accepted.
    machine : str
        The harness's name.
    meter : Meter
        What readings are taken with.
    date : str
        Day on which the job began, ISO 8601.
    year : int
        The year that ages are counted to.
    complaint : str
        What the customer says, as typed; "" for a survey.
    """

    harness: str
    sha256: str
    machine: str
    meter: Meter
    date: str
    year: int
    complaint: str


def setting_data(setting: Setting) -> dict[str, object]:
    """Write a setting: only what is not at rest.

    Parameters
    ----------
    setting : Setting
        State of the machine.

    Returns
    -------
    dict
        Text, lists and mappings of text.
    """
    made: dict[str, object] = {"positions": dict(setting.positions)} if setting.positions else {}
    made |= {name: sorted(getattr(setting, name)) for name in _LISTS if getattr(setting, name)}
    made |= {} if setting.battery else {"battery": "off"}
    made |= {"engine": setting.engine} if setting.engine != "still" else {}
    return made | ({"moved": setting.moved} if setting.moved else {})


def setting_of(data: Value | None) -> Setting:
    """Read a setting back.

    Parameters
    ----------
    data : mapping
        As `setting_data` writes it.

    Returns
    -------
    Setting
        The same state.

    Raises
    ------
    JobError
        It is none.
    """
    if data is None:
        return Setting()
    if not isinstance(data, Mapping) or not set(data) <= _SETTING:
        raise JobError(f"'with' is no setting, or has more than {', '.join(sorted(_SETTING))}: it was not written by this program")
    positions = data.get("positions", {})
    if not isinstance(positions, Mapping):
        raise JobError("'positions' does not say which switch stands how: it was not written by this program")
    battery = word(data, "battery", default="on")
    if battery not in ("on", "off"):
        raise JobError(f"'battery' is {battery!r}, neither on nor off: it was not written by this program")
    return Setting(
        positions=tuple(sorted((name, word(positions, name)) for name in positions)),
        parted=names(data, "parted"),
        lifted=names(data, "lifted"),
        out=names(data, "out"),
        battery=battery == "on",
        engine=word(data, "engine", default="still"),
        moved=word(data, "moved", default="") or None,
    )


def evidence_data(item: Evidence) -> dict[str, object]:
    """Write a piece of evidence.

    Parameters
    ----------
    item : Evidence
        A reading, something seen or looked at.

    Returns
    -------
    dict
        Text, lists and mappings of text.
    """
    if isinstance(item, Looked):
        return {"looked": item.element, "shows": "damaged" if item.damaged else "sound"}
    setting = {"with": made} if (made := setting_data(item.setting)) else {}
    if isinstance(item, Seen):
        return {"function": item.function, "seen": "sometimes" if item.sometimes else _LEVELS[item.level], **setting}
    shown = "flickers" if item.flickers else "OL" if math.isinf(item.value) else f"{item.value:.12g}"
    return {"quantity": item.quantity, "red": item.red, "black": item.black, "value": shown, **setting}


def evidence_of(data: Data) -> Evidence:
    """Read a piece of evidence back.

    Parameters
    ----------
    data : mapping
        As `evidence_data` writes it.

    Returns
    -------
    Evidence
        The same.

    Raises
    ------
    JobError
        It is none.
    """
    if "looked" in data:
        shows = word(data, "shows")
        if shows not in ("damaged", "sound"):
            raise JobError(f"{shows!r} does not say how something looks: it was not written by this program")
        return Looked(word(data, "looked"), shows == "damaged")
    setting = setting_of(data.get("with"))
    if "function" in data:
        seen = word(data, "seen")
        if seen not in (*_LEVELS, "sometimes"):
            raise JobError(f"{seen!r} does not say how a function works: it was not written by this program")
        return Seen(word(data, "function"), setting, _LEVELS.index(seen) if seen in _LEVELS else 0, seen == "sometimes")
    shown, quantity = word(data, "value"), quantity_of(data)
    value = 0.0 if shown == "flickers" else _number(shown, quantity)
    return Measured(quantity, word(data, "red"), word(data, "black"), setting, value, shown == "flickers")


def _number(shown: str, quantity: Quantity) -> float:
    """What a meter shows: what has no sign is not below nought, and only ohms and diodes go over range."""
    if shown == "OL" and quantity in ("ohms", "diode"):
        return math.inf
    value = amount(shown, quantity, least=0.0 if quantity in _UNSIGNED else -math.inf)
    if quantity in ("beep", "lamp") and value > 1.0:
        raise JobError(f"{quantity!r} is {shown!r}, which is more than all of it: it was not written by this program")
    return value


def quantity_of(data: Data) -> Quantity:
    """Give the quantity of a record, as one of the meter's."""
    said = word(data, "quantity")
    if said not in get_args(Quantity):
        raise JobError(f"{said!r} is nothing that a meter reads: it was not written by this program")
    return said  # type: ignore[return-value]  # one of the quantities


def step_data(step: Step) -> dict[str, object]:
    """Write a step.

    Parameters
    ----------
    step : Step
        What is proposed or not wanted.

    Returns
    -------
    dict
        Text, lists and mappings of text.
    """
    made: dict[str, object] = {"kind": step.kind}
    if step.kind == "measure":
        made |= {"quantity": step.quantity, "red": step.red, "black": step.black}
    if step.kind == "watch":
        made["function"] = step.function
    if step.kind == "look":
        made["element"] = step.element
    if step.kind == "mend" and step.mend is not None:
        made["mend"] = step.mend.id
    setting = setting_data(step.setting)
    return made | ({"with": setting} if setting else {})


def step_of(data: Data, mend_of: Callable[[str], Mend]) -> Step:
    """Read a step back.

    Parameters
    ----------
    data : mapping
        As `step_data` writes it.
    mend_of : callable
        Gives the mend of an id.

    Returns
    -------
    Step
        The same.

    Raises
    ------
    JobError
        It is none.
    """
    kind, setting = word(data, "kind"), setting_of(data.get("with"))
    if kind == "measure":
        return Step("measure", setting, quantity_of(data), word(data, "red"), word(data, "black"))
    if kind == "watch":
        return Step("watch", setting, function=word(data, "function"))
    if kind == "look":
        return Step("look", setting, element=word(data, "element"))
    if kind == "mend":
        return Step("mend", setting, mend=mend_of(word(data, "mend")))
    raise JobError(f"{kind!r} is no step: it was not written by this program")
