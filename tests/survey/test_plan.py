"""The plan of a survey: safe in its stages, worth its minutes, always the same."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import sparse

from ohmtrail.circuit import Electrics, Setting
from ohmtrail.diagnosis import Step
from ohmtrail.harness import Harness, load_harness
from ohmtrail.harness.parts import Module
from ohmtrail.survey import Safety, Surveyor, coverage_of, false_alarms
from ohmtrail.survey.choose import Cover, rows_of
from ohmtrail.survey.pool import Candidate, Pool
from ohmtrail.survey.route import everything_minutes
from ohmtrail.survey.settings import dead_settings, still_settings, turning_settings

Give = Callable[[str], Surveyor]
SMALL = ("outboard", "ride-on-mower")
LARGE = ("trail-motorcycle", "utility-car")
CIRCUITS = Path(__file__).parents[2] / "circuits"


def _holds(surveyor: Surveyor) -> None:
    """At least 95 % of what any reading within reach could notice, in at most half the minutes of measuring all."""
    survey = surveyor.plan()
    coverage = coverage_of(surveyor, survey, machines=2, seed=11)
    print(f"{survey.harness.harness}: {coverage.of_could:.3f} of {coverage.could:.3f}, {survey.minutes:.1f} of {survey.everything:.1f} min")
    assert coverage.of_could >= 0.95
    assert survey.minutes <= 0.5 * survey.everything


@pytest.mark.parametrize("name", [SMALL[0], *(pytest.param(name, marks=pytest.mark.slow) for name in SMALL[1:])])
def test_coverage_and_minutes(surveyor_of: Give, name: str) -> None:
    """Both figures of one run hold on the small machines."""
    _holds(surveyor_of(name))


@pytest.mark.slow
@pytest.mark.parametrize("name", LARGE)
def test_coverage_and_minutes_of_large_machines(surveyor_of: Give, name: str) -> None:
    """Both figures of one run hold on the large machines."""
    _holds(surveyor_of(name))


@pytest.mark.parametrize("name", ["outboard", *(pytest.param(name, marks=pytest.mark.slow) for name in ("ride-on-mower", *LARGE))])
def test_sound_machines_raise_no_alarm(surveyor_of: Give, name: str) -> None:
    """Of 200 surveys of sound machines with noise at most 2 % believe that something is wrong."""
    surveyor = surveyor_of(name)
    assert false_alarms(surveyor, surveyor.plan(), machines=200, seed=3) <= 0.02


@pytest.mark.parametrize("name", SMALL)
def test_nothing_in_the_pool_is_unsafe(surveyor_of: Give, name: str) -> None:
    """Whatever could be chosen is allowed in its stage, while wiring is moved as well; and each only once."""
    surveyor = surveyor_of(name)
    safety = Safety(surveyor.electrics.network, surveyor.meter)
    items = surveyor.pool.candidates
    assert all(safety.allows(item.stage, item.step) for item in items)
    assert len({(item.stage, item.step) for item in items}) == len(items)


@pytest.mark.parametrize("name", SMALL)
def test_stages(surveyor_of: Give, name: str) -> None:
    """No reading comes before the stage that makes it safe, and stages follow each other."""
    survey = surveyor_of(name).plan()
    stages = [item.stage for item in survey.planned]
    assert stages == sorted(stages)
    assert set(stages) == {1, 2, 3, 4}
    for item in survey.planned:
        setting = item.step.setting
        if item.stage == 1:
            assert setting.dead
            assert item.step.quantity in ("ohms", "diode")
            assert item.step.kind == "measure"
            continue
        assert setting.battery
        assert not (setting.parted or setting.lifted)
        assert (setting.engine == "still") == (item.stage < 4)
        assert item.stage > 2 or item.step.quantity == "amps"


def test_no_setting_wants_a_switch_put_that_no_hand_can_put() -> None:
    """The car's oil pressure switch rests wherever the engine is still, and goes over with the engine running."""
    network = Electrics(load_harness(CIRCUITS / "utility-car.yaml")).network
    dead = [setting for setting, _ in dead_settings(network)]
    still = [*dead, *still_settings(network.harness)]
    assert len(still) > 50
    assert {dict(setting.positions).get("oil-switch", "no-pressure") for setting in still} == {"no-pressure"}
    turning = turning_settings(network.harness)
    assert "pressure" in {dict(setting.positions).get("oil-switch") for setting in turning}


def _module_points(harness: Harness) -> set[str]:
    modules = {name: part for name, part in harness.parts.items() if isinstance(part, Module)}
    return {f"{name}.{pin}" for name, part in modules.items() for pin in part.terminals()}


def test_stage_one_touches_no_module(surveyor_of: Give) -> None:
    """No dead reading feeds a module or touches one that holds a charge, and no lead is lifted off one."""
    survey = surveyor_of("outboard").plan()
    points = _module_points(survey.harness)
    for item in survey.planned:
        if item.stage == 1:
            assert not {item.step.red, item.step.black} & points
            assert not {survey.harness.lead_ends[end][1] for end in item.step.setting.lifted} & points


