"""Healthy machines within their tolerances: the nominal one, and a fixed set of draws.

The draws are a Latin hypercube with a fixed seed, common to all faults and readings, so that two faults
that are physically alike never part company by luck.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from ohmtrail.circuit.branches import Branch

__all__ = ["Draw", "draws", "nominal", "random_machine"]

Floats = NDArray[np.float64]

#: sigma of the rested volts of a battery that is fit for work; common practice, no source
BATTERY_SIGMA_V = 0.15
#: sigma of ln of cranking and running speed between one kick and the next; common practice, no source
ENGINE_SIGMA = {"cranking": 0.10, "running": 0.06}


@dataclass(frozen=True)
class Draw:
    """One healthy machine.

    Attributes
    ----------
    live, dead : array, (n_branches,)
        Factor on each branch's resistance at work and to an ohmmeter.
    battery_v : float
        Added to the battery's volts.
    engine : mapping of str to float
        Factor on generator volts by engine state.
    """

    live: Floats
    dead: Floats
    battery_v: float
    engine: Mapping[str, float]


def _draw(branches: Sequence[Branch], normal: Floats) -> Draw:
    """A machine from standard normal numbers: one per branch, then battery, cranking, running."""
    count = len(branches)
    live = np.exp(normal[:count] * np.array([branch.spread for branch in branches]))
    dead = np.exp(normal[:count] * np.array([branch.dead_spread for branch in branches]))
    engine = {state: float(np.exp(normal[count + 1 + i] * sigma)) for i, (state, sigma) in enumerate(ENGINE_SIGMA.items())}
    return Draw(live, dead, float(normal[count] * BATTERY_SIGMA_V), engine)


def nominal(branches: Sequence[Branch]) -> Draw:
    """Give the machine on which every part has its stated value.

    Parameters
    ----------
    branches : sequence of Branch
        The circuit.

    Returns
    -------
    Draw
        All factors one.
    """
    return _draw(branches, np.zeros(len(branches) + 3))


def draws(branches: Sequence[Branch], count: int, *, seed: int = 20) -> tuple[Draw, ...]:
    """Give a fixed set of healthy machines whose spreads are exact in each parameter.

    Parameters
    ----------
    branches : sequence of Branch
        The circuit.
    count : int
        How many.
    seed : int
        Of the shuffles.

    Returns
    -------
    tuple of Draw
        A Latin hypercube of normal quantiles, standardised per parameter.
    """
    generator = np.random.default_rng(seed)
    quantiles = ndtri((np.arange(count) + 0.5) / count)
    quantiles /= quantiles.std() or 1.0
    table = np.stack([generator.permutation(quantiles) for _ in range(len(branches) + 3)])
    return tuple(_draw(branches, table[:, index]) for index in range(count))


def random_machine(branches: Sequence[Branch], generator: np.random.Generator) -> Draw:
    """Draw a machine at random, for rehearsals and drills.

    Parameters
    ----------
    branches : sequence of Branch
        The circuit.
    generator : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    Draw
        Each parameter within three sigma.
    """
    return _draw(branches, np.clip(generator.standard_normal(len(branches) + 3), -3.0, 3.0))
