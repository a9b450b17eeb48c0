"""A machine with planted faults that answers like a real one: for the demo, rehearsals and drills.

It is solved on its own (one random machine within tolerance, each fault at one severity), not looked up in
the table that suspects are weighed with.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ohmtrail.circuit import Cases, Change, Electrics, Network, Setting, function_level
from ohmtrail.circuit.changes import Mode
from ohmtrail.circuit.draws import random_machine
from ohmtrail.circuit.meter import (
    FLICKERS_BY,
    LAMP_BRIGHT,
    LAMP_OUT,
    Meter,
    Quantity,
    measure,
    noise,
    scale,
    unscale,
)
from ohmtrail.diagnosis.evidence import Evidence, Looked, Measured, Seen
from ohmtrail.diagnosis.likelihood import FALSE_LOOK, FLICKER, OUT_AT_REST, SLIP
from ohmtrail.diagnosis.steps import Step
from ohmtrail.faults import SEVERITY, Fault
from ohmtrail.harness.model import Harness
from ohmtrail.harness.standards import meter_accuracy

__all__ = ["Planted", "PlantedFault", "plant"]


@dataclass(frozen=True)
class PlantedFault:
    """A fault at one severity.

    Attributes
    ----------
    fault : Fault
        What is wrong.
    severity : float
        Ohm or factor; nought where it has none.
    """

    fault: Fault
    severity: float

    def changes(self, network: Network) -> tuple[Change, ...]:
        """What it does to the circuit."""
        return tuple(
            replace(change, value=_valued(change, self.severity, network)) if change.value == SEVERITY else change
            for change in self.fault.changes
        )


def _valued(change: Change, severity: float, network: Network) -> float:
    if change.mode == Mode.EMF:
        return severity * network.branches[network.index[change.branch]].volts
    return severity


def plant(fault: Fault, generator: np.random.Generator) -> PlantedFault:
    """Draw a severity for a fault, evenly on a log scale.

    Parameters
    ----------
    fault : Fault
        What is wrong.
    generator : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    PlantedFault
        The fault at one severity.
    """
    if not fault.high:
        return PlantedFault(fault, 0.0)
    return PlantedFault(fault, float(np.exp(generator.uniform(np.log(fault.low), np.log(fault.high)))))


class Planted:
    """A machine with something wrong.

    Parameters
    ----------
    harness : Harness
        The machine as described.
    faults : sequence of PlantedFault
        What is wrong with it.
    meter : Meter
        What it is read with.
    generator : numpy.random.Generator
        Source of randomness: tolerances, noise, slips.
    slip : float
        Chance that a reading is slipped.
    """

    def __init__(
        self,
        harness: Harness,
        faults: Sequence[PlantedFault],
        *,
        meter: Meter,
        generator: np.random.Generator,
        slip: float = SLIP,
    ) -> None:
        self.harness, self.meter, self.slip = harness, meter, slip
        self.faults = tuple(faults)
        self._generator = generator
        network = Network.of(harness)
        self.electrics = Electrics(harness, machines=[random_machine(network.branches, generator)])

    def mend(self, mend: str) -> bool:
        """Carry out a mend; say whether it put something right."""
        left = tuple(item for item in self.faults if not item.fault.mended_by(mend))
        cured = len(left) < len(self.faults)
        self.faults = left
        return cured

    def level(self, function: str, setting: Setting) -> int:
        """How well a function works with every fault out: 0 fails, 1 weak, 2 works."""
        return self._level(function, setting, self.faults)

    def take(self, step: Step) -> Evidence:
        """Do a step and say what came of it.

        Parameters
        ----------
        step : Step
            A measurement, a function to watch or an element to look at.

        Returns
        -------
        Evidence
            With meter error and, now and then, a slip.
        """
        if step.kind == "look":
            return Looked(step.element, bool(self._generator.random() < self._look(step.element)))
        if step.kind == "watch":
            return self._watch(step)
        return self._measure(step)

    # ---- inside ----

    def _look(self, element: str) -> float:
        look = max((item.fault.shows(element) for item in self.faults), default=0.0)
        return look + (1.0 - look) * FALSE_LOOK

    def _cases(self, faults: Sequence[PlantedFault]) -> Cases:
        changes = [change for item in faults for change in item.changes(self.electrics.network)]
        return self.electrics.cases([changes])

    def _level(self, function: str, setting: Setting, faults: Sequence[PlantedFault]) -> int:
        still = replace(setting, moved=None)
        return int(function_level(self.electrics, self.harness.functions[function], still, self._cases(faults))[0, 0])

    def _split(self, setting: Setting) -> tuple[tuple[PlantedFault, ...], tuple[PlantedFault, ...]]:
        """Faults that are out for good, and those that the movement brings and takes."""
        steady = [item for item in self.faults if not item.fault.moves_at]
        moving = [item for item in self.faults if item.fault.moves_at]
        here = tuple(item for item in moving if item.fault.moves_at == setting.moved)
        resting = [item for item in moving if item not in here and self._generator.random() < OUT_AT_REST]
        return (*steady, *resting), here

    def _watch(self, step: Step) -> Seen:
        steady, moving = self._split(step.setting)
        level = self._level(step.function, step.setting, steady)
        if moving and self._level(step.function, step.setting, (*steady, *moving)) != level and self._generator.random() < FLICKER:
            return Seen(step.function, step.setting, level, sometimes=True)
        return Seen(step.function, step.setting, level)

    def _measure(self, step: Step) -> Measured:
        steady, moving = self._split(step.setting)
        value = self._value(step, steady)
        if moving:
            other = self._value(step, (*steady, *moving))
            apart = abs(float(scale(step.quantity, value, self.meter)) - float(scale(step.quantity, other, self.meter)))
            if apart > FLICKERS_BY and self._generator.random() < FLICKER:
                return Measured(step.quantity, step.red, step.black, step.setting, flickers=True)
        return Measured(step.quantity, step.red, step.black, step.setting, value)

    def _value(self, step: Step, faults: Sequence[PlantedFault]) -> float:
        still = replace(step.setting, moved=None)
        shown, source = measure(self.electrics, self.meter, step.quantity, [(step.red, step.black)], still, self._cases(faults))
        if step.quantity in ("beep", "lamp"):
            return self._word(step.quantity, float(shown[0, 0, 0]))
        if self._generator.random() < self.slip:
            return self._slipped(step.quantity)
        if np.isinf(shown[0, 0, 0]):
            return float("inf")
        sigma = float(noise(step.quantity, shown, source, self.meter)[0, 0, 0])
        scaled = float(scale(step.quantity, float(shown[0, 0, 0]), self.meter)) + sigma * float(self._generator.standard_normal())
        return _displayed(step.quantity, unscale(step.quantity, scaled), self.meter)

    def _word(self, quantity: Quantity, value: float) -> float:
        if quantity == "beep":
            low, high = np.log(self.meter.beeper_least_ohm), np.log(self.meter.beeper_most_ohm)
            threshold = float(np.exp(self._generator.uniform(low, high)))
            return 1.0 if value < threshold else 0.0
        share = abs(value) / self.harness.supply.nominal
        return 1.0 if share > LAMP_BRIGHT else 0.0 if share < LAMP_OUT else 0.5

    def _slipped(self, quantity: Quantity) -> float:
        """Probe off the metal, wrong range: anything the range can show, over-range first of all."""
        if quantity == "ohms":
            return float("inf") if self._generator.random() < 0.5 else float(10.0 ** self._generator.uniform(-0.5, 7.0))
        if quantity == "ac":
            return round(float(self._generator.uniform(0.0, 120.0)), 1)
        return round(float(self._generator.uniform(0.0, self.harness.supply.nominal)), 2)


def _displayed(quantity: Quantity, value: float, meter: Meter) -> float:
    """A value as the display has it: over-range, or rounded to its last digit."""
    if quantity == "ohms":
        if value > meter.top_ohm:
            return float("inf")
        step = meter_accuracy("ohms").resolution(min(value, 39e6))
        return round(max(value, 0.0) / step) * step
    shown = round(value, 2 if quantity in ("volts", "diode", "amps") else 1)
    return max(shown, 0.0) if quantity in ("ac", "peak", "amps") else shown
