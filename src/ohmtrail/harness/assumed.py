"""What is taken for granted where a harness file says nothing: a usual value for each key that was left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ohmtrail.harness.model import DEFAULT_LENGTH_M, DEFAULT_SIZE_MM2, Harness
from ohmtrail.harness.parts import Contact, Lamp, Part, WindingHertz
from ohmtrail.units import Toleranced, show

__all__ = ["Assumed", "assumed_values"]

#: keys that stand for something electrical, with what a person calls them and the unit of a plain number
_TOLD = {
    "volts": ("", "volt"),
    "resistance": ("", "ohm"),
    "between": ("terminals", ""),
    "coil": ("coil", ""),
    "contacts": ("", ""),
    "pulls_at": ("pulls at", "volt"),
    "limits": ("regulates at", "volt"),
    "field": ("field", "ohm"),
    "load": ("load", "ohm"),
    "wave": ("wave", ""),
    "body": ("body", ""),
    "inductance": ("", "henry"),
    "capacitance": ("", "farad"),
    "frequency": ("", ""),
}
#: kinds whose usual volts go with those of the machine, and under which key
_IN_PROPORTION = {"battery": "volts", "alternator": "limits", "dynamo": "limits", "relay": "pulls_at"}


@dataclass(frozen=True)
class Assumed:
    """Values that were taken for granted.

    Attributes
    ----------
    kind : str
        ``lead``, or the kind of part.
    values : str
        What was taken, in words.
    names : tuple of str
        Ids of the leads or parts, in the order of the file.
    """

    kind: str
    values: str
    names: tuple[str, ...]


def assumed_values(harness: Harness) -> tuple[Assumed, ...]:
    """Give every electrical value that the file leaves out, and what is taken instead.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    tuple of Assumed
        The supply and leads first, then kinds of part in the order of the file; equal ones together.
    """
    found: dict[tuple[str, str], list[str]] = {}
    for kind, values, name in (*_of_supply(harness), *_of_leads(harness), *_of_parts(harness)):
        found.setdefault((kind, values), []).append(name)
    return tuple(Assumed(kind, values, tuple(names)) for (kind, values), names in found.items())


def _of_supply(harness: Harness) -> Iterator[tuple[str, str, str]]:
    supply, told = harness.supply, harness.supply.model_fields_set
    taken = [show(supply.nominal, "volt")] if "nominal" not in told else []
    taken += [f"{supply.earthed} earth"] if "earthed" not in told else []
    for name, part in harness.parts.items():
        if taken and part.kind == "battery":
            yield "supply", ", ".join(taken), name


def _of_leads(harness: Harness) -> Iterator[tuple[str, str, str]]:
    sizes = [name for name, lead in harness.leads.items() if lead.size is None and lead.resistance is None]
    lengths = [name for name, lead in harness.leads.items() if lead.length is None and lead.resistance is None]
    for name in sizes:
        yield "lead", f"size {show(DEFAULT_SIZE_MM2, 'square millimetre')}", name
    for name in lengths:
        yield "lead", f"length {show(DEFAULT_LENGTH_M, 'metre')}", name
    for name in sorted(harness.high_tension):
        if "high_tension" not in harness.leads[name].model_fields_set:
            yield "lead", "high tension, as it ends at a plug or a coil", name


def _of_parts(harness: Harness) -> Iterator[tuple[str, str, str]]:
    for name, part in harness.parts.items():
        told = [words for key in _TOLD if (words := _left_out(harness, part, key))]
        if told:
            yield part.kind, ", ".join(told), name


def _left_out(harness: Harness, part: Part, key: str) -> str:
    """One key's usual value in words; empty where the file says it or the part has none such."""
    if key not in type(part).model_fields or key in part.model_fields_set:
        return ""
    value = getattr(part, key)
    if isinstance(part, Lamp) and key == "between" and part.filaments:
        return ""
    if isinstance(part, Lamp) and key == "volts":
        whole = all(item.volts is not None for item in part.filaments.values()) and part.filaments
        return "" if whole else f"{show(harness.supply.nominal, 'volt')} as the supply"
    if _IN_PROPORTION.get(part.kind) == key:
        value = part.volts_at(key, harness.supply.nominal)
    head, unit = _TOLD[key]
    words = _words(value, unit)
    return f"{head} {words}".strip() if words else ""


def _words(value: object, unit: str) -> str:
    if isinstance(value, Toleranced):
        return f"{_ohms(value.value)} ± {value.tolerance * 100:.3g} %"
    if isinstance(value, int | float):
        return "" if not value else _ohms(value) if unit == "ohm" else show(value, unit)
    if isinstance(value, WindingHertz):
        return f"{value.cranking:g} Hz cranking, {value.running:g} Hz running"
    if isinstance(value, tuple):
        contacts = [f"contact {'-'.join(item.between)} {item.rests} at rest" for item in value if isinstance(item, Contact)]
        return ", ".join(contacts) or "-".join(str(item) for item in value)
    return str(value or "")


def _ohms(value: float) -> str:
    """Small ones as milliohm, as they may be written in the file."""
    return f"{value * 1000:g} mΩ" if value < 0.1 else show(value, "ohm")
