"""The job on disk: what is written comes back, what cannot be used leaves the file as it was."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ohmtrail import journal
from ohmtrail.circuit import Setting
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Evidence, Looked, Measured, Mended, Seen, Step
from ohmtrail.errors import BusyError, JobError, UnknownName
from ohmtrail.faults import Mend
from ohmtrail.job import (
    JobState,
    add_events,
    add_harness,
    add_mend,
    add_note,
    add_place,
    add_proposal,
    add_skip,
    add_strike,
    begin,
    check_fits,
    read_job,
)
from ohmtrail.job.file import harness_name
from ohmtrail.job.records import evidence_data, evidence_of, setting_data, setting_of, step_data, step_of

MACHINE = Path(__file__).parents[1] / "circuits" / "outboard.yaml"
NOW = datetime(2031, 5, 4, 9, 12, tzinfo=UTC)
FULL = Setting(
    positions=(("lanyard", "pulled"),),
    parted=frozenset({"tiller-plug"}),
    lifted=frozenset({"stop-1.to", "stop-1.from"}),
    out=frozenset({"lantern"}),
    battery=False,
    engine="running",
    moved="tiller",
)
CRANKING = Setting(engine="cranking")


@pytest.fixture
def machine(tmp_path: Path) -> Path:
    path = tmp_path / "machine.yaml"
    path.write_bytes(MACHINE.read_bytes())
    return path


@pytest.fixture
def job(tmp_path: Path, machine: Path) -> str:
    path = str(tmp_path / "a.job")
    _begin(path, machine)
    return path


def _begin(path: str, machine: Path, meter: Meter | None = None) -> None:
    begin(
        path,
        harness_path=str(machine),
        machine="Skerry",
        complaint="spark-top absent",
        seen=[Seen("spark-top", CRANKING, 0)],
        meter=meter or Meter(),
        year=2031,
        now=NOW,
    )


def _add(path: str, *items: Evidence) -> JobState:
    add_events(read_job(path), [(item, "as typed") for item in items], NOW)
    return read_job(path)


@pytest.mark.parametrize("setting", [Setting(), FULL, CRANKING])
def test_a_setting_comes_back(setting: Setting) -> None:
    """Every part of a setting survives its text."""
    assert setting_of(_frozen(setting_data(setting))) == setting


@pytest.mark.parametrize(
    "item",
    [
        Measured("ohms", "E1", "frame", FULL, 3.2),
        Measured("ohms", "E1", "frame", Setting(), math.inf),
        Measured("beep", "E1", "frame", Setting(), 1.0),
        Measured("volts", "E1", "frame", Setting(), flickers=True),
        Seen("spark-top", FULL, 1),
        Seen("spark-top", Setting(), 0, sometimes=True),
        Looked("stop-1", True),
        Looked("stop-1", False),
    ],
)
def test_evidence_comes_back(item: Evidence) -> None:
    """Every kind of evidence survives its text."""
    assert evidence_of(_frozen(evidence_data(item))) == item


@pytest.mark.parametrize(
    "step",
    [
        Step("measure", FULL, "ac", "E1", "frame"),
        Step("watch", CRANKING, function="spark-top"),
        Step("look", Setting(), element="stop-1"),
        Step("mend", Setting(), mend=Mend("renew stop-1", "stop-1", 12.0, ("cowl",))),
    ],
)
def test_a_step_comes_back(step: Step) -> None:
    """Every kind of step survives its text."""
    assert step_of(_frozen(step_data(step)), lambda name: Mend(name, "stop-1", 12.0, ("cowl",))) == step


def _frozen(data: object) -> dict[str, journal.Value]:
    """As a journal gives it back: tuples for lists."""
    return {key: _value(item) for key, item in data.items()} if isinstance(data, dict) else {}


def _value(item: object) -> journal.Value:
    if isinstance(item, dict):
        return _frozen(item)
    return tuple(_value(part) for part in item) if isinstance(item, list) else str(item)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"function": "spark-top", "seen": "purple"}, "purple"),
        ({"quantity": "smell", "red": "a", "black": "b", "value": "1"}, "smell"),
        ({"quantity": "ohms", "red": "a", "black": "b", "value": "much"}, "much"),
        ({"quantity": "ohms", "red": "a"}, "value"),
    ],
)
def test_a_foreign_record_is_named(data: dict[str, str], said: str) -> None:
    """A record that this program cannot have written is refused with what is wrong in it."""
    with pytest.raises(JobError, match=said):
        evidence_of(data)


def test_a_job_begins_with_its_complaint(job: str) -> None:
    """The first record holds the machine, its harness beside the job, and the complaint as evidence."""
    state = read_job(job)
    assert (state.start.machine, state.start.harness, state.start.year) == ("Skerry", "machine.yaml", 2031)
    assert state.start.date == "2031-05-04"
    assert [(event.number, event.complaint, event.minutes) for event in state.events] == [(1, True, 0.0)]
    assert state.history == (Seen("spark-top", CRANKING, 0),)
    assert state.bench.setting == Setting()


def test_a_job_file_can_be_read_by_a_person(job: str) -> None:
    """Plain words, with the format's version and the time of each record."""
    _add(job, Measured("ohms", "ignition-module.STOP", "frame", Setting(battery=False), math.inf))
    text = Path(job).read_text(encoding="utf-8")
    for line in ("ohmtrail: job", "version: 1", "record: reading", '  value: OL', '    battery: "off"', "said: as typed"):
        assert line in text
    assert text.count('at: "2031-05-04T09:12:00Z"') == 2


