"""What a plan notices, counted a second way: whole surveys on planted machines, by the rules of the job file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Evidence, Planted, plant
from ohmtrail.job.surveyed import progress_of
from ohmtrail.survey import Survey, Surveyor, coverage_of

Give = Callable[[str], Surveyor]


def _notices(machine: Planted, survey: Survey, meter: Meter) -> bool:
    """Take every reading, again where it is asked for, until one is believed to be off."""
    for item in survey.planned:
        taken: list[Evidence] = []
        state = "again"
        while state == "again":
            taken.append(machine.take(item.step))
            (state,) = progress_of(meter, [item], taken)
        if state == "off":
            return True
    return False


def test_planted_machines_are_noticed_as_often(surveyor_of: Give) -> None:
    """Faults drawn by their odds, severities freely: as many are noticed as the count says.

    Of 300 with a share of 0.93 the standard error is sqrt(0.93 * 0.07 / 300) = 0.015; three of them are allowed.
    """
    count = 300
    surveyor = surveyor_of("outboard")
    survey, meter = surveyor.plan(), replace(surveyor.meter, clamp=True)
    generator = np.random.default_rng(8)
    faults = surveyor.effects.faults
    odds = np.array([fault.rate for fault in faults])
    chosen = generator.choice(len(faults), size=count, p=odds / odds.sum())
    noticed = 0
    for index in chosen:
        machine = Planted(survey.harness, [plant(faults[int(index)], generator)], meter=meter, generator=generator)
        noticed += _notices(machine, survey, meter)
    assert noticed / count == pytest.approx(coverage_of(surveyor, survey, machines=3).noticed, abs=0.045)


def test_a_sound_machine_is_left_alone(surveyor_of: Give) -> None:
    """Fifty whole surveys of sound machines, slips and noise on, end without anything believed to be off, but for one at most."""
    surveyor = surveyor_of("outboard")
    survey, meter = surveyor.plan(), replace(surveyor.meter, clamp=True)
    generator = np.random.default_rng(5)
    assert sum(_notices(Planted(survey.harness, [], meter=meter, generator=generator), survey, meter) for _ in range(50)) <= 1
