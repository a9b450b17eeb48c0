"""Voltage lost on the way to a load: what rules permit, and the size of lead that keeps within it."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from ohmtrail.errors import UnknownName
from ohmtrail.harness.tables import positive, rows

__all__ = ["DropLimit", "drop_limits", "size_for_drop_mm2"]


@dataclass(frozen=True)
class DropLimit:
    """How much voltage may be lost over something.

    ``limit`` is in volts if ``unit`` is ``volt``, else a fraction of the nominal supply.
    """

    rule: str
    over: str
    limit: float
    unit: str
    source: str
    confidence: str

    def volts(self, supply_v: float) -> float:
        """Give the limit in volts on a supply of so many volts."""
        return self.limit if self.unit == "volt" else self.limit * supply_v


def size_for_drop_mm2(current_a: float, loop_m: float, drop_v: float, *, rule: str = "ISO 10133") -> float:
    """Give the area that keeps the drop to what is permitted, by a published sizing formula.

    Parameters
    ----------
    current_a : float
        Ampere.
    loop_m : float
        Out and back, metre.
    drop_v : float
        Permitted, volt.
    rule : str
        ``ISO 10133`` or ``ABYC``.

    Returns
    -------
    float
        Square millimetre.

    Raises
    ------
    UnknownName
        No such rule.
    QuantityError
        A value is not above zero.

    References
    ----------
    ISO 10133: E = 0.0164 I L / S. ABYC: CM = 10.75 I L / E in circular mil and feet.

    Examples
    --------
    >>> round(size_for_drop_mm2(10.0, 6.4, 0.36), 2)
    2.92
    """
    factors = {row["rule"]: float(row["k_ohm_mm2_per_m"]) for row in rows("drops", "formulas")}
    if rule not in factors:
        raise UnknownName("sizing rule", rule, factors)
    positive(current_a, "a current in ampere above zero")
    positive(loop_m, "a length in metre above zero")
    return factors[rule] * current_a * loop_m / positive(drop_v, "a drop in volt above zero")


@functools.cache
def drop_limits() -> tuple[DropLimit, ...]:
    """Give what various rules permit to be lost on the way, in the order of the file.

    Returns
    -------
    tuple of DropLimit
        Volts or fractions of the supply, with source and confidence.
    """
    return tuple(
        DropLimit(
            row["rule"], row["over"], float(row["limit"]), row["unit"], row["source"], row["confidence"]
        )
        for row in rows("drops", "limits")
    )
