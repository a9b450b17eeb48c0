"""An ordinary handheld meter as the manuals have it. What a meter shows is decided elsewhere, from these."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ohmtrail.errors import UnknownName
from ohmtrail.harness.tables import rows

__all__ = ["MeterAccuracy", "MeterFact", "accuracy_half_width", "meter_accuracy", "meter_fact"]


@dataclass(frozen=True)
class MeterFact:
    """One property of an ordinary handheld meter: the value to use and how far meters differ."""

    name: str
    value: float
    least: float
    most: float
    unit: str
    source: str
    confidence: str


@functools.cache
def _meter_facts() -> Mapping[str, MeterFact]:
    return MappingProxyType(
        {
            row["name"]: MeterFact(
                row["name"],
                float(row["value"]),
                float(row["least"]),
                float(row["most"]),
                row["unit"],
                row["source"],
                row["confidence"],
            )
            for row in rows("meters", "facts")
        }
    )


def meter_fact(name: str) -> MeterFact:
    """Give one property of an ordinary handheld meter or its accessories.

    Parameters
    ----------
    name : str
        Such as ``dc volts input`` (ohm), ``ohms open-circuit volts`` (volt), ``ohms over-range`` (ohm),
        ``beeper threshold`` (ohm), ``test leads`` (ohm), ``test lamp watts`` (watt).

    Returns
    -------
    MeterFact
        Value, least and most in the fact's own unit.

    Raises
    ------
    UnknownName
        No such fact.

    Examples
    --------
    >>> meter_fact("dc volts input").value
    10000000.0
    """
    known = _meter_facts()
    if name not in known:
        raise UnknownName("meter fact", name, known)
    return known[name]


def accuracy_half_width(reading: float, *, percent: float, counts: float, resolution: float) -> float:
    """Give how far the true value may lie from a reading, one way.

    Parameters
    ----------
    reading : float
        As displayed, any unit.
    percent : float
        Of the reading, per cent.
    counts : float
        Of the last digit.
    resolution : float
        What the last digit is worth, in the reading's unit.

    Returns
    -------
    float
        In the reading's unit.

    Examples
    --------
    >>> round(accuracy_half_width(100.0, percent=1.0, counts=2, resolution=0.1), 6)
    1.2
    """
    return abs(reading) * percent / 100.0 + counts * resolution


@dataclass(frozen=True)
class MeterAccuracy:
    """Accuracy of one quantity: per cent of the reading and counts, and the ranges with their last digit."""

    quantity: str
    percent: float
    counts: float
    ranges: tuple[tuple[float, float], ...]
    source: str
    confidence: str

    def resolution(self, reading: float) -> float:
        """Worth of the last digit in the lowest range that holds the reading, in its unit."""
        return next((step for full, step in self.ranges if abs(reading) < full), self.ranges[-1][1])

    def half_width(self, reading: float) -> float:
        """How far the true value may lie from a reading, one way, in its unit."""
        return accuracy_half_width(
            reading, percent=self.percent, counts=self.counts, resolution=self.resolution(reading)
        )


def _ranges(text: str) -> tuple[tuple[float, float], ...]:
    """Read ``6/0.001 60/0.01`` as full scales and resolutions."""
    pairs = (item.split("/") for item in text.split())
    return tuple((float(full), float(step)) for full, step in pairs)


@functools.cache
def _accuracies() -> Mapping[str, MeterAccuracy]:
    return MappingProxyType(
        {
            row["quantity"]: MeterAccuracy(
                row["quantity"],
                float(row["percent"]),
                float(row["counts"]),
                _ranges(row["ranges"]),
                row["source"],
                row["confidence"],
            )
            for row in rows("meters", "accuracy")
        }
    )


def meter_accuracy(quantity: str) -> MeterAccuracy:
    """Give the accuracy of an ordinary handheld meter.

    Parameters
    ----------
    quantity : str
        ``dc volts``, ``ac volts``, ``ohms``, ``diode volts``, ``dc amps``, ``clamp amps`` or
        ``peak volts``.

    Returns
    -------
    MeterAccuracy
        Per cent, counts, and the ranges in volt, ohm or ampere.

    Raises
    ------
    UnknownName
        No such quantity.

    Examples
    --------
    >>> round(meter_accuracy("dc volts").half_width(12.4), 4)
    0.082
    """
    known = _accuracies()
    if quantity not in known:
        raise UnknownName("meter quantity", quantity, known)
    return known[quantity]
