"""Results on paper and as JSON: whole instructions, at any width, with stable keys."""

import json
import math
import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.circuit import Network, Setting, function_setting, put
from ohmtrail.diagnosis import Bench, Step, cautions_for, places_of
from ohmtrail.diagnosis.steps import mending_minutes
from ohmtrail.errors import HarnessError, JobError, Mistake
from ohmtrail.faults import faults_of
from ohmtrail.harness import Harness, load_harness
from ohmtrail.reports import Next, Paper, as_json, demo_document, document, error_document
from ohmtrail.reports.asked import write_asked
from ohmtrail.reports.jobs import write_recorded, write_standing, write_why
from ohmtrail.reports.machine import write_checked, write_trace
from ohmtrail.reports.phrases import point_text
from ohmtrail.reports.played import write_ending, write_opening, write_played
from ohmtrail.reports.preparing import group_changes, step_changes
from ohmtrail.reports.settings import setting_changes, setting_kept

CIRCUITS = Path(__file__).parents[2] / "circuits"
MACHINE = CIRCUITS / "outboard.yaml"
NOW = datetime(2031, 5, 4, 9, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def harness() -> Harness:
    return load_harness(MACHINE)


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> workbench.OpenJob:
    path = tmp_path_factory.mktemp("job") / "a job.job"
    workbench.start(path, harness=MACHINE, complaint="spark-top absent", now=NOW)
    opened = workbench.open_job(path)
    workbench.read(opened, "ac ignition-module.CH ignition-module.E 7.2 with cranking\nnote cowl catch is worn", now=NOW)
    return opened


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Next:
    path = tmp_path_factory.mktemp("job") / "b job.job"
    workbench.start(path, harness=MACHINE, complaint="spark-top absent", now=NOW)
    return workbench.next_step(path, now=NOW)


def _text(write: Callable[[Paper], None], *, width: int = 80, plain: bool = False) -> str:
    paper = Paper(width, plain=plain)
    write(paper)
    for line in paper.lines:
        assert len(line) <= width
    return str(paper)


def test_a_proposal_is_a_whole_instruction(asked: Next) -> None:
    """Machine, minutes, number, places and how to open them, setting, cautions, suspects, how to answer."""
    text = _text(lambda paper: write_asked(paper, asked))
    for said in ("Skerry 9 outboard", "min so far", " 2  ", "Open", "lift the cowl off", "Set", "Careful:", "not listed", "%"):
        assert said in text
    assert "ohmtrail read '" in " ".join(text.split())  # the path has a blank
    assert "--skip" in text


@pytest.mark.parametrize("width", [40, 60, 80, 100])
@pytest.mark.parametrize("plain", [True, False])
def test_everything_fits(job: workbench.OpenJob, asked: Next, width: int, plain: bool) -> None:
    """No line is wider than the terminal, and plain text is ASCII."""
    standing, why = workbench.suspects(job), workbench.why(job)
    trace = workbench.trace(MACHINE, "spark-top")
    for write in (
        lambda paper: write_asked(paper, asked),
        lambda paper: write_standing(paper, standing),
        lambda paper: write_why(paper, why),
        lambda paper: write_trace(paper, trace),
    ):
        text = _text(write, width=width, plain=plain)
        assert text.isascii() or not plain


def test_readings_are_numbered(job: workbench.OpenJob) -> None:
    """The complaint, each reading with its minutes, and notes."""
    standing = workbench.suspects(job)
    text = _text(lambda paper: write_standing(paper, standing))
    assert " 1   spark-top: fails  (engine cranking)  complaint" in text
    assert "ac ignition-module.CH to ignition-module.E: 7.2 V" in text
    assert "note: cowl catch is worn" in text
    assert "mend: renew stop-" in text


def test_why_is_a_table(job: workbench.OpenJob) -> None:
    """For each reading: sound, if this, how it speaks; and what was ruled out by which."""
    why = workbench.why(job)
    text = _text(lambda paper: write_why(paper, why))
    for said in ("if sound", "if this", "speaks", "for, ", "Ruled out", "by reading 2"):
        assert said in text


def test_a_recording_says_what_is_next(tmp_path: Path) -> None:
    """What was stored, the new state, the next command; for a mend, what proves it."""
    made = workbench.start(tmp_path / "a.job", harness=MACHINE, complaint="spark-top absent", now=NOW)
    text = _text(lambda paper: write_recorded(paper, made))
    assert text.startswith("Begun 1")
    assert "Next: ohmtrail next" in " ".join(text.split())
    opened = workbench.open_job(tmp_path / "a.job")
    workbench.read(opened, "ohms stop-3.to frame 4 with stop-3.to lifted and stop-3.from lifted and battery off", now=NOW)
    mended = workbench.mend(opened, "stop-3", now=NOW)
    text = _text(lambda paper: write_recorded(paper, mended))
    for said in ("Stored 3", "renew stop-3", "Sound, they are", "over", "To prove: watch spark-top"):
        assert said in text
    struck = workbench.strike(opened, 2, now=NOW)
    assert "Struck 2" in _text(lambda paper: write_recorded(paper, struck))


def test_findings_are_at_most_twenty_of_a_kind() -> None:
    """Each with FILE:LINE:COL; the rest as a number."""
    checked = workbench.check("m.yaml", text=MACHINE.read_text(encoding="utf-8").replace("colour: ", "colour: Q"))
    text = _text(lambda paper: write_checked(paper, checked), width=100)
    assert text.startswith("m.yaml:")
    assert text.count("write IEC 60757 letters") == 20
    assert "and 17 more of the kind 'unread-colour'" in text
    assert "0 serious" in text


def test_findings_of_one_thing_are_told_as_one() -> None:
    """Eighteen leads of the car lack one fuse: one note with its lead, the others by name and line, all of them counted."""
    checked = workbench.check(CIRCUITS / "utility-car.yaml")
    bare = [found.path[1] for found, _, _ in checked.findings if found.code == "unfused"]
    assert len(bare) > 10
    text = " ".join(_text(lambda paper: write_checked(paper, checked), width=100).split())
    assert text.count("no fuse between") == text.count("The same of ") == 1
    assert all(re.search(rf"\b{lead} \(", text) for lead in bare)
    assert f"{len(bare)} to look at" in text


def test_each_fuse_has_a_note_of_its_own_with_one_remedy() -> None:
    """Two fuses that are too large are two notes; the fuse to fit is the one for the thinnest lead behind it."""
    text = (CIRCUITS / "utility-car.yaml").read_text(encoding="utf-8")
    large = re.sub(r"(kind: fuse[^}\n]*rating: )(?:5|15) A", r"\g<1>100 A", text)
    assert large != text
    found = [item for item, _, _ in workbench.check("car.yaml", text=large).findings if item.code == "large-fuse"]
    fuses = {item.shared for item in found}
    assert 1 < len(fuses) < len(found)
    for fuse in fuses:
        assert len({item.remedy for item in found if item.shared == fuse}) == 1
    shown = _text(lambda paper: write_checked(paper, workbench.check("car.yaml", text=large)), width=100)
    assert shown.count("is 100 A; lead ") == len({(item.shared, item.serious) for item in found})


def test_where_a_probe_goes(harness: Harness) -> None:
    """Part, colour and way of the leads; lifted ends and crimps as such."""
    rest = Setting()
    assert point_text(harness, "frame", rest) == "clean bare metal of the frame"
    assert "violet-white lead stop-1" in point_text(harness, "ignition-module.STOP", rest)
    assert point_text(harness, "stop-1.from", rest).startswith("crimp of the violet-white")
    assert point_text(harness, "stop-1.from", Setting(lifted=frozenset({"stop-1.from"}))).startswith("lifted end")


def test_how_a_setting_is_changed(harness: Harness) -> None:
    """One instruction for each thing, what goes back first, the battery before all."""
    before = Setting(lifted=frozenset({"stop-1.from"}), positions=(("lanyard", "pulled"),))
    after = Setting(parted=frozenset({"tiller-plug"}), battery=False, engine="still", moved="tiller")
    assert setting_changes(harness, before, after) == (
        "battery lead off, earth side",
        "put stop-1.from back on ignition-module.STOP",
        "part tiller-plug",
        "lanyard to fitted",
        "move the wiring at tiller",
    )


def test_everything_is_off_before_the_battery_lead_goes_on() -> None:
    """A key left at start would turn the starter as the lead touches the post; it goes back over after that."""
    car = load_harness(CIRCUITS / "utility-car.yaml")
    cranking = function_setting(car, car.functions["spark"])
    dead = put(car, cranking, battery=False, engine="still", positions={"points": "open"})
    made = setting_changes(car, dead, cranking)
    assert made[-4:] == ("key-switch to off", "battery lead on", "key-switch to start", "engine cranking")
    assert not any("points" in item for item in made)
    assert setting_kept(car, dead, cranking) == ()
    assert "points to open, the engine turned by hand" in group_changes(car, {}, Setting(), [Step("measure", dead, "ohms", "points.1", "frame")])
    assert "key-switch at start" in setting_kept(car, cranking, dead)


def test_a_mend_is_made_with_every_switch_at_rest() -> None:
    """Whatever was on for the readings is off while hands work; what the bench remembers follows."""
    car = load_harness(CIRCUITS / "utility-car.yaml")
    cranking = function_setting(car, car.functions["spark"])
    now = put(car, cranking, engine="still")
    mends = {fault.mend.element: fault.mend for fault in faults_of(Network.of(car), year=2026)}
    wiring, bulb = (Step("mend", cranking, mend=mends[name]) for name in ("ign-3", "fuse-1"))
    assert step_changes(car, Bench(now), wiring) == ("battery lead off, earth side", "key-switch to off")
    assert Bench(now).after(car, wiring).setting == Setting(battery=False)
    assert step_changes(car, Bench(now), bulb) == ("key-switch to off",)
    assert Bench(now).after(car, bulb).setting == Setting()
    assert "work-dead" in {item.id for item in cautions_for(car, wiring)}
    assert not {"turning-parts", "work-dead"} & {item.id for item in cautions_for(car, bulb)}


def test_a_mend_of_wiring_pays_for_the_battery_lead() -> None:
    """The lead comes off for the work where it is still on, its box opened; a fuse needs neither."""
    car = load_harness(CIRCUITS / "utility-car.yaml")
    mends = {fault.mend.element: fault.mend for fault in faults_of(Network.of(car), year=2026)}
    on, off = Bench(Setting(), frozenset(car.places)), Bench(Setting(battery=False), frozenset(car.places))
    assert mending_minutes(car, mends["ign-3"], on) == pytest.approx(mending_minutes(car, mends["ign-3"], off) + 1.0)
    assert mending_minutes(car, mends["fuse-1"], on) == pytest.approx(mending_minutes(car, mends["fuse-1"], off))
    there = next(part.at for part in car.parts.values() if part.kind == "battery")
    assert there in places_of(car, Step("mend", Setting(), mend=mends["ign-3"]), Bench(Setting()))


def test_with_the_battery_out_of_reach_a_mend_is_made_all_the_same() -> None:
    """Its lead stays on then: a box that is shut stands in the way of nothing but itself."""
    cycle = load_harness(CIRCUITS / "trail-motorcycle.yaml")
    there = next(part.at for part in cycle.parts.values() if part.kind == "battery")
    mend = next(fault.mend for fault in faults_of(Network.of(cycle), year=2026) if there not in fault.mend.places and fault.mend.element == "stop-2")
    shut = Bench(Setting(), barred=frozenset({there}))
    assert math.isfinite(mending_minutes(cycle, mend, shut))
    assert shut.after(cycle, Step("mend", Setting(), mend=mend)).setting.battery
    assert not Bench(Setting()).after(cycle, Step("mend", Setting(), mend=mend)).setting.battery


def test_no_hand_sets_what_oil_pressure_works() -> None:
    """The engine is started, the pressure puts the switch over; as the engine stops it falls back without a word."""
    car = load_harness(CIRCUITS / "utility-car.yaml")
    running = function_setting(car, car.functions["oil-lamp-goes-out"])
    assert setting_changes(car, Setting(), running) == (
        "key-switch to on",
        "engine running",
        "oil pressure puts oil-switch to pressure",
    )
    stopped = put(car, running, engine="still")
    assert dict(stopped.positions) == {"key-switch": "on"}
    assert put(car, running, positions={"engine": "still"}) == stopped
    assert setting_changes(car, running, put(car, stopped, battery=False)) == ("battery lead off, earth side",)
    assert dict(put(car, running, battery=False).positions)["oil-switch"] == "pressure"


def test_a_planted_job_reads_from_start_to_end() -> None:
    """Opening, each step with its result, the ending."""
    demo = workbench.demo(MACHINE, fault="lantern-1 open", seed=1, year=2031)
    steps = list(workbench.play(demo))
    opening = _text(lambda paper: write_opening(paper, demo))
    assert "lantern-1 is broken" in opening
    assert "qualified person" in opening
    for step in steps:
        assert "=> " in _text(lambda paper, step=step: write_played(paper, step))
    ending = _text(lambda paper: write_ending(paper, steps, proven=True))
    assert ending.startswith("Proven")
    made = _whole(demo_document(demo, steps, proven=True, exit_code=0))
    assert made["steps"][-1]["proof"] is True
    assert made["planted"]["fault"] == "lantern-1 open"


def _whole(made: dict[str, object]) -> dict[str, object]:
    """A document after a trip through strict JSON."""
    again = json.loads(json.dumps(made, allow_nan=False))
    assert isinstance(again, dict)
    assert again["schema"] == 1
    return again


def test_every_result_is_json(job: workbench.OpenJob, asked: Next) -> None:
    """No NaN, the promised keys, and none that the documentation does not name."""
    results = {
        "suspects": workbench.suspects(job),
        "next": asked,
        "why": workbench.why(job),
        "trace": workbench.trace(MACHINE, "spark-top"),
        "check": workbench.check(MACHINE),
        "schema": workbench.schema(),
    }
    made = {verb: _whole(document(verb, result)) for verb, result in results.items()}
    for verb, item in made.items():
        assert (item["command"], item["ok"], item["exit"]) == (verb, True, 0)
    documented = as_json.__doc__ or ""
    for verb in ("suspects", "next", "why"):
        for key in made[verb]:
            assert key in documented, key
        assert {"job", "readings", "suspects", "unlisted", "contradiction", "to_prove", "proven"} <= made[verb].keys()
    assert {"number", "step", "minutes", "outcomes", "cautions", "red_text"} <= dict(made["next"]["next"]).keys()  # type: ignore[call-overload]
    with pytest.raises(TypeError):
        document("none", object())


def test_errors_are_json() -> None:
    """Kind, sentence, exit; the mistakes of a harness file one by one."""
    told = _whole(error_document("read", JobError("no"), exit_code=2))
    assert (told["ok"], told["error"]) == (False, {"kind": "JobError", "message": "no"})
    mistakes = HarnessError([Mistake("m.yaml", 3, 7, "wrong", "x", "write y")])
    assert _whole(error_document("check", mistakes, exit_code=2))["error"]["mistakes"][0]["line"] == 3  # type: ignore[index]
    assert _whole(error_document("read", ValueError("no"), exit_code=70))["error"]["kind"] == "Bug"  # type: ignore[index]
