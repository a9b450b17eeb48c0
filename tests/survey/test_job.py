"""A survey in a job file: results, what is taken again, what turns it into a job, and nothing lost."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from ohmtrail import workbench
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Measured, Planted, PlantedFault
from ohmtrail.errors import JobError, ReadingError
from ohmtrail.faults import faults_of
from ohmtrail.job import begin
from ohmtrail.survey import Planned, Surveyor
from ohmtrail.workbench import OpenJob, next_step, read

NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
MACHINE = Path(__file__).parents[2] / "circuits" / "outboard.yaml"
Give = Callable[[str], Surveyor]


@pytest.fixture
def job(surveyor_of: Give, tmp_path: Path) -> OpenJob:
    """Give a job file that begins with the survey of the outboard."""
    surveyor, path = surveyor_of("outboard"), str(tmp_path / "skerry.job")
    plan = surveyor.plan()
    meter = Meter(clamp=True, in_series=True)
    begin(path, harness_path=str(MACHINE), machine=plan.harness.harness, complaint="", seen=(), meter=meter, year=2026, now=NOW, survey=plan)
    return OpenJob(path)


def _ohms(job: OpenJob, *, over: bool) -> int:
    """Number of the first ohms reading that is over range on a sound machine, or that is small."""
    return next(
        item.number
        for item in job.state().planned
        if item.sound is not None and item.step.quantity == "ohms" and not item.step.setting.moved and (item.sound.low > 1e6) == over
    )


def _typed(item: Planned) -> str:
    """A sound machine's reading as one would write it on paper."""
    assert item.sound is not None
    return "OL" if math.isinf(item.sound.value) else f"{item.sound.value:.3g}"


def test_the_plan_comes_back_as_it_was_written(job: OpenJob, surveyor_of: Give) -> None:
    """Steps, bands, places and minutes stand in the file."""
    for kept, made in zip(job.state().planned, surveyor_of("outboard").plan().planned, strict=True):
        assert (kept.number, kept.stage, kept.step, kept.sound, kept.opens) == (made.number, made.stage, made.step, made.sound, made.opens)
        assert kept.minutes == pytest.approx(made.minutes, abs=0.006)
    assert set(job.state().progress) == {"open"}


def test_paper_results_by_their_numbers(job: OpenJob) -> None:
    """Lines off the paper form land in their own settings, in any order; a number that is not there is refused."""
    planned = job.state().planned
    two = [planned[4], planned[1]]
    lines = [f"{item.number}: {_typed(item)}" for item in two]
    read(job, "\n".join(lines), now=NOW)
    assert [item.what.setting for item in job.state().events if isinstance(item.what, Measured)] == [item.step.setting for item in two]
    assert [state for state in job.state().progress if state != "open"] == ["in", "in"]
    with pytest.raises(ReadingError, match="999 is no reading of this survey: it has 1 to"):
        read(job, "999: 3.2", now=NOW)


def test_outside_once_is_taken_again(job: OpenJob) -> None:
    """The first reading outside its band is a complaint at once, is proposed again, and falls when two are inside."""
    number = _ohms(job, over=True)
    read(job, f"{number}: 40", now=NOW)
    standing = job.standing()
    assert standing.posterior is not None
    assert standing.job.progress[number - 1] == "again"
    asked = next_step(job, now=NOW)
    assert asked.planned is not None
    assert asked.planned.number == number
    assert asked.proposal.confirms
    read(job, "OL", now=NOW)
    assert job.standing().posterior is None
    assert next_step(job, now=NOW).planned.number == number  # type: ignore[union-attr]  # asserted by the line above it
    read(job, "OL", now=NOW)
    assert job.state().progress[number - 1] == "in"
    assert next_step(job, now=NOW).planned.number != number  # type: ignore[union-attr]
    assert len(job.state().events) == 3


def test_struck_readings_do_not_count(job: OpenJob) -> None:
    """A reading outside its band that is struck leaves the survey as it was."""
    number = _ohms(job, over=True)
    read(job, f"{number}: 40", now=NOW)
    workbench.strike(job, 1, now=NOW)
    assert job.standing().posterior is None
    assert set(job.state().progress) == {"open"}


def test_the_sign_of_a_current_says_nothing(job: OpenJob) -> None:
    """Amps at the battery may be entered without the sign that the lead's direction gives them."""
    item = next(item for item in job.state().planned if item.step.quantity == "amps" and item.step.setting.positions and item.sound)
    assert item.sound is not None
    read(job, f"{item.number}: {abs(item.sound.value):.2f}", now=NOW)
    assert job.state().progress[item.number - 1] == "in"


def _follow(job: OpenJob, machine: Planted, *, most: int) -> list[str]:
    """Follow the proposals; give the mends that were made."""
    mends = []
    for _ in range(most):
        asked = next_step(job, now=NOW)
        step = asked.proposal.step
        if step is None:
            return mends
        if step.kind == "mend":
            assert step.mend is not None
            machine.mend(step.mend.id)
            mends.append(step.mend.id)
            workbench.mend(job, step.mend.id, now=NOW)
        else:
            read(job, machine.take(step), now=NOW)
    raise AssertionError("no end")


def test_a_survey_finds_mends_and_goes_on(job: OpenJob) -> None:
    """A planted leak turns the survey into a job, is mended and proven, and the survey goes on to its end."""
    harness = job.state().harness
    fault = next(item for item in faults_of(job.case(job.state()).network, year=2026) if item.id == "stop-3 leak")
    machine = Planted(harness, [PlantedFault(fault, 40.0)], meter=Meter(clamp=True, in_series=True), generator=np.random.default_rng(4), slip=0.0)
    mends = _follow(job, machine, most=80)
    state = job.state()
    assert mends[-1] == "renew stop-3"
    assert not machine.faults
    assert set(state.progress) == {"in"}
    assert job.standing().assessment.proven
    assert any(isinstance(event.what, Measured) and event.what.off for event in state.events)


def test_nothing_is_overwritten(job: OpenJob) -> None:
    """A second survey into the same file is refused before anything is planned."""
    with pytest.raises(JobError, match="is there already"):
        workbench.survey(str(MACHINE), year=2026, job=job.path, now=NOW)