def test_safety_refuses(surveyor_of: Give) -> None:
    """Ohms on a live machine, ohms into a module, current without a limit, a probe on high tension: none is allowed."""
    surveyor = surveyor_of("outboard")
    safety = Safety(surveyor.electrics.network, surveyor.meter)
    dead = Setting(battery=False)
    running = Setting(engine="running")
    assert not safety.allows(1, Step("measure", Setting(), "ohms", "battery-fuse.2", "frame"))
    assert not safety.allows(1, Step("measure", dead, "ohms", "stop-button.2", "frame"))
    assert not safety.allows(1, Step("measure", dead, "ohms", "battery.+", "battery.-"))
    assert not safety.allows(1, Step("measure", replace(dead, lifted=frozenset({"stop-1.from"})), "ohms", "stop-1.from", "frame"))
    assert safety.allows(1, Step("measure", replace(dead, parted=frozenset({"tiller-plug"})), "ohms", "tiller-plug.1b", "frame"))
    assert not safety.allows(2, Step("measure", Setting(), "volts", "battery.+", "frame"))
    assert not safety.allows(3, Step("watch", running, function="charging"))
    assert not safety.allows(4, Step("measure", running, "ac", "coil-top.4", "frame"))
    assert not safety.allows(4, Step("watch", replace(running, moved="cowl"), function="charging"))
    assert safety.allows(4, Step("watch", replace(running, moved="tiller"), function="charging"))


def test_the_same_plan_every_time(surveyor_of: Give) -> None:
    """A second look at the same file gives the same readings in the same order."""
    first = surveyor_of("outboard")
    again = Surveyor(first.harness, year=2026)
    assert again.plan() == first.plan()


def test_places_are_opened_once_and_minutes_add_up(surveyor_of: Give) -> None:
    """Every place is opened by one reading, and the readings' minutes make up the plan's."""
    survey = surveyor_of("ride-on-mower").plan()
    opened = [name for item in survey.planned for name in item.opens]
    assert len(opened) == len(set(opened))
    assert sum(item.minutes for item in survey.planned) <= survey.minutes


def test_minutes_allowed(surveyor_of: Give) -> None:
    """A plan for some minutes keeps to them, and more minutes never notice less."""
    surveyor = surveyor_of("outboard")
    noticed = []
    for minutes in (20.0, 30.0, 45.0):
        survey = surveyor.plan(within=minutes)
        assert survey.minutes <= minutes
        noticed.append(coverage_of(surveyor, survey, machines=2).noticed)
    assert noticed == sorted(noticed)


def test_barred_places_stay_shut(outboard_without_tiller: Surveyor) -> None:
    """What cannot be reached is neither opened nor counted as within reach."""
    survey = outboard_without_tiller.plan()
    assert not any("tiller" in item.opens for item in survey.planned)


@pytest.fixture
def outboard_without_tiller(surveyor_of: Give) -> Surveyor:
    """Give the outboard with its tiller out of reach."""
    return Surveyor(surveyor_of("outboard").harness, year=2026, barred=("tiller",))


def test_everything_takes(surveyor_of: Give) -> None:
    """The outboard: (37 leads + 70 terminals) readings of 0.6 min, battery off and on 2 min, all places 36 min."""
    assert everything_minutes(surveyor_of("outboard").harness) == pytest.approx((37 + 70) * 0.6 + 2.0 + 36.0)


def _random_pool(harness: Harness, generator: np.random.Generator, *, readings: int, rows: int) -> Pool:
    places = list(harness.places)
    chance = generator.random((readings, rows)) * (generator.random((readings, rows)) < 0.3)
    made = []
    for index in range(readings):
        place = places[int(generator.integers(len(places)))]
        step = Step("measure", Setting(battery=False), "ohms", f"p{index}", "frame")
        made.append(Candidate(1, step, frozenset({place})))
    return Pool(tuple(made), sparse.csr_array(chance), frozenset(), np.ones(rows, dtype=bool))


@pytest.mark.parametrize("seed", range(6))
def test_near_the_exact_optimum(surveyor_of: Give, seed: int) -> None:
    """On small tables the choice notices at least nine tenths of what the best set of so many minutes does.

    The best set is found by trying all of them; a greedy cover promises 1 - 1/e = 63 %.
    """
    generator = np.random.default_rng(seed)
    harness = surveyor_of("outboard").harness
    pool = _random_pool(harness, generator, readings=11, rows=14)
    weight = generator.random(14)
    weight /= weight.sum()
    limit = 12.0
    cover = Cover(harness, pool, weight)
    while (found := cover.best(within=limit - cover.minutes))[1]:
        cover.take(found[1])
    best = 1.0
    for count in range(1, 12):
        for chosen in itertools.combinations(range(11), count):
            trial = Cover(harness, pool, weight)
            trial.take(chosen)
            if trial.minutes <= limit:
                best = min(best, float(weight @ rows_of(pool.chance, chosen)))
    assert cover.minutes <= limit
    assert 1.0 - cover.unnoticed >= 0.9 * (1.0 - best)


@pytest.mark.parametrize("name", SMALL)
def test_amps_are_read_where_all_of_them_run(surveyor_of: Give, name: str) -> None:
    """The lead that amps are read in is the only one at its post; with everything off no more than a hundredth of an ampere is sound."""
    surveyor = surveyor_of(name)
    harness = surveyor.harness
    read = [item for item in surveyor.plan().planned if item.step.quantity == "amps"]
    assert read
    for item in read:
        lead = harness.leads[item.step.red]
        posts = [point for point in (lead.from_, lead.to) if harness.terminals[point][0] in harness.parts and harness.parts[harness.terminals[point][0]].kind == "battery"]
        assert any(len(harness.leads_at[post]) == 1 for post in posts)
    assert min(item.sound.high for item in read) < 0.02
