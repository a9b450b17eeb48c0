"""The verbs, called as another program calls them."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

import ohmtrail
import ohmtrail.diagnosis
import ohmtrail.errors
from ohmtrail import workbench
from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Measured, Mended, Seen, repeats
from ohmtrail.diagnosis.steps import Step
from ohmtrail.errors import InputError, JobError, ReadingError, UnknownName
from ohmtrail.workbench.outcomes import step_outcomes

MACHINE = Path(__file__).parents[1] / "circuits" / "outboard.yaml"
NOW = datetime(2031, 5, 4, 9, 12, tzinfo=UTC)


@pytest.fixture
def job(tmp_path: Path) -> workbench.OpenJob:
    workbench.start(tmp_path / "a.job", harness=MACHINE, complaint="spark-top absent", now=NOW)
    return workbench.open_job(tmp_path / "a.job")


def _bytes(job: workbench.OpenJob) -> bytes:
    return Path(job.path).read_bytes()


def _answer(step: Step | None) -> str:
    """Something that may be answered to a step."""
    assert step is not None
    return {"watch": "works", "look": "sound"}.get(step.kind) or {"ohms": "OL", "volts": "12.4", "ac": "120"}[step.quantity]


def test_a_whole_job_by_its_own_proposals(job: workbench.OpenJob) -> None:
    """A planted fault is found, mended and proven, each proposal answered with a bare value or evidence."""
    machine = workbench.simulate(ohmtrail.load_harness(MACHINE), "stop-1 leak", severity=8.0, year=2031)
    for _ in range(15):
        shown = workbench.next_step(job, now=NOW)
        step = shown.proposal.step
        if step is None:
            break
        if step.kind == "mend":
            assert step.mend is not None
            machine.mend(step.mend.id)
            made = workbench.mend(job, now=NOW)
            assert made.events[0].what == Mended(step.mend.id)
            continue
        assert shown.cautions or step.kind == "look"
        made = workbench.read(job, machine.take(step), now=NOW)
        assert made.events[0].number == shown.number
    standing = workbench.suspects(job)
    assert standing.assessment.proven
    assert Mended("renew stop-1") in standing.job.history


def test_several_complaints(tmp_path: Path) -> None:
    """Each function that fails is evidence from the start."""
    made = workbench.start(tmp_path / "a.job", harness=MACHINE, complaint=["spark-top absent", "spark-bottom absent"], now=NOW)
    assert [event.complaint for event in made.events] == [True, True]


@pytest.mark.parametrize(
    ("complaint", "said"),
    [("spark-top works", "no complaint"), ("ohms E1 frame 3 with battery off", "no function"), ("spork", "spark-top")],
)
def test_what_is_no_complaint(tmp_path: Path, complaint: str, said: str) -> None:
    """A job begins with a function that fails; nothing is left behind where it does not."""
    with pytest.raises(InputError, match=said):
        workbench.start(tmp_path / "a.job", harness=MACHINE, complaint=complaint, now=NOW)
    assert not (tmp_path / "a.job").exists()


def test_lines_are_stored_together_or_not_at_all(job: workbench.OpenJob) -> None:
    """Each line is read with the machine as the one before left it; one bad line stores none."""
    text = "ohms stop-1.from frame 3.2 with stop-1.from lifted, battery off\nohms E1 frame 0.1\nnote hello\n"
    made = workbench.read(job, text, now=NOW)
    assert [event.number for event in made.events] == [2, 3]
    assert made.notes == ("hello",)
    second = made.events[1].what
    assert isinstance(second, Measured)
    assert second.setting == Setting(battery=False, lifted=frozenset({"stop-1.from"}))
    before = _bytes(job)
    with pytest.raises(ReadingError, match=r"line 2: .*nothing was stored"):
        workbench.read(job, "ohms E1 frame 0.2\nohms E1 E99 3\n", now=NOW)
    with pytest.raises(ReadingError, match="no reading was given"):
        workbench.read(job, "\n", now=NOW)
    assert _bytes(job) == before


@pytest.mark.parametrize(
    "text",
    [
        "ohms E1 frame 3",
        "volts E1 frame 3 with battery off",
        "ohms stop-1.from frame 3 with battery off",
        "ohms stop-1.frm frame 3 with battery off",
        "volts E1 frame 3 with lanyard sideways",
        "ohms E1 frame 3 parsecs with battery off",
        "purple",
    ],
)
def test_bad_input_leaves_the_file_as_it_was(job: workbench.OpenJob, text: str) -> None:
    """One clear sentence, and not a byte is written."""
    before = _bytes(job)
    with pytest.raises(InputError) as caught:
        workbench.read(job, text, now=NOW)
    assert "\n" not in str(caught.value)
    assert _bytes(job) == before


def test_contradictions_are_named(job: workbench.OpenJob) -> None:
    """Readings that cannot all be true: no confident answer, and the odd one named; struck, all is well."""
    workbench.read(job, "spark-top works with stop-1.from lifted", now=NOW)
    workbench.read(job, "spark-top absent with stop-1.from lifted", now=NOW)
    found = workbench.suspects(job)
    assert found.posterior is not None and found.posterior.best is not None
    assert found.posterior.best.share < 0.5
    assert found.odd is not None
    number = found.number_of(found.odd.evidence)
    assert number in (2, 3)
    assert workbench.strike(job, 3, now=NOW).standing.odd is None


def test_skipping_and_places_that_cannot_be_reached(job: workbench.OpenJob) -> None:
    """What is not wanted is not proposed again; what cannot be reached is not needed."""
    with pytest.raises(JobError, match="nothing is proposed"):
        workbench.skip(job, now=NOW)
    first = workbench.next_step(job, now=NOW)
    workbench.skip(job, now=NOW)
    second = workbench.next_step(job, now=NOW)
    assert second.proposal.step not in (None, first.proposal.step)
    workbench.reachable(job, "Cowl", can=False, now=NOW)
    assert "cowl" not in workbench.next_step(job, now=NOW).opens
    with pytest.raises(UnknownName, match="cowl"):
        workbench.reachable(job, "cowll", can=False, now=NOW)


def test_a_proposal_that_cannot_be_kept_is_still_shown(job: workbench.OpenJob, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk does not keep anybody from reading on."""

    def full(*args: object, **kwargs: object) -> None:
        raise ohmtrail.errors.StorageError("no room")

    monkeypatch.setattr("ohmtrail.workbench.asking.add_proposal", full)
    shown = workbench.next_step(job, now=NOW)
    assert shown.proposal.step is not None
    assert not shown.kept


