"""Machines with a planted fault, and sound ones, surveyed with noise: what a plan notices is counted, not supposed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit import WORKS, Cases, Electrics, Setting, function_level
from ohmtrail.circuit.draws import random_machine
from ohmtrail.circuit.meter import FLICKERS_BY, Meter, Quantity, measure, noise, scale
from ohmtrail.diagnosis import Step
from ohmtrail.diagnosis.likelihood import FLICKER, MISJUDGED, NO_FLICKER, OUT_AT_REST, SLIP
from ohmtrail.survey.bands import Bands
from ohmtrail.survey.effects import Effects

__all__ = ["Trial", "agree_within", "run_trial"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: a reading outside its band is taken again; it is believed when two of at most three lie outside and agree
TRIES = 3
#: two readings agree when they lie so close on the meter's scale, beside the meter's own error; own choice
AGREE = {"ohms": 0.1, "beep": 0.1}
AGREE_V = 0.3


def agree_within(quantity: Quantity) -> float:
    """Give how close two readings of one thing must lie to agree.

    Parameters
    ----------
    quantity : str
        What is read.

    Returns
    -------
    float
        On the meter's scale: decades for ohms, volt or ampere.
    """
    return AGREE.get(quantity, AGREE_V)


@dataclass(frozen=True)
class Trial:
    """What some readings notice on some machines.

    Attributes
    ----------
    noticed : array of bool, (n_readings, n_machines, n_rows)
        Whether a reading was believed to lie outside its band; the rows are those of the `Effects`.
    alarms : array of bool, (n_readings, n_machines)
        The same on the machines without a fault.
    """

    noticed: Bools
    alarms: Bools


class _Machines:
    """Random machines within tolerance, each under every fault and under none."""

    def __init__(self, electrics: Electrics, meter: Meter, effects: Effects | None, count: int, seed: int) -> None:
        self.meter, self.generator = meter, np.random.default_rng(seed)
        branches = electrics.network.branches
        drawn = [random_machine(branches, self.generator) for _ in range(count)]
        self.electrics, self.machines = Electrics(electrics.harness, machines=drawn), tuple(range(count))
        self.cases: Cases | None = effects.cases if effects is not None else None
        places = effects.moves_at if effects is not None else ()
        #: rows of the plan, and behind them the sound machine
        self.electric = np.append(effects.electric, 0) if effects is not None else np.zeros(1, dtype=np.int64)
        self.moves_at = np.array([*places, ""])
        self.moving: Bools = self.moves_at != ""

    def measured(self, quantity: Quantity, setting: Setting, pairs: Sequence[tuple[str, str]]) -> tuple[Floats, Floats]:
        """(n_machines, n_electric, n_pairs) scaled values and their noise."""
        shown, source = measure(self.electrics, self.meter, quantity, pairs, setting, self.cases, machines=self.machines)
        return scale(quantity, shown, self.meter), noise(quantity, shown, source, self.meter)

    def believed(self, step: Step, value: Floats, sigma: Floats, middle: float, half: float) -> Bools:
        """(n_machines, n_rows) whether a reading, taken again where need be, is believed to lie outside."""
        sound = value[:, :1]
        shown, own = value[:, self.electric], sigma[:, self.electric]
        jumps = (self.moves_at == step.setting.moved) & (np.abs(shown - sound) > FLICKERS_BY) & self.moving
        tries = [self._touch(step, shown, own, sound, sigma[:, :1]) for _ in range(TRIES)]
        outside = [np.abs(item - middle) > half for item in tries]
        close = agree_within(step.quantity)

        def alike(a: int, b: int) -> Bools:
            near: Bools = np.abs(tries[a] - tries[b]) <= close + 3.0 * own
            return near & outside[a] & outside[b]

        again = alike(0, 1) | alike(0, 2) | alike(1, 2)
        believed: Bools = (outside[0] & again) | self._flickers(step, jumps)
        return believed

    def _touch(self, step: Step, shown: Floats, own: Floats, sound: Floats, sound_own: Floats) -> Floats:
        rest = self.moving & (self.generator.random(shown.shape) >= OUT_AT_REST)
        value = np.where(rest, sound, shown) + np.where(rest, sound_own, own) * self.generator.standard_normal(shown.shape)
        slipped = self.generator.random(shown.shape) < SLIP
        return np.where(slipped, self._slips(step.quantity, shown.shape), value)

    def _slips(self, quantity: Quantity, shape: tuple[int, ...]) -> Floats:
        """Anything the range can show, over-range first of all; as the planted machines of rehearsals slip."""
        if quantity == "ohms":
            over = self.generator.random(shape) < 0.5
            top_ohm = float(scale(quantity, np.inf, self.meter))
            return np.where(over, top_ohm, self.generator.uniform(-0.5, 7.0, shape))
        top = {"ac": 120.0, "amps": 20.0}.get(quantity, self.electrics.harness.supply.nominal)
        return self.generator.uniform(0.0, top, shape)

    def _flickers(self, step: Step, jumps: Bools) -> Bools:
        """Whether a display that came and went while wiring was moved did so in two of three tries, the first of them one."""
        if not step.setting.moved:
            return np.zeros(jumps.shape, dtype=bool)
        chance = np.where(jumps, FLICKER, NO_FLICKER)
        first, second, third = (self.generator.random(jumps.shape) < chance for _ in range(TRIES))
        believed: Bools = first & (second | third)
        return believed

    def watched(self, step: Step) -> Bools:
        """(n_machines, n_rows) whether a function is believed to fail."""
        function = self.electrics.harness.functions[step.function]
        still = replace(step.setting, moved=None)
        level = function_level(self.electrics, function, still, self.cases, machines=self.machines)
        bad = level[:, self.electric] < WORKS
        jumps = (self.moves_at == step.setting.moved) & self.moving & (bad != (level[:, :1] < WORKS))
        first, second, third = (self._judged(bad, level[:, :1] < WORKS) for _ in range(TRIES))
        believed: Bools = (first & (second | third)) | self._flickers(step, jumps)
        return believed

    def _judged(self, bad: Bools, sound: Bools) -> Bools:
        rest = self.moving & (self.generator.random(bad.shape) >= OUT_AT_REST)
        seen: Bools = np.where(rest, sound, bad) ^ (self.generator.random(bad.shape) < MISJUDGED)
        return seen


def run_trial(
    electrics: Electrics,
    meter: Meter,
    steps: Sequence[Step],
    bands: Sequence[Bands | None],
    *,
    effects: Effects | None,
    machines: int,
    seed: int,
) -> Trial:
    """Take readings on random machines under every fault.

    Parameters
    ----------
    electrics : Electrics
        The machine as described.
    meter : Meter
        What is used; its error is drawn anew for every touch, and now and then a touch is slipped.
    steps : sequence of Step
        The readings.
    bands : sequence of Bands or None
        The band of each; None for a function.
    effects : Effects or None
        Every fault; None for sound machines only.
    machines : int
        How many random machines.
    seed : int
        Of the machines, the noise and the slips.

    Returns
    -------
    Trial
        What was noticed.
    """
    made = _Machines(electrics, meter, effects, machines, seed)
    found = np.zeros((len(steps), machines, len(made.electric)), dtype=bool)
    alike: dict[tuple[object, ...], list[int]] = {}
    for index, step in enumerate(steps):
        if step.kind == "watch":
            found[index] = made.watched(step)
        else:
            alike.setdefault((step.quantity, replace(step.setting, moved=None)), []).append(index)
    for members in alike.values():
        first = steps[members[0]]
        value, sigma = made.measured(first.quantity, replace(first.setting, moved=None), [(steps[i].red, steps[i].black) for i in members])
        for spot, index in enumerate(members):
            band = bands[index]
            assert band is not None, "what is no function has a band"
            found[index] = made.believed(steps[index], value[:, :, spot], sigma[:, :, spot], float(band.middle[0]), float(band.half[0]))
    return Trial(found[:, :, :-1], found[:, :, -1])
