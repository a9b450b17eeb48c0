"""The band of a reading in a survey: wide enough that a hundred readings on a sound machine raise no alarm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit import Electrics, Setting
from ohmtrail.circuit.meter import Meter, Quantity, measure, noise, scale

__all__ = ["NOISE_SIGMA", "TOLERANCE_SIGMA", "Bands", "bands_of"]

Floats = NDArray[np.float64]

#: half widths in sigma: tolerances stay when a reading is taken again, the meter's error is drawn anew; of 150
#: readings a machine within tolerance then has one outside its band less than once in a hundred surveys, and one
#: that stays outside when taken again still more rarely (normal law; counted in tests/survey)
TOLERANCE_SIGMA, NOISE_SIGMA = 4.0, 3.0
#: last digit of an ordinary display, volt or ampere: what it rounds away stays inside; common practice, no source
LAST_DIGIT: dict[Quantity, float] = {"volts": 0.01, "ac": 0.1, "peak": 0.1, "amps": 0.01, "diode": 0.01}


@dataclass(frozen=True)
class Bands:
    """Bands of some readings in one setting.

    Attributes
    ----------
    middle : array, (n_readings,)
        Mean over sound machines, scaled.
    tolerance : array, (n_readings,)
        Sigma of what sound machines differ by, scaled.
    half : array, (n_readings,)
        Half the band, scaled.
    """

    middle: Floats
    tolerance: Floats
    half: Floats


def bands_of(
    electrics: Electrics, meter: Meter, quantity: Quantity, pairs: Sequence[tuple[str, str]], setting: Setting, *, machines: Sequence[int]
) -> Bands:
    """Work out the bands of readings.

    Parameters
    ----------
    electrics : Electrics
        The machine with its healthy draws.
    meter : Meter
        What is used.
    quantity : str
        What is read.
    pairs : sequence of (red, black)
        Probe points.
    setting : Setting
        State of the machine.
    machines : sequence of int
        Draws to take.

    Returns
    -------
    Bands
        One for each pair.
    """
    shown, source = measure(electrics, meter, quantity, pairs, setting, machines=machines)
    values = scale(quantity, shown, meter)[:, 0, :]
    sigma = np.sqrt((noise(quantity, shown, source, meter)[:, 0, :] ** 2).mean(axis=0))
    spread = values.std(axis=0)
    half = np.sqrt((TOLERANCE_SIGMA * spread) ** 2 + (NOISE_SIGMA * sigma) ** 2)
    return Bands(values.mean(axis=0), spread, half + LAST_DIGIT.get(quantity, 0.0) / 2.0)