def test_why_weighs_every_reading(job: workbench.OpenJob) -> None:
    """A weight for each reading of each leading suspect, and the reading that ruled out the ignition."""
    workbench.read(job, "spark-top works with stop-1.from lifted", now=NOW)
    found = workbench.why(job)
    assert len(found.explained) == 3
    assert all(len(item.weights) == 2 for item in found.explained)
    gone = {mend: item for item in found.ruled_out for mend in item.mends}
    assert gone["exchange ignition-module"].evidence == found.standing.job.history[1]
    only = workbench.why(job, about="stop-3")
    assert only.explained[0].answer.mends == ("renew stop-3",)
    with pytest.raises(UnknownName):
        workbench.why(job, about="flux-capacitor")


def test_a_mend_comes_with_its_proof(job: workbench.OpenJob) -> None:
    """The complaint is to be tried, and the readings that showed the fault have their sound values."""
    workbench.read(job, "ohms stop-3.to frame 4 with stop-3.to lifted, stop-3.from lifted, battery off", now=NOW)
    made = workbench.mend(job, "stop-3", now=NOW)
    assert made.events[0].what == Mended("renew stop-3")
    assert [seen.function for seen in made.standing.assessment.to_prove] == ["spark-top"]
    assert made.proofs[0].number == 2
    assert made.proofs[0].sound.low > 1e4
    assert 2 in made.standing.dropped
    shown = workbench.next_step(job, now=NOW)
    assert shown.proposal.step is not None and shown.proposal.step.function == "spark-top"
    assert workbench.read(job, "works", now=NOW).standing.assessment.proven


def test_a_proof_shows_only_what_was_not_sound(job: workbench.OpenJob) -> None:
    """A reading that is as on a sound machine shows no fault, and a reading that was taken twice is shown once."""
    leak = "ohms stop-3.to frame 4 with stop-3.to lifted, stop-3.from lifted, battery off"
    sound = "ohms stop-1.to frame OL with stop-1.to lifted, stop-1.from lifted, battery off"
    workbench.read(job, "\n".join([leak, leak.replace("frame 4 ", "frame 4.1 "), sound]), now=NOW)
    made = workbench.mend(job, "stop-3", now=NOW)
    assert [item.before.red for item in made.proofs if item.before.red == "stop-3.to"] == ["stop-3.to"]  # type: ignore[union-attr]
    assert all("stop-1.to" not in (item.before.red, item.before.black) for item in made.proofs)  # type: ignore[union-attr]
    numbers = [made.standing.number_of(event.what) for event in made.standing.job.counted]
    assert numbers == sorted({number for number in numbers if number})


@pytest.mark.parametrize(("name", "error"), [("", JobError), ("renew stop-99", UnknownName), ("stop-plug", UnknownName)])
def test_a_mend_must_be_one(job: workbench.OpenJob, name: str, error: type[Exception]) -> None:
    """No mend proposed, or none of that name: nothing is recorded."""
    before = _bytes(job)
    with pytest.raises(error):
        workbench.mend(job, name, now=NOW)
    assert _bytes(job) == before


