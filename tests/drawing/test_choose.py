"""Which leads belong to a function's path."""

from collections.abc import Callable

from ohmtrail.circuit import Electrics
from ohmtrail.drawing.choose import choose_path
from ohmtrail.harness import Harness

Machine = Callable[[str], tuple[Harness, Electrics]]


def test_spark_includes_what_could_stop_it(machine: Machine) -> None:
    """Both ignition-stop branches are in the path of the spark although they stand open."""
    chosen = choose_path(machine("trail-motorcycle")[1], "spark")
    assert {"stop-1", "stop-5", "stop-7", "plug-lead", "gen-pick-up"} <= chosen.leads
    assert {"ignition-switch", "stop-switch", "ignition-module", "spark-plug"} <= chosen.parts
    assert "horn-1" not in chosen.leads


def test_a_lamp_brings_its_ring_and_no_other_load(machine: Machine) -> None:
    """Feed, switch and earth return of the dipped beam; not the tail lamp on the same switch."""
    chosen = choose_path(machine("trail-motorcycle")[1], "headlamp-dipped")
    assert {"gen-light", "light-5", "dip-link", "dip-2", "headlamp-earth", "front-earth-2"} <= chosen.leads
    assert not {"tail-1", "main-1", "light-2"} & chosen.leads


def test_a_stop_function_goes_through_its_closed_switch(machine: Machine) -> None:
    """Volts that must go away go through the switch that takes them away."""
    chosen = choose_path(machine("outboard")[1], "stop-by-button")
    assert {"stop-1", "stop-3", "button-earth-1"} <= chosen.leads


def test_a_relay_brings_its_coil_circuit(machine: Machine) -> None:
    """Cranking needs the starter's cable and what pulls the solenoid."""
    chosen = choose_path(machine("utility-car")[1], "crank")
    assert {"starter-cable", "start-1", "start-2", "battery-cable"} <= chosen.leads


def test_a_function_that_must_stay_silent_still_has_a_path(case: tuple[str, str], machine: Machine) -> None:
    """No function of an example machine draws an empty page."""
    assert choose_path(machine(case[0])[1], case[1]).leads
