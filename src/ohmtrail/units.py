"""Text to quantity and back: the only place that reads "4.7k" or "0.5 mm2".

Inside the program every number is a float in the SI unit that ends its name (minutes excepted: the
trade counts work in minutes).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from ohmtrail.errors import QuantityError

__all__ = ["Toleranced", "awg_area_mm2", "quantity", "show", "toleranced"]

#: unit word -> (dimension, factor to the base unit)
_UNITS: dict[str, tuple[str, float]] = {
    "v": ("volt", 1.0),
    "volt": ("volt", 1.0),
    "volts": ("volt", 1.0),
    "a": ("ampere", 1.0),
    "amp": ("ampere", 1.0),
    "amps": ("ampere", 1.0),
    "ω": ("ohm", 1.0),
    "ohm": ("ohm", 1.0),
    "ohms": ("ohm", 1.0),
    "r": ("ohm", 1.0),
    "w": ("watt", 1.0),
    "watt": ("watt", 1.0),
    "watts": ("watt", 1.0),
    "ah": ("ampere-hour", 1.0),
    "h": ("henry", 1.0),
    "f": ("farad", 1.0),
    "hz": ("hertz", 1.0),
    "m": ("metre", 1.0),
    "cm": ("metre", 0.01),
    "mm": ("metre", 0.001),
    "mm2": ("square millimetre", 1.0),
    "mm²": ("square millimetre", 1.0),
    "sqmm": ("square millimetre", 1.0),
    "min": ("minute", 1.0),
    "mins": ("minute", 1.0),
    "s": ("minute", 1.0 / 60.0),
    "hr": ("minute", 60.0),
    "%": ("per cent", 1.0),
    "°c": ("degree Celsius", 1.0),
    "c": ("degree Celsius", 1.0),
}

_PREFIX = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "m": 1e-3, "k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9}

#: dimensions in which a prefix letter may stand before the unit
_PREFIXED = {"volt", "ampere", "ohm", "watt", "henry", "farad", "hertz", "ampere-hour"}

_SYMBOL = {
    "volt": "V",
    "ampere": "A",
    "ohm": "Ω",
    "watt": "W",
    "ampere-hour": "Ah",
    "henry": "H",
    "farad": "F",
    "hertz": "Hz",
    "metre": "m",
    "square millimetre": "mm²",
    "minute": "min",
    "per cent": "%",
    "degree Celsius": "°C",
}

_EXAMPLE = {
    "volt": "12.4 V",
    "ampere": "15 A",
    "ohm": "4.7 kΩ",
    "watt": "21 W",
    "ampere-hour": "9 Ah",
    "henry": "20 mH",
    "farad": "0.22 µF",
    "hertz": "50 Hz",
    "metre": "0.6 m",
    "square millimetre": "0.75 mm2",
    "minute": "5 min",
    "per cent": "15 %",
    "degree Celsius": "20 °C",
}

_NUMBER = re.compile(r"[+-]?(?:\d{1,15}(?:[.,]\d{0,12})?|[.,]\d{1,12})(?:[eE][+-]?\d{1,2})?")
_RKM = re.compile(r"(\d{1,6})([RkKM])(\d{1,3})\s*(?:Ω|ohms?)?", re.IGNORECASE)
_AWG = re.compile(r"(\d{1,2}|[1-4]/0|0{1,4})\s*AWG", re.IGNORECASE)


def awg_area_mm2(gauge: int) -> float:
    """Give the copper area of an American wire gauge.

    Parameters
    ----------
    gauge : int
        Gauge number; 0 for 1/0, -3 for 4/0.

    Returns
    -------
    float
        Area in square millimetre.

    References
    ----------
    ASTM B258: d = 0.005 inch x 92 ** ((36 - n) / 39).

    Examples
    --------
    >>> round(awg_area_mm2(18), 4)
    0.823
    """
    diameter_mm = 0.127 * math.pow(92.0, (36 - gauge) / 39.0)
    return math.pi / 4.0 * diameter_mm**2


def _awg(text: str) -> float | None:
    match = _AWG.fullmatch(text)
    if match is None:
        return None
    word = match.group(1)
    gauge = 1 - int(word[0]) if "/" in word else 1 - len(word) if set(word) == {"0"} else int(word)
    return awg_area_mm2(gauge) if -3 <= gauge <= 40 else None


def _factor(unit: str, dimension: str) -> float | None:
    """Factor of a unit word to the base unit of the dimension, or None."""
    plain = unit.replace("Ω", "ω").replace("Ω", "ω")
    known = _UNITS.get(plain) or _UNITS.get(plain.casefold())
    if known and known[0] == dimension:
        return known[1]
    if dimension in _PREFIXED and plain and plain[0] in _PREFIX:
        rest = plain[1:].casefold()
        known = _UNITS.get(rest)
        if (known and known[0] == dimension) or (rest == "" and dimension == "ohm"):
            return _PREFIX[plain[0]]
    return None


def quantity(text: str, dimension: str, *, bare: bool = False) -> float:
    """Read a quantity written by a person.

    Parameters
    ----------
    text : str
        Such as ``0.75 mm2``, ``18 AWG``, ``4.7 kΩ``, ``4k7``, ``12,4 V``.
    dimension : str
        The unit wanted, in words: ``volt``, ``ohm``, ``square millimetre`` ...
    bare : bool
        Whether a number without a unit will do.

    Returns
    -------
    float
        In the base unit of the dimension.

    Raises
    ------
    QuantityError
        The text is no number, has no or another unit, or is not finite.

    Examples
    --------
    >>> quantity("4k7", "ohm")
    4700.0
    >>> quantity("12,4 V", "volt")
    12.4
    """
    wanted = f"a quantity in {dimension} (write it like {_EXAMPLE[dimension]!r})"
    body = text.strip()
    if dimension == "square millimetre" and (area := _awg(body)) is not None:
        return area
    if dimension == "ohm" and (rkm := _RKM.fullmatch(body)):
        scale = {"R": 1.0, "K": 1e3, "M": 1e6}[rkm.group(2).upper()]
        return float(f"{rkm.group(1)}.{rkm.group(3)}") * scale
    match = _NUMBER.match(body)
    if match is None:
        raise QuantityError(text, wanted)
    value = float(match.group().replace(",", "."))
    unit = body[match.end() :].strip()
    if not unit:
        if bare:
            return value
        raise QuantityError(text, wanted, hint="the unit is missing")
    factor = _factor(unit, dimension)
    if factor is None:
        raise QuantityError(text, wanted)
    return value * factor


@dataclass(frozen=True)
class Toleranced:
    """A value with its tolerance: ``value * (1 ± tolerance)``."""

    value: float
    tolerance: float


def toleranced(text: str, dimension: str, *, default: float) -> Toleranced:
    """Read a quantity with an optional tolerance: ``480 Ω ± 15 %``, ``480 ohm +-15%``.

    Parameters
    ----------
    text : str
        The quantity, perhaps followed by ``±`` or ``+-`` and a percentage.
    dimension : str
        The unit wanted, in words.
    default : float
        Tolerance as a fraction where none is written.

    Returns
    -------
    Toleranced
        Value in the base unit, tolerance as a fraction.

    Raises
    ------
    QuantityError
        As `quantity`, or a tolerance outside 0 to 90 %.

    Examples
    --------
    >>> toleranced("480 Ω ± 15 %", "ohm", default=0.1)
    Toleranced(value=480.0, tolerance=0.15)
    """
    head, mark, tail = text.replace("+/-", "±").replace("+-", "±").partition("±")
    value = quantity(head, dimension)
    if not mark:
        return Toleranced(value, default)
    share = quantity(tail, "per cent") / 100.0
    if not 0.0 <= share <= 0.9:
        raise QuantityError(tail.strip(), "a tolerance between 0 % and 90 %")
    return Toleranced(value, share)


def show(value: float, dimension: str, *, digits: int = 3) -> str:
    """Write a quantity for people, with a prefix where the trade uses one.

    Parameters
    ----------
    value : float
        In the base unit of the dimension.
    dimension : str
        The unit in words.
    digits : int
        Significant digits.

    Returns
    -------
    str
        Such as ``4.7 kΩ``.

    Examples
    --------
    >>> show(4700.0, "ohm"), show(0.0123, "volt"), show(12.44, "volt"), show(0.0, "ohm")
    ('4.7 kΩ', '0.012 V', '12.4 V', '0 Ω')
    """
    symbol = _SYMBOL[dimension]
    if dimension == "ohm":
        size = abs(value)
        for scale, letter in ((1e9, "G"), (1e6, "M"), (1e3, "k")):
            if size >= scale * 0.9995:
                return f"{_digits(value / scale, digits)} {letter}{symbol}"
        return f"{_digits(round(value, 3), digits)} {symbol}"
    if dimension == "volt":
        return f"{_digits(round(value, 3), digits)} {symbol}"
    if dimension in ("ampere", "farad", "henry"):
        for scale, letter in ((1.0, ""), (1e-3, "m"), (1e-6, "µ")):
            if abs(value) >= scale * 0.9995:
                return f"{_digits(value / scale, digits)} {letter}{symbol}"
        if dimension != "ampere" and abs(value) >= 1e-9:
            return f"{_digits(value / 1e-6, digits)} µ{symbol}"
        return f"0 {symbol}" if value == 0 or dimension == "ampere" else f"{value:.3g} {symbol}"
    return f"{_digits(value, digits)} {symbol}"


def _digits(value: float, digits: int) -> str:
    """Plain decimal notation with so many significant digits, no trailing zeros."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