def test_outcomes_cover_what_may_happen(job: workbench.OpenJob) -> None:
    """Bands meet at their edges and hold nearly all of the chance."""
    standing = workbench.suspects(job)
    assert standing.posterior is not None
    step = ohmtrail.diagnosis.Step("measure", Setting(engine="cranking"), "ac", "ignition-module.CH", "ignition-module.E")
    bands = step_outcomes(standing.posterior, step)
    assert len(bands) > 1
    assert bands[0].low == -float("inf") and bands[-1].high == float("inf")
    assert [one.high for one in bands[:-1]] == [two.low for two in bands[1:]]
    assert sum(item.chance for item in bands) == pytest.approx(1.0, abs=0.02)


def test_check_tells_place_and_kind() -> None:
    """Findings come with line and column, the serious ones first; text will do for a file."""
    text = MACHINE.read_text(encoding="utf-8").replace("size: 0.75 mm2, ", "", 1)
    found = workbench.check("given", text=text)
    assert [(item.code, item.serious) for item, _, _ in found.findings] == [("assumed", False)]
    assert found.findings[0][1] > 1
    assert workbench.check(MACHINE).findings == ()
    with pytest.raises(InputError, match="did you mean"):
        workbench.check(MACHINE.with_name("outbord.yaml"))


def test_trace_in_another_setting(job: workbench.OpenJob) -> None:
    """A function by a part of its name, in its own setting or another, of a harness or of a job."""
    assert workbench.trace(MACHINE, "spark-top").trace.of("main")[0].conducts
    pulled = workbench.trace(job.path, "SPARK-TOP", setting=["lanyard pulled"])
    assert ("lanyard", "pulled") in pulled.setting.positions
    side = [route for route in pulled.trace.of("side") if "lanyard.2" in route.points]
    assert any(route.conducts for route in side)
    with pytest.raises(UnknownName, match="spark-top"):
        workbench.trace(MACHINE, "sparktop")


def test_simulate_refuses_what_is_no_fault() -> None:
    """An unknown fault is answered with the nearest; a severity is above nought."""
    harness = ohmtrail.load_harness(MACHINE)
    with pytest.raises(UnknownName, match="stop-1 leak"):
        workbench.simulate(harness, "stop-1 leek", year=2031)
    with pytest.raises(InputError, match="above nought"):
        workbench.simulate(harness, "stop-1 leak", severity=0.0, year=2031)


def test_the_demo_plays_any_fault() -> None:
    """Another machine, another fault: the same code, to the proof, and the same again for the same seed."""
    played = []
    for _ in range(2):
        demo = workbench.demo(MACHINE, fault="lantern-1 open", seed=3, year=2031)
        steps = list(workbench.play(demo))
        assert workbench.proven(steps, demo)
        assert isinstance(demo.complaint, Seen)
        played.append([step.result for step in steps])
    assert played[0] == played[1]
    with pytest.raises(InputError, match="still works"):
        workbench.demo(MACHINE, function="lantern-light", fault="stop-1 leak", year=2031)


def test_shipped_machines_are_there() -> None:
    """Every machine of the project can be named."""
    assert Path(workbench.shipped("outboard")).is_file()
    with pytest.raises(UnknownName, match="outboard"):
        workbench.shipped("outbord")


def test_a_copy_of_an_example_is_offered_once(tmp_path: Path) -> None:
    """A machine of the folder's own stands first; what comes with Ohmtrail says so, unless the folder holds the same."""
    (tmp_path / "outboard.yaml").write_bytes(Path(MACHINE).read_bytes())
    (tmp_path / "mine.yaml").write_text(Path(MACHINE).read_text(encoding="utf-8").replace("Skerry 9", "Skerry 10"), encoding="utf-8")
    offered = workbench.harnesses(tmp_path)
    assert [item.example for item in offered] == [False, False, True, True, True]
    assert [item.machine for item in offered[:2]] == ["Skerry 10 outboard", "Skerry 9 outboard"]


def test_public_names() -> None:
    """Everything the package promises is there; anything else is not."""
    for name in ohmtrail.__all__:
        assert getattr(ohmtrail, name) is not None
    with pytest.raises(AttributeError):
        _ = ohmtrail.flux_capacitor


