"""Tables that use what was worked out before say the same as tables made afresh."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ohmtrail.circuit import function_setting
from ohmtrail.diagnosis import Bench, Case, Seen
from ohmtrail.diagnosis.case import Mended
from ohmtrail.diagnosis.evidence import Looked
from ohmtrail.diagnosis.firstlook import moved_gains, steady_gains
from ohmtrail.diagnosis.gain import gains, number_outcomes, outcome_edges
from ohmtrail.diagnosis.likelihood import FLICKER, NO_FLICKER
from ohmtrail.diagnosis.live import MENDED_BEFORE
from ohmtrail.diagnosis.scoring import Chooser
from ohmtrail.harness import load_harness
from ohmtrail.workbench.outcomes import next_events

CIRCUITS = Path(__file__).parents[2] / "circuits"


@pytest.fixture(scope="module")
def seen() -> Seen:
    """The outboard's upper cylinder has no spark."""
    harness = load_harness(CIRCUITS / "outboard.yaml")
    return Seen("spark-top", function_setting(harness, harness.functions["spark-top"]), 0)


def _case() -> Case:
    return Case(load_harness(CIRCUITS / "outboard.yaml"), year=2026)


def test_a_mend_in_vain_is_weighed_as_by_a_case_that_knows_nothing(seen: Seen) -> None:
    """Suspects and next step after it are those of a fresh case, whatever was worked out before."""
    warm, history = _case(), [seen]
    before = warm.assess(history)
    step = warm.next_step(before, Bench(seen.setting)).step
    warm.foresee(before, Bench(seen.setting))
    assert before.posterior is not None and step is not None
    mend = before.posterior.answers[0].mends[0]
    after = [seen, Mended(mend), seen]
    one, other = warm.assess(after), _case().assess(after)
    assert one.posterior is not None and other.posterior is not None
    assert one.posterior.answers[0].mends != before.posterior.answers[0].mends
    np.testing.assert_allclose(one.posterior.chance, other.posterior.chance, atol=1e-12)
    bench = Bench(seen.setting)
    assert warm.next_step(one, bench).step == _case().next_step(other, bench).step


def test_a_mend_made_again_in_vain_counts_again(seen: Seen) -> None:
    """Nobody is sent to one joint for ever: its share falls each time by what a mend made in vain is worth."""
    case = _case()
    mend = "renew stop-2"

    def odds(times: int) -> float:
        posterior = case.assess([seen, *[Mended(mend), seen] * times]).posterior
        assert posterior is not None
        share = sum(item.share for item in posterior.answers if item.mends == (mend,))
        other = sum(item.share for item in posterior.answers if item.mends == ("exchange ignition-module",))
        return share / other

    assert odds(1) == pytest.approx(MENDED_BEFORE * odds(0), rel=0.15)
    assert odds(2) == pytest.approx(MENDED_BEFORE * odds(1), rel=0.15)


def test_a_look_at_either_of_two_leads_is_retired_when_both_are_renewed(seen: Seen) -> None:
    """What was seen of a lead says nothing of the new one, if it was what was wrong; of another lead it counts in any case."""
    case, mend = _case(), Mended("renew stop-3 and button-earth-1")
    for name, dropped in (("stop-3", True), ("button-earth-1", True), ("stop-2", False)):
        assert bool(case.after_mends.certain([seen, Looked(name, True), mend, seen]) == (3,)) is dropped


def test_what_comes_next_is_thought_of(seen: Seen) -> None:
    """A mend that will be made, and a complaint that may still be there after it, are events to work ahead on."""
    case = _case()
    first = case.assess([seen])
    assert first.posterior is not None
    chooser = Chooser(first.posterior, Bench(seen.setting), [seen])
    mend = chooser.mend_steps(0)[0]
    assert mend.mend is not None
    assert next_events(first.posterior, mend) == (Mended(mend.mend.id),)
    mended = case.assess([seen, Mended(mend.mend.id)])
    trial = case.next_step(mended, Bench(seen.setting)).step
    assert mended.posterior is None and trial is not None
    assert next_events(None, trial) == (Seen("spark-top", trial.setting, 0),)


def test_the_first_look_tells_what_the_outcomes_tell(seen: Seen) -> None:
    """Bits that are summed by mend before slips come in are those of the outcomes of every row."""
    case = _case()
    first = case.assess([seen])
    assert first.posterior is not None
    chooser = Chooser(first.posterior, Bench(seen.setting), [seen])
    setting = next(item.step.setting for item in chooser.candidates() if item.step.quantity == "ohms" and item.step.kind == "measure")
    pairs = [(item.step.red, item.step.black) for item in chooser._measured("ohms", setting, False)]
    found = chooser.table.measured("ohms", setting, pairs, scan=True, rows=chooser.outlook.asked)
    told = chooser.outlook.told(found, setting, chooser.group)
    np.testing.assert_allclose(told, gains(chooser.outlook.numbers(found, setting), chooser.weight, chooser.group), atol=1e-12)
    assert told.max() > 0.1
    none = np.ones((1, len(chooser.rows)))
    assert steady_gains(none, none, chooser.weight, chooser.group)[0] < 1e-9


def test_the_first_look_at_moved_wiring_tells_what_the_outcomes_tell() -> None:
    """Rows that read alike are reckoned once, and what flickers is taken out of the bins: the bits are the same."""
    made = np.random.default_rng(7)
    kinds, steps, rows = 5, 12, 40
    of = made.integers(0, kinds, (steps, rows))
    mean, spread = (np.take_along_axis(values, of, 1) for values in (made.normal(size=(steps, kinds)), made.uniform(0.01, 1.0, (steps, kinds))))
    mean[:, :4] += made.normal(size=(steps, 4))
    chance, group = made.dirichlet(np.ones(rows) * 0.3), made.integers(0, 9, rows)
    flickers = (made.random((steps, rows)) < 0.5) & (np.arange(rows) % 3 == 0)
    outcomes = number_outcomes(mean, spread, outcome_edges(mean, spread, chance), beside=1)
    flick = np.where(flickers, FLICKER, NO_FLICKER)[:, :, None]
    outcomes[:, :, :-1] *= 1.0 - flick
    outcomes[:, :, -1:] = flick
    told = moved_gains(mean, spread, chance, group, flickers)
    np.testing.assert_allclose(told, gains(outcomes, chance, group), atol=1e-12)
    assert told.max() > 0.1
