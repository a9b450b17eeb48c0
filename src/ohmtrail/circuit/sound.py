"""What a meter shows on a sound machine, with the band that healthy tolerances and the meter leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.meter import Meter, Quantity, measure, noise, scale, unscale
from ohmtrail.circuit.setting import Setting

__all__ = ["BAND_SIGMA", "Sound", "sound_readings"]

#: half the width of a band in sigma: of a hundred readings on sound machines one lies outside (normal law)
BAND_SIGMA = 2.58


@dataclass(frozen=True)
class Sound:
    """What a sound machine shows.

    Attributes
    ----------
    value : float
        Display value of the machine as described: ohm, volt or ampere; infinity for over-range.
    low, high : float
        Band of display values; an infinite ``high`` is over-range.
    """

    value: float
    low: float
    high: float


def sound_readings(
    electrics: Electrics, meter: Meter, quantity: Quantity, pairs: Sequence[tuple[str, str]], setting: Setting
) -> tuple[Sound, ...]:
    """Say what readings on a sound machine are.

    Parameters
    ----------
    electrics : Electrics
        The machine, with its healthy draws beside the nominal one.
    meter : Meter
        What is used.
    quantity : str
        What is read.
    pairs : sequence of (red, black)
        Probe points.
    setting : Setting
        State of the machine.

    Returns
    -------
    tuple of Sound
        One for each pair.

    Raises
    ------
    CircuitError
        The machine has no answer in this setting.
    """
    if not pairs:
        return ()
    shown, source = measure(electrics, meter, quantity, pairs, setting, machines=range(len(electrics.draws)))
    values, sigma = scale(quantity, shown, meter)[:, 0, :], noise(quantity, shown, source, meter)[:, 0, :]
    spread = np.sqrt(values.var(axis=0) + (sigma**2).mean(axis=0))
    middle = values.mean(axis=0)
    ends = (middle - BAND_SIGMA * spread, middle + BAND_SIGMA * spread)
    return tuple(
        Sound(float(shown[0, 0, index]), *(_display(quantity, float(end[index]), meter) for end in ends)) for index in range(len(pairs))
    )


def _display(quantity: Quantity, scaled: float, meter: Meter) -> float:
    """A scaled value as the meter would show it."""
    value = unscale(quantity, scaled)
    if quantity in ("ac", "peak"):
        return max(value, 0.0)
    return float("inf") if quantity in ("ohms", "beep") and value > meter.top_ohm else value
