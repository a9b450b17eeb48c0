"""What two harnesses do not have in common, by id: added, removed, and changed value by value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ohmtrail.harness import Harness
from ohmtrail.harness.text import Plain

__all__ = ["Altered", "Difference", "differences"]

SECTIONS = ("parts", "leads", "functions", "places", "looms")


@dataclass(frozen=True)
class Altered:
    """One value that differs, as it is written in the two files; empty where it is not said."""

    key: str
    before: Plain
    after: Plain


@dataclass(frozen=True)
class Difference:
    """One element that differs.

    Attributes
    ----------
    section : str
        parts, leads, functions, places or looms; ``machine`` for the machine itself.
    id : str
        Its id; after a renaming, the one it has now.
    kind : str
        added, removed, changed or renamed.
    values : tuple of Altered
        What differs; of an added or removed element everything that is said of it.
    was : str
        The id it had, where it was renamed.
    """

    section: str
    id: str
    kind: str
    values: tuple[Altered, ...] = ()
    was: str = ""


def differences(
    old: tuple[Harness, Plain], new: tuple[Harness, Plain], *, renamed: Mapping[str, str] | None = None
) -> tuple[Difference, ...]:
    """Compare two harnesses by id.

    Parameters
    ----------
    old, new : tuple of Harness and Plain
        A harness, and the plain values it was read from, which give the words.
    renamed : mapping, optional
        Lead, part or function of the first -> of the second, where the two are the same circuit.

    Returns
    -------
    tuple of Difference
        Parts first, in the order of the files. Values that mean the same, as ``1 mm2`` and ``1.0 mm2``, do
        not differ.
    """
    names = {a: b for a, b in (renamed or {}).items() if a != b}
    found = _machine(old, new)
    for section in SECTIONS:
        olds, news = getattr(old[0], section), getattr(new[0], section)
        taken = {names[item] for item in olds if item in names} if section in ("parts", "leads", "functions") else set()
        for item in olds:
            then = names.get(item, item) if section in ("parts", "leads", "functions") else item
            if then not in news:
                found.append(Difference(section, item, "removed", _said(_values(old[1], section, item), after=False)))
            elif then != item:
                found.append(Difference(section, then, "renamed", was=item))
            elif olds[item] != news[item]:
                found.append(_altered(section, item, old, new))
        for item in news:
            if item not in olds and item not in taken:
                found.append(Difference(section, item, "added", _said(_values(new[1], section, item), after=True)))
    return tuple(found)


def _machine(old: tuple[Harness, Plain], new: tuple[Harness, Plain]) -> list[Difference]:
    before, after = (item if isinstance(item, dict) else {} for item in (old[1], new[1]))
    keys = [key for key in ("harness", "made", "supply", "note") if getattr(old[0], key) != getattr(new[0], key)]
    values = tuple(Altered(key, before.get(key, ""), after.get(key, "")) for key in keys)
    return [Difference("machine", new[0].harness, "changed", values)] if values else []


def _values(data: Plain, section: str, item: str) -> dict[str, Plain]:
    held = data.get(section) if isinstance(data, dict) else None
    found = held.get(item) if isinstance(held, dict) else None
    return found if isinstance(found, dict) else {}


def _said(values: Mapping[str, Plain], *, after: bool) -> tuple[Altered, ...]:
    return tuple(Altered(key, "" if after else value, value if after else "") for key, value in values.items())


def _altered(section: str, item: str, old: tuple[Harness, Plain], new: tuple[Harness, Plain]) -> Difference:
    """The keys of one element that mean something else."""
    before, after = _values(old[1], section, item), _values(new[1], section, item)
    one, other = _fields(getattr(old[0], section)[item]), _fields(getattr(new[0], section)[item])
    keys = [key for key in dict.fromkeys((*before, *after)) if one.get(key) != other.get(key)]
    return Difference(section, item, "changed", tuple(Altered(key, before.get(key, ""), after.get(key, "")) for key in keys))


def _fields(element: Any) -> dict[str, Any]:
    """Values of an element by the keys of the file."""
    return {field.alias or name: getattr(element, name) for name, field in type(element).model_fields.items()}
