"""Whether a function works: its electrical conditions, solved."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.cases import Cases
from ohmtrail.circuit.machine import Machine
from ohmtrail.circuit.network import Network, Regime
from ohmtrail.circuit.setting import Setting, put
from ohmtrail.harness.model import Function, Harness
from ohmtrail.harness.parts import Need
from ohmtrail.units import quantity

__all__ = ["FAILS", "WEAK", "WORKS", "Checked", "check_function", "function_level", "function_setting", "limits_of", "load_branch", "met", "ohms_setting", "rated_volts", "turned_round"]

Floats = NDArray[np.float64]
Levels = NDArray[np.int64]

FAILS, WEAK, WORKS = 0, 1, 2

#: share of rated volts at which a filament counts as bright, and at which it is seen to glow; with light
#: ~ V^3.4 these are 58 % and 4 % of the light (Lamp rerating, Standard Handbook for Electrical Engineers)
BRIGHT, GLOWS = 0.85, 0.40
#: share of its volts at which a horn, motor or coil works, and works poorly; common practice, no source
RUNS, RUNS_POORLY = 0.70, 0.45


@dataclass(frozen=True)
class Checked:
    """One condition, with what it came to on the nominal machine.

    Attributes
    ----------
    need : Need
        The condition.
    value : float
        Volt, ohm, or share of rated volts.
    level : int
        `FAILS`, `WEAK` or `WORKS`.
    """

    need: Need
    value: float
    level: int


def function_setting(harness: Harness, function: Function, setting: Setting | None = None) -> Setting:
    """Give the setting in which a function must work.

    Parameters
    ----------
    harness : Harness
        The machine.
    function : Function
        What it must do.
    setting : Setting, optional
        State of everything the function does not name.

    Returns
    -------
    Setting
        With the function's switches and engine state put.
    """
    return put(harness, setting or Setting(), positions=function.when)


def function_level(
    electrics: Machine, function: Function, setting: Setting, cases: Cases | None = None, *, machines: tuple[int, ...] = (0,)
) -> Levels:
    """Say how well a function works for every set of changes.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    function : Function
        What it must do.
    setting : Setting
        State of the machine, the function's own switches included.
    cases : Cases, optional
        Sets of changes.
    machines : tuple of int
        Which draws.

    Returns
    -------
    array of int, (n_draws, n_rows)
        `FAILS`, `WEAK` or `WORKS`: the least of its conditions.
    """
    cases = electrics.sound if cases is None else cases
    level = np.full((len(machines), len(cases)), WORKS, dtype=np.int64)
    for slot, draw in enumerate(machines):
        for need in function.needs:
            level[slot] = np.minimum(level[slot], met(electrics, need, setting, cases, draw))
    return level


def check_function(electrics: Machine, function: Function, setting: Setting) -> tuple[Checked, ...]:
    """Work out every condition of a function on the nominal machine.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    function : Function
        What it must do.
    setting : Setting
        State of the machine.

    Returns
    -------
    tuple of Checked
        In the order of the file.
    """
    found = []
    for need in function.needs:
        value = _value(electrics, need, _setting(electrics, need, setting), electrics.sound, 0)
        level = met(electrics, need, setting, electrics.sound, 0)
        found.append(Checked(need, float(value[0]), int(level[0])))
    return tuple(found)


def met(electrics: Machine, need: Need, setting: Setting, cases: Cases, draw: int) -> Levels:
    """Say how well one condition is met, (n_rows,) of `FAILS`, `WEAK`, `WORKS`.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    need : Need
        The condition.
    setting : Setting
        State of the machine; the condition's own ``when`` is put on top.
    cases : Cases
        Sets of changes.
    draw : int
        Which machine.

    Returns
    -------
    array of int, (n_rows,)
        Levels.
    """
    setting = _setting(electrics, need, setting)
    value = _value(electrics, need, setting, cases, draw)
    good, weak, upward = limits_of(need)
    if upward:
        level = np.where(value >= good, WORKS, np.where(value >= weak, WEAK, FAILS))
    else:
        level = np.where(value <= good, WORKS, np.where(value <= weak, WEAK, FAILS))
    return level.astype(np.int64)


def _setting(electrics: Machine, need: Need, setting: Setting) -> Setting:
    when = dict(need.when)
    return put(electrics.harness, setting, positions=when) if when else setting


def ohms_setting(harness: Harness, need: Need, setting: Setting) -> Setting:
    """Give the dead setting in which the ohms of a condition are read.

    Parameters
    ----------
    harness : Harness
        The machine.
    need : Need
        The condition.
    setting : Setting
        That of its function, whatever turns in it.

    Returns
    -------
    Setting
        Battery off, engine still, and what the condition itself sets, a contact breaker say, as it sets it.
    """
    when = {name: at for name, at in need.when.items() if name not in ("engine", "battery")}
    return put(harness, setting, positions=when, battery=False, engine="still")


def limits_of(need: Need) -> tuple[float, float, bool]:
    """Give the bounds of a condition.

    Parameters
    ----------
    need : Need
        The condition.

    Returns
    -------
    tuple of float, float, bool
        Threshold to work and to work weakly (volt, ohm or share of rated volts), and whether more is
        better.
    """
    if need.quantity == "lit":
        return BRIGHT, GLOWS, True
    if need.quantity == "works":
        return RUNS, RUNS_POORLY, True
    if need.quantity == "sound":
        return 0.5, 0.5, True
    dimension = "ohm" if need.quantity == "ohms" else "volt"
    text = need.at_least if need.at_least is not None else need.at_most
    assert text is not None
    good = quantity(text, dimension)
    weak = quantity(need.weak, dimension) if need.weak is not None else good
    return good, weak, need.at_least is not None


def turned_round(checked: Checked) -> bool:
    """Tell whether the volts would do between the same two points taken the other way round.

    Parameters
    ----------
    checked : Checked
        A condition with what it came to.

    Returns
    -------
    bool
        As on a machine with its plus at the frame, where a live point is below it.
    """
    least, _, wanted = limits_of(checked.need)
    return wanted and checked.value < 0.0 and -checked.value >= least


def _value(electrics: Machine, need: Need, setting: Setting, cases: Cases, draw: int) -> Floats:
    """Volt, ohm, share of rated volts, or one for sound; (n_rows,)."""
    kind = need.quantity
    if kind in ("dc", "ac", "pulse"):
        pair = need.dc or need.ac or need.pulse
        assert pair is not None
        regime: Regime = kind  # type: ignore[assignment]  # one of the three
        return electrics.read(regime, setting, [pair], cases, machines=(draw,), idle=True).value[0, :, 0]
    if kind == "ohms":
        assert need.ohms is not None
        dead = ohms_setting(electrics.harness, need, setting)
        return electrics.read("ohms", dead, [need.ohms], cases, machines=(draw,)).value[0, :, 0]
    if kind == "sound":
        assert need.sound is not None
        hit = cases.rows.kills(np.array(electrics.network.owned.get(need.sound, ()), dtype=np.int64)).any(axis=1)
        return np.where(hit, 0.0, 1.0)
    return _share(electrics, need.lit or need.works or "", setting, cases, draw)


def _share(electrics: Machine, name: str, setting: Setting, cases: Cases, draw: int) -> Floats:
    """RMS volts across a load over its rated volts; nought where the load itself is dead."""
    network = electrics.network
    index = load_branch(network, name)
    branch = network.branches[index]
    pair = (branch.a, branch.b)
    direct = electrics.read("dc", setting, [pair], cases, machines=(draw,), idle=True).value[0, :, 0]
    square = direct**2
    if setting.engine != "still":
        square = square + electrics.read("ac", setting, [pair], cases, machines=(draw,)).value[0, :, 0] ** 2
    share = np.sqrt(square) / rated_volts(network, index)
    return np.where(cases.rows.kills(np.array([index]))[:, 0] | (not _there(electrics, setting, index)), 0.0, share)


def load_branch(network: Network, name: str) -> int:
    """Give the branch that consumes, of a part or filament that is lit or works.

    Parameters
    ----------
    network : Network
        The circuit.
    name : str
        A branch id, or a part whose first consuming branch is meant.

    Returns
    -------
    int
        Its index.
    """
    if name in network.index:
        return network.index[name]
    kinds = ("resistor", "coil", "filament", "delivers")
    return next(i for i in network.owned[name] if network.branches[i].kind in kinds)


def rated_volts(network: Network, index: int) -> float:
    """Give the volts a load is made for: a filament's own, else those of the supply.

    Parameters
    ----------
    network : Network
        The circuit.
    index : int
        Its branch.

    Returns
    -------
    float
        Volt.
    """
    branch = network.branches[index]
    return branch.volts if branch.kind == "filament" else network.harness.supply.nominal


def _there(electrics: Machine, setting: Setting, index: int) -> bool:
    return electrics.network.branches[index].owner not in setting.out
