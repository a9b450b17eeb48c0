"""Steps that a drill stops."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from ohmtrail.circuit import Setting, put
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Step
from ohmtrail.harness import Harness, load_harness
from ohmtrail.training import danger_of

CIRCUITS = Path(__file__).parents[2] / "circuits"
RUNNING = Setting(engine="running")


@cache
def _machine(name: str) -> Harness:
    return load_harness(CIRCUITS / f"{name}.yaml")


def _stopped(machine: str, step: Step) -> str | None:
    danger = danger_of(_machine(machine), Meter(), step)
    return danger.id if danger is not None else None


@pytest.mark.parametrize("machine", sorted(path.stem for path in CIRCUITS.glob("*.yaml")))
@pytest.mark.parametrize("engine", ["cranking", "running"])
def test_the_engine_never_turns_with_a_plug_lead_off(machine: str, engine: str) -> None:
    """An open secondary kills an electronic ignition, at either end of every plug lead; with the engine still it is only a lead off."""
    harness = _machine(machine)
    leads = [name for name, lead in harness.leads.items() if lead.high_tension]
    assert leads
    function = next(iter(harness.functions))
    for end in (f"{name}.{side}" for name in leads for side in ("from", "to")):
        off = put(harness, Setting(), lifted=[end])
        assert _stopped(machine, Step("watch", replace(off, engine=engine), function=function)) == "plug-earthed"
        assert _stopped(machine, Step("measure", replace(off, engine=engine), "volts", "frame", "frame")) == "plug-earthed"
        assert _stopped(machine, Step("watch", off)) is None


@pytest.mark.parametrize(
    ("machine", "ends"),
    [
        ("utility-car", ["battery-cable.from", "battery-cable.to", "battery-earth.to", "charge-1.from"]),
        ("ride-on-mower", ["battery-pos.to", "charge-6.to"]),
        ("outboard", []),
    ],
)
def test_a_regulated_generator_never_runs_without_its_battery(machine: str, ends: list[str]) -> None:
    """With the battery off, or one of its leads or the generator's own off: stopped; cranking or still: not."""
    harness = _machine(machine)
    off = [replace(RUNNING, battery=False), *(put(harness, RUNNING, lifted=[end]) for end in ends)]
    for setting in off:
        step = Step("measure", setting, "volts", "battery.+", "battery.-")
        assert _stopped(machine, step) == "surge"
        assert _stopped(machine, replace(step, setting=replace(setting, engine="still"))) is None
    assert _stopped(machine, Step("measure", RUNNING, "volts", "battery.+", "battery.-")) is None


def test_a_generator_without_a_regulator_may_run_alone() -> None:
    """The motorcycle's ignition needs no battery, and a plain rectifier nothing that a surge would take."""
    step = Step("watch", replace(RUNNING, battery=False), function="spark")
    assert _stopped("trail-motorcycle", step) is None
