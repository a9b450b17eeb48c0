"""The sheet of a sound machine: what is on it, in which order, and that sound machines pass it."""

from pathlib import Path

import numpy as np
import pytest

from ohmtrail.circuit import Electrics, Network
from ohmtrail.circuit.draws import draws
from ohmtrail.circuit.meter import Meter, measure, noise, scale
from ohmtrail.diagnosis.candidates import dangerous
from ohmtrail.diagnosis.sheet import Sheet, sheet_of
from ohmtrail.diagnosis.steps import with_outer
from ohmtrail.harness import Harness, load_harness

CIRCUITS = Path(__file__).parents[2] / "circuits"
MACHINES = sorted(path.stem for path in CIRCUITS.glob("*.yaml"))


def _sheet(name: str) -> Sheet:
    harness = load_harness(CIRCUITS / f"{name}.yaml")
    return sheet_of(Electrics(harness), Meter(), frozenset(harness.terminals), tuple(harness.functions))


@pytest.fixture(scope="module")
def outboard() -> Sheet:
    """The smallest machine's sheet."""
    return _sheet("outboard")


def test_each_place_is_opened_once_and_from_outside_inwards(outboard: Sheet) -> None:
    """No place comes twice, and none before what it lies inside of."""
    harness = outboard.harness
    places = [place.place for place in outboard.places if place.place]
    assert len(places) == len(set(places))
    opened = [name for place in outboard.places for name in place.opens]
    assert len(opened) == len(set(opened))
    for index, name in enumerate(opened):
        assert with_outer(harness, (name,)) <= set(opened[: index + 1])


def test_the_numbers_run_through_and_every_function_is_watched(outboard: Sheet) -> None:
    """From 1 without a gap; the functions come last."""
    assert [row.number for row in outboard.rows] == list(range(1, len(outboard.rows) + 1))
    assert [row.step.function for row in outboard.rows if row.sound is None] == list(outboard.harness.functions)


@pytest.mark.parametrize("name", MACHINES)
def test_no_meter_comes_to_a_dangerous_point(name: str) -> None:
    """Nothing live at high tension or a pulse output; ohms only on a dead circuit; a caution wherever the engine turns."""
    sheet = _sheet(name)
    hot = dangerous(sheet.harness, Meter(), live=True)
    for place in sheet.places:
        for group in place.groups:
            for row in group.rows:
                if row.sound is None:
                    continue
                if row.step.quantity in ("volts", "ac"):
                    assert not {row.step.red, row.step.black} & hot
                else:
                    assert row.step.setting.dead
                    assert any(item.id == "dead-circuit" for item in group.cautions)
            if group.setting.engine != "still":
                assert any(item.id == "turning-parts" for item in group.cautions)


def test_what_is_across_a_part_is_what_the_file_says(outboard: Sheet) -> None:
    """The windings' and the coil's ohms with the test leads, 480 + 0.3 Ω; the leads lifted where something lies beside."""
    rows = {(row.step.quantity, row.step.red): row for row in outboard.rows}
    winding = rows["ohms", "ignition-winding.CH"]
    assert winding.sound is not None
    assert winding.sound.value == pytest.approx(480 + Meter().lead_ohm, abs=0.1)
    assert winding.sound.low < 480 * 0.85
    assert winding.sound.high > 480 * 1.15
    assert winding.step.setting.lifted == {"gen-ignition.from"}
    secondary = rows["ohms", "coil-top.4"]
    assert secondary.sound is not None
    assert secondary.sound.value == pytest.approx(3600, rel=0.01)


def test_a_contact_is_on_it_closed_and_open(outboard: Sheet) -> None:
    """The stop button: next to nothing pressed, over range at rest with its lead off."""
    found = [row for row in outboard.rows if row.part == "stop-button" and row.step.quantity == "ohms"]
    closed, opened = (row.sound for row in found)
    assert closed is not None
    assert opened is not None
    assert closed.value < 1.0
    assert np.isinf(opened.value)


def _off(sheet: Sheet, harness: Harness, seed: int) -> int:
    """How many readings of a sound machine lie outside their bands."""
    meter, generator = Meter(), np.random.default_rng(seed)
    machine = Electrics(harness, machines=draws(Network.of(harness).branches, 1, seed=1000 + seed))
    outside = 0
    for row in sheet.rows:
        if row.sound is None:
            continue
        step = row.step
        shown, source = measure(machine, meter, step.quantity, [(step.red, step.black)], step.setting)
        sigma = noise(step.quantity, shown, source, meter)[0, 0, 0]
        value = float(scale(step.quantity, shown, meter)[0, 0, 0] + generator.normal() * sigma)
        low, high = (float(scale(step.quantity, end, meter)) for end in (row.sound.low, row.sound.high))
        outside += not (low <= value <= high or (np.isinf(row.sound.high) and value >= low))
    return outside


def test_sound_machines_pass_their_sheet(outboard: Sheet) -> None:
    """Of the readings on fresh sound machines about one in a hundred lies outside, and never three in a hundred."""
    machines = 20
    total = machines * sum(row.sound is not None for row in outboard.rows)
    outside = sum(_off(outboard, outboard.harness, seed) for seed in range(machines))
    assert outside / total < 0.03


def test_a_fault_falls_outside_its_band(outboard: Sheet) -> None:
    """A fuse that is open, a lead with two ohms in it: the sheet's bands are narrow enough to show them."""
    fuse = next(row for row in outboard.rows if row.step.red == "battery-fuse.1" and row.step.quantity == "ohms")
    assert fuse.sound is not None
    assert fuse.sound.high < 1.0
    lantern = next(row for row in outboard.rows if row.step.red == "lantern.58" and row.step.quantity == "volts")
    assert lantern.sound is not None
    assert lantern.sound.low > 12.4 * 14.4 / (14.4 + 2.0)  # a 10 W lamp of 14.4 Ω behind 2 Ω more
