"""Values, bands, shares and minutes in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ohmtrail.diagnosis import Evidence, Expected, Looked, Measured
from ohmtrail.units import show

__all__ = [
    "band_text",
    "expected_text",
    "factor_text",
    "joined",
    "level_text",
    "minutes_text",
    "share_text",
    "value_text",
]

_UNIT = {"ohms": "ohm", "volts": "volt", "ac": "volt", "peak": "volt", "diode": "volt", "amps": "ampere"}
_LEVELS = ("fails", "weak", "works")


def minutes_text(minutes: float) -> str:
    """Write minutes, ``0.6 min`` or ``14 min``.

    Parameters
    ----------
    minutes : float
        Minutes.

    Returns
    -------
    str
        With its unit.
    """
    return f"{minutes:.1f} min" if minutes < 9.95 else f"{minutes:.0f} min"


def share_text(share: float) -> str:
    """Write a probability as a person would say it: never 0 or 100 %.

    Parameters
    ----------
    share : float
        0 to 1.

    Returns
    -------
    str
        Such as ``61 %``.

    Examples
    --------
    >>> share_text(0.612), share_text(0.9996), share_text(1e-6)
    ('61 %', 'over 99.9 %', 'under 0.1 %')
    """
    if share > 0.999:
        return "over 99.9 %"
    if share < 0.001:
        return "under 0.1 %"
    percent = 100.0 * share
    return f"{percent:.1f} %" if percent < 9.95 or percent > 99.0 else f"{percent:.0f} %"


def level_text(level: int, *, sometimes: bool = False) -> str:
    """Say how a function works.

    Parameters
    ----------
    level : int
        0 fails, 1 weak, 2 works.
    sometimes : bool
        Whether it does so only now and then.

    Returns
    -------
    str
        A word or two.
    """
    return "comes and goes" if sometimes else _LEVELS[level]


def value_text(quantity: str, value: float) -> str:
    """Write a display value.

    Parameters
    ----------
    quantity : str
        What was read.
    value : float
        Ohm, volt or ampere; infinity for over-range.

    Returns
    -------
    str
        Such as ``3.2 Ω``, ``over range`` or ``beeps``.

    Examples
    --------
    >>> value_text("ohms", 3200.0), value_text("beep", 0.0), value_text("ohms", math.inf)
    ('3.2 kΩ', 'silent', 'over range')
    """
    if math.isinf(value):
        return "over range"
    if quantity == "beep":
        return "beeps" if value > 0.5 else "silent"
    if quantity == "lamp":
        return "bright" if value > 0.75 else "out" if value < 0.25 else "dim"
    return show(value, _UNIT[quantity])


def band_text(quantity: str, low: float, high: float, *, digits: int = 2) -> str:
    """Write a band of display values.

    Parameters
    ----------
    quantity : str
        What is read.
    low, high : float
        Ohm, volt or ampere; infinite where it is open.
    digits : int
        Of each end.

    Returns
    -------
    str
        Such as ``0 to 40 Ω``.

    Examples
    --------
    >>> band_text("ohms", 0.0, 40.0), band_text("ohms", 5e6, math.inf), band_text("volts", 12.31, 12.34)
    ('0 to 40 Ω', 'over 5 MΩ', '12.3 V')
    """
    if quantity in ("beep", "lamp"):
        one, two = value_text(quantity, low), value_text(quantity, high)
        return one if one == two else f"{one} to {two}"
    unit = _UNIT[quantity]
    if low == math.inf:
        return "over range"
    if low == -math.inf:
        return "anything" if high == math.inf else f"under {show(high, unit, digits=digits)}"
    if math.isinf(high):
        return f"over {show(low, unit, digits=digits)}"
    one, two = show(low, unit), show(high, unit)
    if one == two:
        return one
    one, two = show(low, unit, digits=digits), show(high, unit, digits=digits)
    if one == two:  # 11.1 to 11.4 V is no '11 to 11 V'
        one, two = show(low, unit), show(high, unit)
    if one.rpartition(" ")[2] == two.rpartition(" ")[2]:
        one = one.rpartition(" ")[0]
    return f"{one} to {two}"


def expected_text(item: Evidence, expected: Expected, *, digits: int = 2) -> str:
    """Write what a reading should be, as bands or as the likeliest word.

    Parameters
    ----------
    item : Evidence
        The reading.
    expected : Expected
        What one suspect, or a sound machine, shows.
    digits : int
        Of each end of a band.

    Returns
    -------
    str
        Such as ``480 to 560 Ω`` or ``works``.
    """
    if isinstance(item, Measured):
        if item.flickers:
            return f"steady at {band_text(item.quantity, expected.low, expected.high)}"
        if item.quantity == "lamp":
            return f"about {show(max(expected.low, 0.0), 'volt', digits=2)} to {show(expected.high, 'volt', digits=2)}"
        if item.quantity == "beep":
            return band_text("ohms", expected.low, expected.high)
        return band_text(item.quantity, expected.low, expected.high, digits=digits)
    words = ("damaged", "sound") if isinstance(item, Looked) else _LEVELS
    best = max(range(len(words)), key=lambda index: expected.chances[index])
    share = expected.chances[best]
    return words[best] if share > 0.9 else f"{words[best]}, {share_text(share)}"


def factor_text(factor: float) -> str:
    """Say how strongly a reading speaks.

    Parameters
    ----------
    factor : float
        How many times likelier it is under the suspect than under the others.

    Returns
    -------
    str
        Such as ``for, 12 times``.

    Examples
    --------
    >>> factor_text(12.3), factor_text(0.004), factor_text(1.1)
    ('for, 12 times', 'strongly against, 250 times', 'hardly either way')
    """
    times = factor if factor >= 1.0 else 1.0 / max(factor, 1e-12)
    if times < 1.5:
        return "hardly either way"
    shown = "over 1000 times" if times > 1000 else f"{times:.2g} times" if times < 10 else f"{times:.0f} times"
    side = "for" if factor >= 1.0 else "against"
    return f"{'strongly ' if times > 30 else ''}{side}, {shown}"


def joined(words: Sequence[str], last: str = "and") -> str:
    """Join words as a person would: ``a, b and c``.

    Parameters
    ----------
    words : sequence of str
        At least none.
    last : str
        What stands before the last one.

    Returns
    -------
    str
        One phrase.
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}" if words else ""