def test_nothing_is_overwritten(job: str, machine: Path) -> None:
    """A second job under the same name is refused and the first stays."""
    before = Path(job).read_bytes()
    with pytest.raises(JobError, match="choose another name"):
        _begin(job, machine)
    assert Path(job).read_bytes() == before


def test_no_job_is_left_behind_where_its_harness_cannot_be_read(tmp_path: Path) -> None:
    """A beginning that fails leaves no file."""
    with pytest.raises(JobError, match="cannot be read"):
        _begin(str(tmp_path / "b.job"), tmp_path / "none.yaml")
    assert not (tmp_path / "b.job").exists()


def test_readings_move_the_bench(job: str) -> None:
    """The setting stays, the engine stands again, places stay open, minutes add up."""
    lifted = Setting(lifted=frozenset({"stop-1.from"}), engine="cranking")
    state = _add(job, Seen("spark-top", lifted, 2), Measured("ohms", "stop-1.from", "frame", replace(lifted, engine="still", battery=False), 3.2))
    assert state.bench.setting == Setting(lifted=frozenset({"stop-1.from"}), battery=False)
    assert "cowl" in state.bench.opened
    # the battery's box is opened for its lead; the cowl is open
    box = state.harness.places["boat"].reach
    assert 0 < state.events[2].minutes - box < state.events[1].minutes
    assert state.minutes == pytest.approx(sum(event.minutes for event in state.events))


def test_a_struck_reading_stays_and_no_longer_counts(job: str) -> None:
    """It keeps its number and its minutes; striking it twice, or what is not there, is refused."""
    state = _add(job, Looked("stop-1", True), Looked("stop-2", False))
    add_strike(state, 2, "slipped", NOW)
    state = read_job(job)
    assert [event.struck for event in state.events] == [False, True, False]
    assert state.history == (Seen("spark-top", CRANKING, 0), Looked("stop-2", False))
    assert state.minutes == pytest.approx(sum(event.minutes for event in state.events))
    assert "why: slipped" in Path(job).read_text(encoding="utf-8")
    for number, said in ((2, "struck already"), (9, "1 to 3"), (0, "1 to 3")):
        with pytest.raises(JobError, match=said):
            add_strike(state, number, "", NOW)


def test_a_proposal_waits_for_its_answer(job: str) -> None:
    """It is kept once, and closed by whatever is done next."""
    step = Step("watch", CRANKING, function="spark-bottom")
    add_proposal(read_job(job), step, NOW)
    state = read_job(job)
    assert state.proposed == step
    add_proposal(state, step, NOW)
    assert read_job(job).records == state.records
    assert _add(job, Looked("stop-1", True)).proposed is None


def test_what_is_not_wanted_or_not_reachable(job: str) -> None:
    """Skipped steps and barred places are part of the bench; a reading there opens the place again."""
    step = Step("look", Setting(), element="stop-1")
    add_skip(read_job(job), step, NOW)
    add_place(read_job(job), "flywheel", "unreachable", NOW)
    add_place(read_job(job), "cowl", "unreachable", NOW)
    state = read_job(job)
    assert state.bench.skipped == {step}
    assert state.bench.barred == {"flywheel", "cowl"}
    add_place(state, "flywheel", "reachable", NOW)
    assert read_job(job).bench.barred == {"cowl"}
    assert _add(job, Measured("ac", "ignition-module.CH", "frame", CRANKING, 80.0)).bench.barred == frozenset()