def test_a_complaint_whose_circuit_has_no_answer_begins_no_job(tmp_path: Path) -> None:
    """A relay wired to chatter by the file: one sentence with the remedy, and nothing is written."""
    text = (MACHINE.parent / "ride-on-mower.yaml").read_text(encoding="utf-8")
    text = text.replace("{from: start-relay.85, to: E1,", "{from: start-relay.85, to: solenoid.50,")
    text = text.replace("{from: start-relay.87, to: solenoid.50,", "{from: start-relay.87, to: E1,")
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"start-relay chatters.* crank: put the file right first, 'ohmtrail check .*wrong.yaml'"):
        workbench.start(tmp_path / "b.job", harness=wrong, complaint="crank absent", now=NOW)
    assert not (tmp_path / "b.job").exists()


def test_a_request_that_comes_twice_is_recorded_once(job: workbench.OpenJob) -> None:
    """A mark of the request in the file makes a second sending harmless, also after a restart."""
    shown = workbench.next_step(job, now=NOW)
    answers = shown.standing.job.records + 1
    said = _answer(shown.proposal.step)
    for _ in range(2):
        made = workbench.read(job, said, now=NOW, token="k1", answers=answers)
        assert [event.number for event in made.events] == [2]
    assert len(workbench.read(job.path, said, now=NOW, token="k1").standing.job.events) == 2
    workbench.next_step(job, now=NOW)
    for _ in range(2):
        workbench.skip(job, now=NOW, token="k2")
        workbench.reachable(job, "cowl", can=False, now=NOW, token="k3")
        workbench.mend(job, "renew stop-1", now=NOW, token="k4")
        workbench.strike(job, 3, now=NOW, token="k5")
        made = workbench.read(job, "note one\nspark-bottom works\nnote two", now=NOW, token="k6")
        workbench.undo(job, now=NOW, token="k7")
    state = job.state()
    assert [event.struck for event in state.events] == [False, False, True, True]
    assert state.notes == ("one", "two")
    assert [doing.place for doing in state.doings] == ["", "", "cowl"]


def test_a_late_answer_is_to_the_step_it_answers(job: workbench.OpenJob) -> None:
    """What was read for one proposal stays a reading of that one, whatever was proposed or answered since."""
    first = workbench.next_step(job, now=NOW)
    number = first.standing.job.records + 1
    workbench.skip(job, now=NOW)
    second = workbench.next_step(job, now=NOW)
    assert second.proposal.step != first.proposal.step
    made = workbench.answer(job, _answer(first.proposal.step), now=NOW, answers=number)
    assert made.recorded is not None
    step, what = first.proposal.step, made.recorded.events[0].what
    assert step is not None
    assert not isinstance(what, Mended)
    assert repeats(step, what)


def test_undo_goes_back_one_by_one(job: workbench.OpenJob) -> None:
    """Each undo takes back one thing; a struck reading stays in the file; the complaint stays."""
    workbench.read(job, "spark-bottom works", now=NOW)
    workbench.reachable(job, "cowl", can=False, now=NOW)
    workbench.mend(job, "renew stop-1", now=NOW)
    assert workbench.undo(job, now=NOW).doing is not None
    assert job.state().events[2].struck
    workbench.undo(job, now=NOW)
    assert job.state().bench.barred == frozenset()
    workbench.undo(job, now=NOW)
    assert job.state().events[1].struck
    with pytest.raises(JobError, match="nothing to take back"):
        workbench.undo(job, now=NOW)


@pytest.mark.parametrize(
    ("said", "made"),
    [
        ("1", ("spark-top absent",)),
        ("2 weak, no spark-top", ("spark-bottom weak", "spark-top absent")),
        ("spark-bottom sometimes", ("spark-bottom sometimes",)),
        ("1 3", ("spark-top sometimes",)),
    ],
)
def test_what_the_customer_says(said: str, made: tuple[str, ...]) -> None:
    """Numbers and names of functions, with how they fail."""
    assert workbench.complaints(workbench.functions(MACHINE), said) == made


def test_complaints_that_are_none() -> None:
    """Nothing said, or no such function."""
    harness = workbench.functions(MACHINE)
    for said in ("", " , ", "0", "99 weak", "teapot"):
        with pytest.raises(InputError):
            workbench.complaints(harness, said)


def test_working_ahead_changes_nothing(job: workbench.OpenJob) -> None:
    """It records nothing, stops when somebody wants the job, and what follows is what would have followed."""
    step = workbench.next_step(job, now=NOW).proposal.step
    before = _bytes(job)
    asked: list[bool] = []

    def thrice() -> bool:
        asked.append(True)
        return len(asked) < 3

    workbench.work_ahead(job, thrice)
    assert len(asked) == 3
    workbench.work_ahead(job)
    assert _bytes(job) == before
    again = workbench.next_step(job, now=NOW)
    assert again.proposal.step == step
    workbench.read(job, _answer(again.proposal.step), now=NOW)
    assert workbench.next_step(job, now=NOW).proposal == workbench.next_step(job.path, now=NOW).proposal
