"""Which mends put a fault right, its own and those of another name."""

from pathlib import Path

import numpy as np
import pytest

from ohmtrail.circuit import Network
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Planted, plant
from ohmtrail.faults import Fault, faults_of
from ohmtrail.harness import Harness, load_harness

OUTBOARD = Path(__file__).parents[2] / "circuits" / "outboard.yaml"


@pytest.fixture(scope="module")
def outboard() -> Harness:
    """The third circuit."""
    return load_harness(OUTBOARD)


@pytest.fixture(scope="module")
def known(outboard: Harness) -> dict[str, Fault]:
    """Its faults by their ids."""
    return {fault.id: fault for fault in faults_of(Network.of(outboard), year=2026)}


@pytest.mark.parametrize(
    ("fault", "mend", "right"),
    [
        ("stop-3 leak", "renew stop-3", True),
        ("stop-3 leak", "renew stop-2", False),
        # common practice, no source: leads that touch through their insulation are apart when one of them is new
        ("stop-3 leak", "renew stop-3 and button-earth-1", True),
        ("stop-3 neighbour button-earth-1", "renew stop-3", True),
        ("stop-3 neighbour button-earth-1", "renew button-earth-1", True),
        ("stop-3 neighbour button-earth-1", "renew stop-2", False),
        ("stop-3.to open", "renew stop-3 and button-earth-1", False),
        ("stop-3.to open", "remake the joint stop-3.to", True),
    ],
)
def test_what_puts_a_fault_right(known: dict[str, Fault], fault: str, mend: str, right: bool) -> None:
    """Its own mend, and a new lead wherever a lead's insulation is what is wrong."""
    assert known[fault].mended_by(mend) is right


def test_a_planted_machine_is_mended_by_one_of_two_leads(outboard: Harness, known: dict[str, Fault]) -> None:
    """Two leads that touch: renewing another one changes nothing, renewing either of them does."""
    fault, chance = known["stop-3 neighbour button-earth-1"], np.random.default_rng(1)
    machine = Planted(outboard, (plant(fault, chance),), meter=Meter(), generator=chance)
    assert not machine.mend("renew stop-2")
    assert machine.mend("renew button-earth-1")
    assert machine.faults == ()


@pytest.mark.parametrize(
    ("fault", "element", "there"),
    [
        ("stop-3 neighbour button-earth-1", "stop-3", True),
        ("stop-3 neighbour button-earth-1", "button-earth-1", True),
        ("stop-3 neighbour button-earth-1", "stop-2", False),
        ("stop-3.to open", "stop-3", True),
        ("stop-3.to open", "stop-3.to", True),
        ("stop-3 leak", "stop-3.to", False),
    ],
)
def test_a_look_at_either_of_two_is_a_look_at_what_is_between_them(known: dict[str, Fault], fault: str, element: str, there: bool) -> None:
    """Two leads that touch, a lead and its joints."""
    assert known[fault].lies_on(element) == there
    assert known[fault].shows(element) == (known[fault].look if there else 0.0)


def test_every_fault_of_two_names_both(known: dict[str, Fault]) -> None:
    """Neighbours and crossed leads lie on both that their id names; whatever else lies on one."""
    for name, fault in known.items():
        if fault.kind in ("neighbour", "crossed"):
            assert fault.other
            assert fault.other in name
            assert fault.lies_on(fault.other)
        else:
            assert not fault.other
