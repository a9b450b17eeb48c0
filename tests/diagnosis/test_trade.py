"""What a technician expects of the search. Common practice, no source, where nothing else is named."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from ohmtrail.circuit import Setting, function_setting, put
from ohmtrail.diagnosis import Assessment, Bench, Case, Measured, Mended, Seen, odd_reading
from ohmtrail.diagnosis.plan import Plan, expected_cost, greedy_cost
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.diagnosis.steps import Step, needed_places


def _complaint(case: Case, function: str) -> Seen:
    return Seen(function, function_setting(case.harness, case.harness.functions[function]), 0)


def _share(assessment: Assessment, mend: str) -> float:
    assert assessment.posterior is not None
    return sum(item.share for item in assessment.posterior.answers if mend in item.mends)


def _dead(case: Case, complaint: Seen) -> Setting:
    return put(case.harness, complaint.setting, battery=False, engine="still")


# ---- 1: no spark, the module unknown to the ohmmeter ----


def test_lifting_the_stop_lead_is_among_the_first_three(motorcycle: Case) -> None:
    """Lift the stop lead at the module and look for spark, whatever else is cheaper."""
    proposal = motorcycle.next_step(motorcycle.assess([_complaint(motorcycle, "spark")]), Bench(Setting()))
    first = [proposal.step, *(item.step for item in proposal.others)][:3]
    at_module = {"stop-1.from", "stop-1.to"}
    assert any(step is not None and step.kind == "watch" and step.setting.lifted & at_module for step in first)


def test_spark_with_the_lead_lifted_clears_module_coil_and_plug(motorcycle: Case) -> None:
    """If spark comes back, module, pick-up, coil and plug fall below 1 % together."""
    complaint = _complaint(motorcycle, "spark")
    back = Seen("spark", put(motorcycle.harness, complaint.setting, lifted=["stop-1.from"]), 2)
    posterior = motorcycle.assess([complaint, back]).posterior
    assert posterior is not None
    named = ("ignition-module", "pick-up", "ignition-coil", "spark-plug")
    parts = [item.share for item in posterior.answers if any(mend.rpartition(" ")[2] in named for mend in item.mends)]
    assert len(parts) >= 3
    assert sum(parts) < 0.01


def test_a_leak_under_the_ignitions_own_volts_is_found(motorcycle: Case, play) -> None:
    """An ohmmeter that sees nothing does not acquit the lead: it is found by watching for spark."""
    done = play(motorcycle, "spark", [("stop-7 leak-at-volts", 80.0)])
    assert done.mends == ("renew stop-7",)
    assert not done.machine.faults


# ---- 2 and 3: leak, stuck switch; an engine that will not stop ----


@pytest.mark.parametrize(
    ("fault", "severity", "mend"),
    [
        ("stop-2 leak", 4.0, "renew stop-2"),
        ("stop-switch.2-31 closed", 0.05, "clean or exchange stop-switch"),
        ("ignition-switch.2-31 closed", 0.05, "clean or exchange ignition-switch"),
    ],
)
def test_a_leak_is_told_from_switches_that_stick(motorcycle: Case, play, fault: str, severity: float, mend: str) -> None:
    """The connector between them is parted, and the right one is mended first."""
    done = play(motorcycle, "spark", [(fault, severity)])
    assert done.mends == (mend,)
    steps = [action.proposal.step for action in done.actions]
    assert any(step is not None and (step.setting.parted or step.setting.lifted) for step in steps)


@pytest.mark.parametrize(
    ("fault", "mend"),
    [
        ("stop-3 open", "renew stop-3"),
        ("stop-switch.2-31 open", "clean or exchange stop-switch"),
        ("right-earth-1 open", "renew right-earth-1"),
    ],
)
def test_an_engine_that_will_not_stop(motorcycle: Case, play, fault: str, mend: str) -> None:
    """Open stop lead, switch that never closes, earth of the switch: each is found at the first mend."""
    done = play(motorcycle, "engine-stop-switch", [(fault, 0.0)])
    assert done.mends == (mend,)


# ---- 4 and 5: poor contacts ----


@pytest.mark.slow
def test_a_dim_headlamp_is_found_by_volts_under_load(car: Case, play) -> None:
    """0.3 ohm in an earth joint is found at the first mend, with a volts reading on the way."""
    done = play(car, "dipped-beam", [("E1 high", 0.3)])
    assert done.mends == ("clean the earth E1",)
    assert any(isinstance(action.result, Measured) and action.result.quantity == "volts" for action in done.actions)


def test_an_ohms_reading_does_not_clear_a_joint_that_carries_amps(car: Case) -> None:
    """0.3 ohm cannot be told from the test leads: a good-looking ohms reading alone acquits nothing."""
    complaint = Seen("dipped-beam", function_setting(car.harness, car.harness.functions["dipped-beam"]), 1)
    before = car.assess([complaint])
    after = car.assess([complaint, Measured("ohms", "E1", "frame", _dead(car, complaint), 0.4)])
    assert _share(after, "clean the earth E1") > 0.3 * _share(before, "clean the earth E1")


def test_twelve_volts_on_an_open_meter_clear_no_feed(motorcycle: Case) -> None:
    """Behind 100 kilohms a 10 megohm meter shows battery volts: a load or a test lamp is proposed."""
    complaint = _complaint(motorcycle, "horn-sounds")
    idle = put(motorcycle.harness, complaint.setting, positions={"horn-button": "out"})
    before = motorcycle.assess([complaint])
    after = motorcycle.assess([complaint, Measured("volts", "horn.15", "frame", idle, 12.3)])
    for joint in ("remake the joint horn-feed.from", "remake the joint horn-feed.to"):
        assert _share(after, joint) > 0.5 * _share(before, joint)
    proposal = motorcycle.next_step(after, Bench(idle))
    steps = [proposal.step, *(item.step for item in proposal.others)][:3]
    loaded = [s for s in steps if s is not None and ("horn-button", "pressed") in s.setting.positions]
    assert loaded or any(step is not None and step.quantity == "lamp" for step in steps)


# ---- 6: a blown fuse is never the end ----


def test_what_blew_a_fuse_is_asked_before_a_new_one_goes_in(motorcycle: Case, play) -> None:
    """With the fuse out, its load side is read against the frame before the fuse is exchanged."""
    done = play(motorcycle, "horn-sounds", [("main-fuse open", 0.0)])
    assert done.mends == ("exchange the fuse and clean its holder at main-fuse",)
    before = done.actions[: [a.proposal.step is not None and a.proposal.step.kind == "mend" for a in done.actions].index(True)]
    read = [a.result for a in before if isinstance(a.result, Measured)]
    assert any("main-fuse" in item.setting.out and item.black == "frame" for item in read)


@pytest.mark.slow
def test_a_short_behind_a_blown_fuse_is_mended_first(motorcycle: Case, play) -> None:
    """The lead that blew it is renewed before the fuse."""
    done = play(motorcycle, "horn-sounds", [("main-fuse open", 0.0), ("feed-2 leak", 0.5)])
    assert done.mends[0] == "renew feed-2"
    assert not done.machine.faults


def test_the_fuse_that_a_short_blew_is_exchanged_before_the_try(motorcycle: Case) -> None:
    """The lead that blew it is renewed: the try cannot go well before the fuse is whole, so that comes first."""
    complaint = _complaint(motorcycle, "horn-sounds")
    dead = _dead(motorcycle, complaint)
    out = put(motorcycle.harness, dead, out=["main-fuse"])
    rest = put(motorcycle.harness, Setting(), battery=False, out=["main-fuse"])
    history = [
        complaint,
        Measured("ohms", "main-fuse.1", "main-fuse.2", out, math.inf),
        Measured("ohms", "main-fuse.2", "frame", out, 0.8),
        Measured("ohms", "main-fuse.2", "frame", rest, 0.8),
    ]
    first = motorcycle.assess(history)
    assert first.posterior is not None
    both = next(item.mends for item in first.posterior.answers if len(item.mends) == 2)
    lead = next(mend for mend in both if "fuse" not in mend)
    after = motorcycle.assess([*history, Mended(lead)])
    assert after.to_prove
    step = motorcycle.next_step(after, Bench(dead)).step
    assert step is not None
    assert step.mend is not None
    assert step.mend.id == "exchange the fuse and clean its holder at main-fuse"
    done = motorcycle.assess([*history, Mended(lead), Mended(step.mend.id)])
    last = motorcycle.next_step(done, Bench(dead)).step
    assert last is not None
    assert last.kind == "watch"


def test_the_complaint_is_never_the_odd_reading(motorcycle: Case) -> None:
    """Nothing in the file makes a plain feed come and go: what was complained of is not what is to be struck."""
    complaint = replace(_complaint(motorcycle, "spark"), level=1)
    known = motorcycle.assess([complaint])
    assert known.posterior is not None
    found = odd_reading(known.posterior, known.complaints)
    assert found is None or found.evidence != complaint


def test_the_place_of_the_battery_is_opened_for_its_lead(motorcycle: Case) -> None:
    """Its lead comes off for ohms and goes on for volts: somebody has to get there."""
    harness = motorcycle.harness
    there = next(part.at for part in harness.parts.values() if part.kind == "battery")
    complaint = _complaint(motorcycle, "spark")
    step = Step("measure", _dead(motorcycle, complaint), "ohms", "ignition-module.CH", "frame")
    assert there in needed_places(harness, step, complaint.setting)
    assert there not in needed_places(harness, step, step.setting)


# ---- 7 and 8: movement, crossed leads ----


def test_a_fault_that_comes_with_the_handlebars_is_found(motorcycle: Case, play) -> None:
    """Wiring is moved at the place that flexes, and flickers are read there."""
    done = play(motorcycle, "spark", [("stop-2 moving-leak (steering-head)", 1.0)], sometimes=True)
    assert not done.machine.faults
    assert done.mends[-1] == "renew stop-2"
    results = [action.result for action in done.actions]
    moved = [item for item in results if isinstance(item, Measured | Seen) and item.setting.moved == "steering-head"]
    assert moved


def test_what_fails_at_rest_is_no_new_complaint_while_wiring_is_moved(motorcycle: Case) -> None:
    """No spark while the bars are turned either: the steps that follow are not all taken with the bars turning."""
    complaint = _complaint(motorcycle, "spark")
    turning = Seen("spark", put(motorcycle.harness, complaint.setting, moved="steering-head"), 0)
    assessment = motorcycle.assess([complaint, turning])
    proposal = motorcycle.next_step(assessment, Bench(Setting()))
    steps = [proposal.step, *(item.step for item in proposal.others)]
    assert not any(step is not None and step.kind == "watch" and step.setting.moved and step.setting.lifted for step in steps)
    without = motorcycle.next_step(motorcycle.assess([complaint]), Bench(Setting()))
    assert proposal.step == without.step


def test_two_leads_crossed_after_reassembly_are_named(motorcycle: Case, play) -> None:
    """With a connector that was worked on, crossed leads are named as such at the first mend."""
    parts = dict(motorcycle.harness.parts)
    parts["head-plug"] = parts["head-plug"].model_copy(update={"altered": 2025})
    case = Case(motorcycle.harness.model_copy(update={"parts": parts}), year=2026)
    done = play(case, "horn-sounds", [("tail-4 crossed feed-2 at head-plug", 0.0)])
    assert done.mends == ("put right tail-4 and feed-2, crossed at head-plug",)


# ---- 9 to 12: contradiction, two faults, groups, order ----


def test_readings_that_contradict_each_other_name_the_odd_one(motorcycle: Case) -> None:
    """One net read once at 3 ohms and three times over range: no confident answer, the 3 ohms named."""
    complaint = _complaint(motorcycle, "spark")
    dead = _dead(motorcycle, complaint)
    read = [Measured("ohms", "stop-splice", "frame", dead, 3.0)]
    read += [Measured("ohms", point, "frame", dead, math.inf) for point in ("module-plug.4a", "head-plug.1a", "key-plug.1a")]
    posterior = motorcycle.assess([complaint, *read]).posterior
    assert posterior is not None
    assert posterior.best is not None
    assert posterior.best.share < 0.5
    odd = odd_reading(posterior)
    assert odd is not None
    assert odd.evidence == read[0]


def test_two_faults_are_found_one_after_the_other(motorcycle: Case, play) -> None:
    """An open earth and a leaking stop lead: two mends, both right, and the job goes on after the first."""
    done = play(motorcycle, "spark", [("stop-2 leak", 4.0), ("mod-earth open", 0.0)])
    assert sorted(done.mends) == ["renew mod-earth", "renew stop-2"]
    assert not done.machine.faults


def test_a_mend_retires_the_readings_it_may_have_changed(motorcycle: Case) -> None:
    """If renewing the stop lead was right its old ohms no longer count; a reading elsewhere counts in any case."""
    complaint = _complaint(motorcycle, "spark")
    dead = _dead(motorcycle, complaint)
    near = Measured("ohms", "stop-splice", "frame", dead, 4.2)
    far = Measured("ohms", "ignition-coil.4", "spark-plug.HT", dead, 5000.0)
    history = [complaint, near, far, Mended("renew stop-2")]
    assert motorcycle.after_mends.certain([*history, complaint]) == (2, 4)
    works = Seen("spark", complaint.setting, 2)
    assert motorcycle.assess([*history, works]).dropped == (0, 1)


def test_what_was_read_before_a_vain_mend_counts_again(motorcycle: Case) -> None:
    """A lead of 145 ohms read once as 0.8, a slip: its joint is remade in vain, and the lead is not lost from sight."""
    complaint = _complaint(motorcycle, "spark")
    dead = _dead(motorcycle, complaint)
    off = put(motorcycle.harness, dead, lifted=["mod-coil.to"])
    before = [
        complaint,
        Measured("ac", "ignition-module.CH", "ignition-module.E", complaint.setting, 104.5),
        Measured("ac", "ignition-module.TR", "ignition-module.E", complaint.setting, 0.6),
        Measured("ohms", "module-plug.5b", "ignition-module.OUT", dead, 143.0),
        Measured("ohms", "module-plug.5a", "frame", dead, 0.7),
        Measured("ohms", "mod-coil.to", "frame", off, 142.6),
        Measured("ohms", "mod-coil.from", "mod-coil.to", off, 0.83),
    ]
    joint, lead = "remake the joint mod-coil.from", "renew mod-coil"
    first = motorcycle.assess(before)
    assert first.posterior is not None
    assert first.posterior.answers[0].mends == (joint,)
    assert not first.in_vain
    after = [*before, Mended(joint), complaint]
    known = motorcycle.assess(after)
    assert known.in_vain == (joint,)
    assert known.dropped == ()
    others = [name for name in motorcycle.mends() if name not in (joint, lead)]
    assert _share(known, lead) > max(_share(known, name) for name in others)
    again = motorcycle.assess([*after, Measured("ohms", "mod-coil.from", "mod-coil.to", dead, 145.4)])
    assert again.posterior is not None
    assert again.posterior.answers[0].mends == (lead,)
    assert again.posterior.answers[0].share > 0.8


def test_what_was_just_mended_is_not_looked_at_and_old_readings_may_be_taken_again(motorcycle: Case) -> None:
    """After a vain mend the readings before it are worth another go; a joint that was just remade is not worth a look."""
    complaint = _complaint(motorcycle, "spark")
    dead = _dead(motorcycle, complaint)
    short = Measured("ohms", "module-plug.4a", "frame", dead, 4.2)
    mend = next(fault.mend for fault in motorcycle.faults if fault.mend.id == "renew stop-2")
    for bench in (Bench(dead), Bench(dead).after(motorcycle.harness, Step("mend", dead, mend=mend))):
        known = motorcycle.assess([complaint, short, Mended(mend.id), complaint])
        assert known.posterior is not None
        chooser = Chooser(known.posterior, bench, [complaint])
        looks = {item.step.element for item in chooser.candidates() if item.step.kind == "look"}
        assert ("stop-2" in looks) is not bool(bench.renewed)
    assert known.in_vain == (mend.id,)
    assert chooser.wanted(Step("measure", dead, "ohms", "module-plug.4a", "frame"))


def test_a_mend_that_was_right_lets_the_readings_before_it_rest(motorcycle: Case) -> None:
    """The short is gone once its lead is renewed, and something else keeps the spark away: the old ohms stay retired."""
    complaint = _complaint(motorcycle, "spark")
    dead = _dead(motorcycle, complaint)
    short = [Measured("ohms", point, "frame", dead, 4.2) for point in ("stop-splice", "module-plug.4a")]
    gone = [replace(item, value=math.inf) for item in short]
    known = motorcycle.assess([complaint, *short, Mended("renew stop-2"), complaint, *gone])
    assert known.in_vain == ()
    assert known.dropped == (0, 1, 2)


def test_what_cannot_be_split_is_given_as_a_group(motorcycle: Case, play) -> None:
    """With most places out of reach the job ends in a group, and says what would split it."""
    barred = frozenset(motorcycle.harness.places) - {"steering-head"}
    done = play(motorcycle, "spark", [("stop-2 leak", 4.0)], bench=Bench(Setting(), barred=barred))
    history = [_complaint(motorcycle, "spark"), *(action.result for action in done.actions)]
    proposal = motorcycle.next_step(motorcycle.assess(history), Bench(Setting(), barred=barred))
    assert len(proposal.group) > 1
    assert proposal.would_split is not None


def test_the_order_of_readings_does_not_matter(motorcycle: Case) -> None:
    """The same readings in another order give the same shares to 1e-9."""
    complaint = _complaint(motorcycle, "spark")
    dead = _dead(motorcycle, complaint)
    readings = [Measured("ohms", point, "frame", dead, value) for point, value in (("stop-splice", 4.2), ("head-plug.1a", 4.4))]
    one = motorcycle.assess([complaint, *readings]).posterior
    two = motorcycle.assess([*reversed(readings), complaint]).posterior
    assert one is not None
    assert two is not None
    assert np.abs(one.chance - two.chance).max() < 1e-9


def test_the_test_sequencing_table_reaches_its_optimum() -> None:
    """Pattipati and Alexandridis 1990 (table from memory): optimum 2.18, one-step greedy 2.86."""
    table = [(0, 0, 0, 0, 0), (0, 1, 0, 0, 1), (0, 0, 1, 1, 0), (1, 0, 0, 1, 1), (1, 1, 0, 0, 0), (1, 1, 1, 1, 0)]
    outcome = [[row[step] for row in table] for step in range(5)]
    plan = Plan([0.70, 0.01, 0.02, 0.10, 0.05, 0.12], list(range(6)), outcome, [1] * 5, [0] * 6, trials=False)
    assert expected_cost(plan) == pytest.approx(2.18)
    assert greedy_cost(plan) == pytest.approx(2.86)


def test_a_spark_that_stays_away_with_the_likeliest_lead_off_does_not_condemn_the_next_lead(outboard: Case, play) -> None:
    """A leaking stop lead and something else: the spark stays away with that lead off, and the lead beside it is sound."""
    done = play(outboard, "spark-top", [("stop-3 leak-at-volts", 545.0), ("plug-top worn", 0.0)])
    assert not done.machine.faults
    assert "renew stop-1" not in done.mends


def test_a_reading_that_only_two_faults_together_make_falls_with_the_first_mend(outboard: Case, play) -> None:
    """Two leads open one after the other: what reads over range because of both is not held against the machine mended."""
    complaint = _complaint(outboard, "stop-by-button")
    pressed = put(outboard.harness, complaint.setting, battery=False, engine="still")
    over = Measured("ohms", "stop-button.2", "frame", pressed, math.inf)
    assert outboard.assess([complaint, over, Mended("renew button-earth-1")]).dropped == (0, 1)
    done = play(outboard, "stop-by-button", [("button-earth-1 open", 0.0), ("stop-2.to open", 0.0)])
    assert not done.machine.faults
    assert len(done.mends) <= 3


def test_of_two_mends_the_one_that_more_answers_need_comes_first(outboard: Case, play) -> None:
    """Two leads open: wherever two mends are one answer, what is surer is mended first."""
    done = play(outboard, "stop-by-button", [("button-earth-1 open", 0.0), ("stop-2.to open", 0.0)])
    complaint, steps = _complaint(outboard, "stop-by-button"), 0
    for action in done.actions:
        if action.assessment.posterior is None:
            continue
        chooser = Chooser(action.assessment.posterior, Bench(complaint.setting), [complaint])
        for group in range(len(chooser.groups)):
            one, *more = [step.mend for step in chooser.mend_steps(group) if step.mend is not None]
            steps += len(more)
            assert all(_share(action.assessment, one.id) >= _share(action.assessment, other.id) - 1e-9 for other in more)
    assert steps
