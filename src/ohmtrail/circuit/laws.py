"""Current against volts of the branches that are no straight line.

All laws are smooth, so that the same formulas can be written into a netlist for another simulator.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Laws", "clamp_current", "diode_current", "filament_current", "refused_current", "source_current"]

Floats = NDArray[np.float64]

#: forward volts of a silicon junction at work (LIEC Semiconductors ch. 3: 0.7 V nominal)
DIODE_V = 0.65
#: width of the bend of diodes, clamps and chargers
BEND_V = 0.03
#: volts above rest from which a battery counts as on charge, and the width of that bend; own choice: so narrow
#: that its rested volts stay what they are
CHARGED_V, UPTAKE_BEND_V = 0.002, 0.0001
#: leakage of a junction in reverse: megohms, not nothing
LEAK_S = 2e-7


def _softplus(x: Floats) -> tuple[Floats, Floats]:
    """ln(1 + e^x) and its slope, without overflow."""
    positive = np.maximum(x, 0.0)
    tail = np.exp(-np.abs(x))
    slope = np.where(x >= 0, 1.0 / (1.0 + tail), tail / (1.0 + tail))
    return positive + np.log1p(tail), slope


def filament_current(volts: Floats, hot_ohm: Floats, rated_v: Floats, cold_ratio: float) -> tuple[Floats, Floats]:
    """Current and slope of a filament whose resistance follows its volts.

    R = R_hot sqrt(c^2 + (1 - c^2) |u|^0.9), u = V / V_rated; near rated volts I ~ V^0.55 (Standard
    Handbook for Electrical Engineers, 11th ed., p. 22-8).

    Parameters
    ----------
    volts : array
        Volts across it.
    hot_ohm, rated_v : array
        Hot resistance in ohm and rated volts.
    cold_ratio : float
        Cold over hot resistance.

    Returns
    -------
    tuple of array
        Ampere, and siemens.
    """
    square = cold_ratio**2
    # the slope of |u|^0.9 has no bound at nought: below a thousandth of rated volts it is cold
    bent = (1.0 - square) * np.abs(volts / rated_v) ** 0.9
    resistance = hot_ohm * np.sqrt(square + bent)
    slope = (1.0 - 0.45 * bent / (square + bent)) / resistance
    return volts / resistance, slope


def diode_current(volts: Floats, ohm: Floats) -> tuple[Floats, Floats]:
    """Current and slope of a junction: nothing below its forward volts, a small resistance above.

    Parameters
    ----------
    volts, ohm : array
        Volts from anode to cathode; bulk resistance in ohm.

    Returns
    -------
    tuple of array
        Ampere, and siemens.
    """
    bent, slope = _softplus((volts - DIODE_V) / BEND_V)
    return BEND_V * bent / ohm + LEAK_S * volts, slope / ohm + LEAK_S


def clamp_current(volts: Floats, ohm: Floats, limit_v: Floats) -> tuple[Floats, Floats]:
    """Current and slope of a shunt regulator: conducts in either direction beyond its limit.

    Parameters
    ----------
    volts, ohm, limit_v : array
        Volts across it, resistance once it conducts, the limit.

    Returns
    -------
    tuple of array
        Ampere, and siemens.
    """
    up, up_slope = _softplus((volts - limit_v) / BEND_V)
    down, down_slope = _softplus((-volts - limit_v) / BEND_V)
    return BEND_V * (up - down) / ohm + LEAK_S * volts, (up_slope + down_slope) / ohm + LEAK_S


def source_current(volts: Floats, ohm: Floats, emf_v: Floats) -> tuple[Floats, Floats]:
    """Current *into* a charger from its output: it only gives, never takes.

    Parameters
    ----------
    volts, ohm, emf_v : array
        Volts at its output, source resistance, open-circuit volts.

    Returns
    -------
    tuple of array
        Ampere (negative while charging), and siemens.
    """
    bent, slope = _softplus((emf_v - volts) / BEND_V)
    return -BEND_V * bent / ohm, slope / ohm


def refused_current(volts: Floats, ohm: Floats, rest_v: Floats) -> tuple[Floats, Floats]:
    """Current and slope of what a battery on charge does not take: added to its straight line, it bends that up.

    Parameters
    ----------
    volts, ohm, rest_v : array
        Volts across the battery; the resistance that makes up the difference between its line on discharge and
        its line on charge, ohm; its rested volts.

    Returns
    -------
    tuple of array
        Ampere (negative on charge), and siemens.
    """
    bent, slope = _softplus((volts - rest_v - CHARGED_V) / UPTAKE_BEND_V)
    return -UPTAKE_BEND_V * bent / ohm, -slope / ohm


@dataclass(frozen=True)
class Laws:
    """The nonlinear branches of a network, sorted by law, as arrays.

    Attributes
    ----------
    kind : tuple of str
        Law of each.
    ohm, volts : array, (n,)
        Their parameters.
    cold_ratio : float
        Of the filaments.
    """

    kind: tuple[str, ...]
    ohm: Floats
    volts: Floats
    cold_ratio: float

    def current(self, across: Floats, emf: Floats, pulled: NDArray[np.bool_]) -> tuple[Floats, Floats]:
        """Current and slope of every one of them in every row.

        Parameters
        ----------
        across : array, (n_rows, n)
            Volts across each.
        emf : array, (n_rows, n)
            Open-circuit volts of the chargers.
        pulled : array of bool, (n_rows, n)
            Whether a relay contact conducts.

        Returns
        -------
        tuple of array, (n_rows, n)
            Ampere, and siemens.
        """
        current, slope = np.zeros_like(across), np.zeros_like(across)
        kinds = np.array(self.kind)
        for name in dict.fromkeys(self.kind):
            at = kinds == name
            v, ohm, limit = across[:, at], self.ohm[at], self.volts[at]
            if name == "filament":
                current[:, at], slope[:, at] = filament_current(v, ohm, limit, self.cold_ratio)
            elif name == "diode":
                current[:, at], slope[:, at] = diode_current(v, ohm)
            elif name == "clamp":
                current[:, at], slope[:, at] = clamp_current(v, ohm, limit)
            elif name == "charger":
                current[:, at], slope[:, at] = source_current(v, ohm, emf[:, at])
            elif name == "uptake":
                current[:, at], slope[:, at] = refused_current(v, ohm, limit)
            else:
                slope[:, at] = pulled[:, at] / ohm
                current[:, at] = v * slope[:, at]
        return current, slope
