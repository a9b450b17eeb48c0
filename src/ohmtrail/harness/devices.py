"""Filament lamps and lead-acid batteries as the books have them: plain numbers, no circuit."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, TypeVar

from ohmtrail.errors import QuantityError, UnknownName
from ohmtrail.harness.tables import Points, line, positive, rows

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["filament_resistance_ohm", "lamp_band", "rested_volts"]

_Volts = TypeVar("_Volts", float, "NDArray[np.float64]")


@functools.cache
def _squared_exponent() -> float:
    """Exponent p of ``R^2 ~ |u|^p`` in the filament law."""
    return next(
        float(row["value"]) for row in rows("lamps", "law") if row["name"] == "squared resistance exponent"
    )


def filament_resistance_ohm(
    volts: _Volts, rated_volts: float, rated_watts: float, cold_ratio: float = 0.1
) -> _Volts:
    """Give the resistance of a filament that has settled at a voltage.

    Parameters
    ----------
    volts : float or array of float
        Across the lamp, volt, either way; any shape.
    rated_volts, rated_watts : float
        As printed on the lamp, volt and watt.
    cold_ratio : float
        Cold over hot resistance, above 0 up to 1.

    Returns
    -------
    float or array of float
        Ohm, same shape as ``volts``.

    Raises
    ------
    QuantityError
        A rating is not above zero, or the ratio is outside 0 to 1.

    Notes
    -----
    ``R = R_hot sqrt(c^2 + (1 - c^2) |u|^0.9)`` with ``u = volts / rated_volts``: R_hot at rated volts,
    c R_hot at none, and a current that goes as V^0.55 near rated volts.

    References
    ----------
    Exponent: Fink and Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8.

    Examples
    --------
    >>> [round(filament_resistance_ohm(volts, 12.0, 30.0), 3) for volts in (0.0, 6.0, 12.0)]
    [0.48, 3.529, 4.8]
    """
    hot_ohm = positive(rated_volts, "rated volts above zero") ** 2
    hot_ohm /= positive(rated_watts, "rated watts above zero")
    if not 0.0 < cold_ratio <= 1.0:
        raise QuantityError(f"{cold_ratio:g}", "a cold to hot ratio above 0, up to 1")
    share = abs(volts / rated_volts) ** _squared_exponent()
    settled: _Volts = hot_ohm * (cold_ratio**2 + (1.0 - cold_ratio**2) * share) ** 0.5
    return settled


def lamp_band(quantity: str, volts_ratio: float) -> tuple[float, float]:
    """Give how a lamp's current, power, light, life or colour temperature goes with its voltage.

    Parameters
    ----------
    quantity : str
        ``current``, ``power``, ``light``, ``life`` or ``colour temperature``.
    volts_ratio : float
        Volts over rated volts, above zero; the rule is meant for about 0.8 to 1.2.

    Returns
    -------
    tuple of float
        Least and most, as a fraction of the rated value, over the published exponents.

    Raises
    ------
    UnknownName
        No such quantity.
    QuantityError
        The ratio is not above zero.

    References
    ----------
    Fink and Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8; Welch Allyn 2007.

    Examples
    --------
    >>> tuple(round(value, 2) for value in lamp_band("light", 0.9))
    (0.69, 0.7)
    """
    known = {row["quantity"]: (float(row["least"]), float(row["most"])) for row in rows("lamps", "exponents")}
    if quantity not in known:
        raise UnknownName("lamp quantity", quantity, known)
    ratio = positive(volts_ratio, "a ratio of volts above zero")
    least, most = sorted(ratio**exponent for exponent in known[quantity])
    return least, most


@functools.cache
def _rested() -> Points:
    return tuple((float(row["charge"]), float(row["volts"])) for row in rows("battery", "rested"))


def rested_volts(soc: float, *, nominal_v: float = 12.0) -> float:
    """Give the open-circuit voltage of a lead-acid battery that has rested for hours.

    Parameters
    ----------
    soc : float
        State of charge, 0 to 1.
    nominal_v : float
        6, 12 or 24 V; the voltage goes with the number of cells.

    Returns
    -------
    float
        Volt, about 25 °C. Published tables lie within 0.1 V of it (12 V).

    Raises
    ------
    QuantityError
        The charge is outside 0 to 1, or the nominal voltage is not above zero.

    References
    ----------
    The middle of three published tables, see ``data/battery.yaml``.

    Examples
    --------
    >>> rested_volts(1.0), rested_volts(0.5, nominal_v=6.0)
    (12.65, 6.125)
    """
    if not 0.0 <= soc <= 1.0:
        raise QuantityError(f"{soc:g}", "a state of charge from 0 to 1")
    return line(soc, _rested()) * positive(nominal_v, "a nominal voltage above zero") / 12.0
