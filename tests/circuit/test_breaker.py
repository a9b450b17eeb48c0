"""A contact breaker while the engine turns: a meter shows the mean of what it opens and closes, and nobody probes its wire."""

from __future__ import annotations

from pathlib import Path

import pytest

from ohmtrail.circuit import Electrics, Setting, function_setting, put
from ohmtrail.circuit.meter import DWELL, DWELL_SPREAD, Meter, measure
from ohmtrail.diagnosis.candidates import Surroundings, measurements, shunned
from ohmtrail.diagnosis.table import single_rows
from ohmtrail.faults import faults_of
from ohmtrail.harness import load_harness

CIRCUITS = Path(__file__).parents[2] / "circuits"


@pytest.fixture(scope="module")
def car() -> Electrics:
    return Electrics(load_harness(CIRCUITS / "utility-car.yaml"))


def _volts(car: Electrics, point: str, setting: Setting) -> float:
    return float(measure(car, Meter(), "volts", [(point, "frame")], setting)[0][0, 0, 0])


def test_volts_behind_the_coil_are_the_mean_over_the_dwell(car: Electrics) -> None:
    """Key on, engine running: the meter shows the closed volts for the share of a turn that the points are closed.

    The mean of a voltage that jumps between two values: any textbook of electrical measurement, moving-coil and
    integrating meters alike.
    """
    running = function_setting(car.harness, car.harness.functions["ignition-on"])
    running = put(car.harness, running, engine="running")
    still = put(car.harness, running, engine="still")
    shut = _volts(car, "points.1", put(car.harness, still, positions={"points": "closed"}))
    gap = _volts(car, "points.1", put(car.harness, still, positions={"points": "open"}))
    shown = _volts(car, "points.1", running)
    assert shut < 1.0
    assert gap > 10.0
    # the alternator lifts the supply of the running engine a little
    low, high = ((1.0 - share) * gap for share in (DWELL + DWELL_SPREAD, DWELL - DWELL_SPREAD))
    assert low < shown < 1.25 * high


def test_nothing_is_read_on_the_breakers_wire_while_the_engine_turns(car: Electrics) -> None:
    """The coil kicks there by some hundred volts; with the engine still it may be probed, and its feed at any time."""
    cranking = function_setting(car.harness, car.harness.functions["spark"])
    wire = {"coil.1", "condenser.1", "points.1"}
    assert wire <= shunned(car.network, Meter(), cranking)
    assert not wire & shunned(car.network, Meter(), put(car.harness, cranking, engine="still"))
    rows = single_rows([fault for fault in faults_of(car.network, year=2026) if fault.element in ("ign-4", "ign-3", "points")])
    around = Surroundings(car, rows[1:])
    probed = {point for pair in measurements(around, cranking, "volts", Meter()) for point in pair}
    assert "coil.15" in probed
    assert not wire & probed


def test_what_is_wired_to_the_frame_side_of_a_breaker_may_be_read(car: Electrics) -> None:
    """Only the live side is left alone: the earthed side is one wire with the metal."""
    assert "engine-block" not in {point.partition(".")[0] for point in car.network.chopped}
    assert {"ign-4.to", "ign-5.from"} <= car.network.chopped