def test_mends_and_notes(job: str) -> None:
    """A mend is part of the history, a note is not."""
    add_mend(read_job(job), "renew stop-1", NOW)
    add_note(read_job(job), "left cover screw is missing", NOW)
    state = read_job(job)
    assert state.history[-1] == Mended("renew stop-1")
    assert state.events[-1].minutes > 0
    assert state.notes == ("left cover screw is missing",)


def test_a_changed_harness_is_noticed_and_can_be_accepted(job: str, machine: Path) -> None:
    """Nothing is read on a machine that is described otherwise, unless that is said."""
    machine.write_text(machine.read_text(encoding="utf-8") + "\n# a remark\n", encoding="utf-8")
    before = Path(job).read_bytes()
    with pytest.raises(JobError, match="--accept-changed"):
        read_job(job)
    assert Path(job).read_bytes() == before
    state = read_job(job, accept_changed=True)
    assert state.changed
    add_harness(state, NOW)
    assert not read_job(job).changed


def test_a_changed_harness_that_lost_a_name_is_named(job: str, machine: Path) -> None:
    """Accepting a change does not hide that a reading is at a place that is gone."""
    _add(job, Measured("ohms", "stop-1.from", "frame", Setting(battery=False, lifted=frozenset({"stop-1.from"})), 3.2))
    machine.write_text(machine.read_text(encoding="utf-8").replace("stop-1:", "stop-one:"), encoding="utf-8")
    with pytest.raises(JobError, match=r"record 2: no lead end 'stop-1.from'"):
        read_job(job, accept_changed=True)


def test_a_harness_that_is_gone(job: str, machine: Path) -> None:
    """One sentence that says where it was looked for."""
    machine.unlink()
    with pytest.raises(JobError, match=r"machine.yaml' of this job is gone"):
        read_job(job, accept_changed=True)


def test_a_job_moves_with_its_harness(tmp_path: Path, machine: Path) -> None:
    """The harness is found from the job file's folder, wherever both are taken."""
    assert harness_name(str(tmp_path / "jobs" / "a.job"), str(machine)) == "../machine.yaml"
    _begin(str(tmp_path / "a.job"), machine)
    moved = tmp_path / "elsewhere"
    moved.mkdir()
    for name in ("a.job", "machine.yaml"):
        (tmp_path / name).rename(moved / name)
    assert read_job(str(moved / "a.job")).start.machine == "Skerry"


def test_a_meter_comes_back(tmp_path: Path, machine: Path) -> None:
    """What a meter has beyond an ordinary one is kept."""
    meter = Meter(name="bench meter", clamp=True, rated_v=1000.0)
    _begin(str(tmp_path / "a.job"), machine, meter)
    assert read_job(str(tmp_path / "a.job")).start.meter == meter


def test_two_hands_on_one_job(job: str) -> None:
    """What was added since the job was read is not overlooked."""
    stale = read_job(job)
    _add(job, Looked("stop-1", True))
    with pytest.raises(BusyError, match="added to elsewhere"):
        add_note(stale, "late", NOW)


def test_a_later_kind_of_record_is_not_guessed_at(job: str) -> None:
    """A record of a newer program stops the reading, with its line."""
    journal.append(job, kind="job", version=1, record="hologram", data={"x": "1"}, now=NOW)
    with pytest.raises(JobError, match="newer Ohmtrail"):
        read_job(job)


def test_a_job_without_a_beginning(tmp_path: Path) -> None:
    """A file that was cut off before its first record says so."""
    path = str(tmp_path / "empty.job")
    journal.create(path, kind="job", version=1)
    with pytest.raises(JobError, match="ohmtrail start"):
        read_job(path)


@pytest.mark.parametrize(
    ("items", "said"),
    [
        ([Looked("stop-99", True)], "stop-99"),
        ([Seen("levitation", Setting(), 0)], "levitation"),
        ([Measured("amps", "stop-99", "stop-99", Setting(), 1.0)], "stop-99"),
        ([Measured("ohms", "E1", "E99", Setting(), 1.0)], "E99"),
        ([Seen("spark-top", Setting(parted=frozenset({"no-plug"})), 0)], "no-plug"),
    ],
)
def test_evidence_must_fit_the_machine(job: str, items: Sequence[Evidence], said: str) -> None:
    """Every name in a piece of evidence must be the machine's."""
    harness = read_job(job).harness
    for item in items:
        with pytest.raises(UnknownName, match=said):
            check_fits(harness, item)
