"""The data file of fault kinds, factors and mends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import yaml

from ohmtrail.units import quantity

__all__ = ["Kind", "MendWork", "factor", "kinds_of", "mend_work"]


@dataclass(frozen=True)
class Kind:
    """One way an element goes wrong.

    Attributes
    ----------
    element, kind : str
        Class of element, and what happens to it.
    words : str
        Said after the element's name.
    rate : float
        Relative rate.
    low, high : float
        Bounds of the severity in ohm (or a factor); both nought where there is none.
    look : float
        Chance that a close look shows it.
    reason : str
        Why it happens.
    """

    element: str
    kind: str
    words: str
    rate: float
    low: float
    high: float
    look: float
    reason: str


@dataclass(frozen=True)
class MendWork:
    """What a mend is called, the minutes of work it takes once one is there, and what it costs in vain."""

    words: str
    minutes: float
    vain: float


#: reads every scalar as text
_LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


@cache
def _data() -> Mapping[str, Any]:
    text = resources.files("ohmtrail.faults").joinpath("data/rates.yaml").read_text(encoding="utf-8")
    loaded: Mapping[str, Any] = yaml.load(text, Loader=_LOADER)
    return loaded


def _severity(text: str | None) -> float:
    return 0.0 if text is None else quantity(text, "ohm", bare=True)


@cache
def kinds_of(element: str) -> tuple[Kind, ...]:
    """Give the ways a class of element goes wrong.

    Parameters
    ----------
    element : str
        Class of element, such as ``lead`` or ``switch``.

    Returns
    -------
    tuple of Kind
        In the order of the data file.
    """
    return tuple(
        Kind(
            row["element"],
            row["kind"],
            row["words"],
            float(row["rate"]),
            _severity(row.get("low")),
            _severity(row.get("high")),
            float(row["look"]),
            row["reason"],
        )
        for row in _data()["kinds"]
        if row["element"] == element
    )


@cache
def factor(on: str, when: str) -> float:
    """Give the factor on a rate.

    Parameters
    ----------
    on, when : str
        What it applies to, and what the harness says.

    Returns
    -------
    float
        Without unit; one where the table has no such row.
    """
    found = [float(row["factor"]) for row in _data()["factors"] if row["on"] == on and row["when"] == when]
    return found[0] if found else 1.0


@cache
def mend_work(element: str) -> MendWork:
    """Give the work of mending a class of element.

    Parameters
    ----------
    element : str
        Class of element.

    Returns
    -------
    MendWork
        Words and minutes.
    """
    return next(MendWork(row["words"], float(row["minutes"]), float(row["vain"])) for row in _data()["mends"] if row["element"] == element)
