"""Machines and jobs that several tests share."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from ohmtrail.circuit import function_setting
from ohmtrail.diagnosis import Action, Bench, Case, Planted, PlantedFault, Seen, follow
from ohmtrail.harness import load_harness

CIRCUITS = Path(__file__).parents[2] / "circuits"


@dataclass(frozen=True)
class Played:
    """A job played on a planted machine."""

    machine: Planted
    actions: tuple[Action, ...]

    @property
    def mends(self) -> tuple[str, ...]:
        """Ids of the mends made, in order."""
        steps = [action.proposal.step for action in self.actions]
        return tuple(step.mend.id for step in steps if step is not None and step.mend is not None)


Play = Callable[..., Played]


@pytest.fixture(scope="session")
def motorcycle() -> Case:
    """The trail motorcycle."""
    return Case(load_harness(CIRCUITS / "trail-motorcycle.yaml"), year=2026)


@pytest.fixture(scope="session")
def outboard() -> Case:
    """The outboard motor."""
    return Case(load_harness(CIRCUITS / "outboard.yaml"), year=2026)


@pytest.fixture(scope="session")
def car() -> Case:
    """The utility car."""
    return Case(load_harness(CIRCUITS / "utility-car.yaml"), year=2026)


@pytest.fixture(scope="session")
def play() -> Play:
    """Play a job: a case, a function, planted faults with severities."""

    def run(
        case: Case, function: str, faults: Sequence[tuple[str, float]], *, sometimes: bool = False, bench: Bench | None = None
    ) -> Played:
        known = {fault.id: fault for fault in case.faults}
        planted = [PlantedFault(known[name], severity) for name, severity in faults]
        machine = Planted(case.harness, planted, meter=case.meter, generator=np.random.default_rng(1), slip=0.0)
        setting = function_setting(case.harness, case.harness.functions[function])
        level = 2 if sometimes else machine.level(function, setting)
        complaint = Seen(function, setting, level, sometimes=sometimes)
        return Played(machine, tuple(follow(case, machine, complaint, bench=bench)))

    return run
