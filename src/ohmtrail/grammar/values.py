"""What the display showed, from text: numbers with or without their unit, over-range, words."""

from __future__ import annotations

import math
import re

from ohmtrail.circuit.meter import Meter, Quantity
from ohmtrail.errors import QuantityError, ReadingError
from ohmtrail.grammar.words import OVER_RANGE, SHOWN, UNIT_OF
from ohmtrail.units import quantity, show

__all__ = ["is_number", "read_value", "unit_quantity"]

_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d{1,2})?(?P<unit>[^\W\d_]*[\dΩ²]*)", re.UNICODE)
_RKM = re.compile(r"\d{1,6}[RkKM]\d{1,3}(Ω|ohms?)?", re.IGNORECASE)
#: beyond this no clamp or shunt of a workshop reads
_MOST_A = 2000.0


def is_number(word: str) -> bool:
    """Whether a word begins as a number does.

    Parameters
    ----------
    word : str
        One token.

    Returns
    -------
    bool
        True for ``3.2k``, ``12,4V``, ``4k7``; False for ``2a.x`` or ``ol``.

    Examples
    --------
    >>> [is_number(word) for word in ("3.2k", "-0.4", "4k7", "ol", "1a2b")]
    [True, True, True, False, False]
    """
    return bool(_NUMBER.fullmatch(word) or _RKM.fullmatch(word))


def unit_quantity(text: str) -> Quantity | None:
    """Tell what was read from the unit that stands with a value.

    Parameters
    ----------
    text : str
        A number with its unit, or over-range.

    Returns
    -------
    str or None
        ohms, volts, ac or amps; None without a unit.

    Examples
    --------
    >>> unit_quantity("3.2k"), unit_quantity("12.4V"), unit_quantity("5")
    ('ohms', 'volts', None)
    """
    match = _NUMBER.fullmatch(text.replace(" ", ""))
    unit = match.group("unit").casefold() if match else ""
    if unit.endswith("vac"):
        return "ac"
    for dimension, name in (("volt", "volts"), ("ampere", "amps"), ("ohm", "ohms")):
        try:
            quantity(text.replace("vdc", "V").replace("VDC", "V"), dimension)
        except QuantityError:
            continue
        return name  # type: ignore[return-value]  # one of the quantities
    return None


def read_value(kind: Quantity, text: str, meter: Meter) -> float:
    """Give the display value that a text means.

    Parameters
    ----------
    kind : str
        What is read.
    text : str
        ``3.2``, ``3.2 kΩ``, ``OL``, ``beeps``, ``dim`` ...
    meter : Meter
        What it is read with.

    Returns
    -------
    float
        Ohm, volt or ampere; infinity for over-range; 0, 0.5 or 1 for beeper and test lamp.

    Raises
    ------
    ReadingError
        A value that this quantity cannot have, or that the meter cannot show.
    QuantityError
        A number with a wrong unit.
    """
    word = text.casefold()
    if kind in SHOWN:
        if word not in SHOWN[kind]:
            raise ReadingError(f"{text!r} is nothing a {_TOOLS[kind]} shows: write {_CHOICES[kind]}")
        return SHOWN[kind][word]
    if word in OVER_RANGE:
        if kind not in ("ohms", "diode"):
            raise ReadingError(f"{text!r} is over range, which {kind} cannot be here: write the volts or amps shown")
        return math.inf
    plain = re.sub(r"(?i)\s*v(ac|dc)$", " V", text)
    value = quantity(plain, UNIT_OF[kind], bare=True)
    return _within(kind, value, text, meter)


_TOOLS = {"beep": "beeper", "lamp": "test lamp"}
_CHOICES = {"beep": "beeps or silent", "lamp": "bright, dim or out"}


def _within(kind: Quantity, value: float, text: str, meter: Meter) -> float:
    """A number that the display can show; ohms beyond the range are over-range."""
    if kind == "ohms":
        if value < 0.0:
            raise ReadingError(f"{text} is less than no resistance: swap the probes, or read volts instead")
        return math.inf if value > meter.top_ohm else value
    if kind == "amps" and abs(value) > _MOST_A:
        raise ReadingError(f"{text} is more than any clamp shows ({show(_MOST_A, 'ampere')} at most)")
    if kind != "amps" and abs(value) > meter.rated_v:
        raise ReadingError(f"{text} is more than this meter may be put to ({show(meter.rated_v, 'volt')})")
    if kind in ("ac", "peak") and value < 0.0:
        raise ReadingError(f"{text} cannot be: {kind} volts have no sign")
    return value
