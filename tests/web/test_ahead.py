"""Working ahead: it gives way at once, goes on afterwards, and leaves nothing half done."""

import time
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from ohmtrail import web, workbench
from ohmtrail.diagnosis import Measured, Step, outcomes_of
from ohmtrail.workbench.outcomes import likely_results

CIRCUITS = Path(__file__).parents[2] / "circuits"
NOW = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)


def _followed(job: workbench.OpenJob, took: Any) -> list[tuple[str, str]]:
    """What is proposed, and the leading suspect, over three answers."""
    told = []
    for _ in range(3):
        shown = workbench.next_step(job, now=NOW)
        assert shown.proposal.step is not None and shown.standing.posterior is not None
        first = shown.standing.posterior.answers[0]
        told.append((repr(shown.proposal.step), f"{first.mends} {first.share:.9f}"))
        workbench.answer(job, took(shown.proposal.step), now=NOW)
    return told


@pytest.mark.parametrize("stop", [1, 20])
def test_stopped_anywhere_nothing_half_done_is_kept(begun: Any, tmp_path: Path, at_the_machine: Any, stop: int) -> None:
    """After a stop in the midst of a sum the same steps and shares follow as in a job that nobody worked ahead on."""
    begun(name="a.job"), begun(name="b.job")
    stopped, plain = (workbench.open_job(tmp_path / name) for name in ("a.job", "b.job"))
    workbench.next_step(stopped, now=NOW)
    asked = count()
    assert not workbench.work_ahead(stopped, lambda: next(asked) < stop)
    one, other = (at_the_machine(str(CIRCUITS / "outboard.yaml"), "stop-3 leak", severity=4.0) for _ in range(2))
    assert _followed(stopped, one) == _followed(plain, other)


def test_it_gives_way_at_once_and_goes_on(begun: Any, tmp_path: Path, paced: Any) -> None:
    """Whoever wants the job has it within the time of one sum; afterwards all is worked out to the end."""
    shelf = web.Shelf(tmp_path)
    name = begun()
    job = shelf.job(name)
    workbench.next_step(job, now=NOW)
    shelf.work_ahead(name)
    for _ in range(3):
        time.sleep(0.2)
        spent = time.process_time()
        with shelf.wanting(name), job.lock:
            assert time.process_time() - spent < paced(0.3)
        assert shelf.works_ahead
    end = time.monotonic() + 240.0
    while shelf.works_ahead and time.monotonic() < end:
        time.sleep(0.1)
    assert not shelf.works_ahead


def test_every_result_in_words_is_thought_of(begun: Any, tmp_path: Path) -> None:
    """Where one of a lamp's three results can hardly be, the other two are still those that are worked out."""
    job = workbench.open_job(tmp_path / begun())
    shown = workbench.next_step(job, now=NOW)
    step, posterior = shown.proposal.step, shown.standing.posterior
    assert step is not None and posterior is not None
    lamp = Step("measure", step.setting, "lamp", "tiller-plug.1b", "frame")
    likely = likely_results(posterior, lamp)
    chances = [sum(outcome.chance for outcome in outcomes_of(posterior, [item])) for item in likely]
    assert len({item.value for item in likely if isinstance(item, Measured)}) == 3
    assert chances == sorted(chances, reverse=True) and min(chances) == 0.0
