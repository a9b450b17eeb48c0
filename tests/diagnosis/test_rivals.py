"""What nobody listed: an answer is held against it, and where nothing listed fits, the readings point at the spot."""

from __future__ import annotations

import numpy as np
import pytest

from ohmtrail.circuit import function_setting
from ohmtrail.circuit.setting import Setting, put
from ohmtrail.diagnosis import Bench, Case, follow
from ohmtrail.diagnosis.evidence import Complaint, Evidence, Measured, Seen
from ohmtrail.diagnosis.posterior import Posterior, weigh
from ohmtrail.diagnosis.proposal import NAMED
from ohmtrail.diagnosis.rivals import nameable, rivals_of
from ohmtrail.harness import load_harness
from ohmtrail.harness.model import FRAME
from ohmtrail.rehearsal.draws import complaint_of, every_fault, machine_of

YEAR = 2026


@pytest.fixture(scope="module")
def full() -> Case:
    """The outboard with every fault known."""
    return Case(load_harness("circuits/outboard.yaml"), year=YEAR)


@pytest.fixture(scope="module")
def without() -> Case:
    """The same where nobody knows that lead stop-3 can be renewed."""
    case = Case(load_harness("circuits/outboard.yaml"), year=YEAR)
    return Case(case.harness, year=YEAR, left_out={"renew stop-3"})


def _open_lead(case: Case) -> list[Evidence]:
    """Readings round lead stop-3 that is broken inside: sound on either side of it, nothing through it."""
    function = case.harness.functions["stop-by-button"]
    complaint = Seen("stop-by-button", function_setting(case.harness, function), 0)
    dead = put(case.harness, complaint.setting, battery=False, engine="still", moved="")
    pressed = put(case.harness, dead, positions={"stop-button": "stop"})
    return [
        complaint,
        Measured("ohms", "stop-button.2", "stop-button.31", pressed, 0.4),
        Measured("ohms", "stop-button.31", FRAME, dead, 0.4),
        Measured("ohms", "tiller-plug.1b", "stop-button.2", dead, float("inf")),
        Measured("ohms", "stop-3.from", "stop-3.to", dead, float("inf")),
        Measured("ohms", "tiller-plug.1b", "stop-3.from", dead, 0.2),
        Measured("ohms", "stop-3.to", "stop-button.2", dead, 0.2),
    ]


def _assessed(case: Case) -> Posterior:
    posterior = case.assess(_open_lead(case)).posterior
    assert posterior is not None
    return posterior


def test_a_listed_fault_keeps_its_name(full: Case) -> None:
    """Where the lead's own break is listed it is named, and nothing unlisted elsewhere stands against it."""
    posterior = _assessed(full)
    assert posterior.best is not None
    assert posterior.best.mends == ("renew stop-3",)
    assert posterior.best.share > 0.95
    assert nameable(posterior, posterior.best) == (posterior.best, ())


def test_an_unlisted_fault_is_pointed_at(without: Case) -> None:
    """Where it is not, nothing is likely, and the readings point at the very lead."""
    posterior = _assessed(without)
    assert posterior.unlisted > 0.5
    assert posterior.best is not None
    assert posterior.best.share < 0.5
    assert posterior.unlisted_at[0][0] == "stop-3"
    assert posterior.unlisted_at[0][1] > max(0.5, 0.99 * posterior.following)
    assert sum(share for _, share in posterior.unlisted_at) == pytest.approx(posterior.following)
    assert posterior.following <= posterior.unlisted


def test_the_answer_before_any_reading_has_rivals(full: Case) -> None:
    """On the complaint alone every element that could bring it stands against the likeliest answer, its own one not."""
    complaint = _open_lead(full)[:1]
    posterior = full.assess(complaint).posterior
    assert posterior is not None and posterior.best is not None
    own = posterior.best.mends[0].removeprefix("renew ")
    names = [item.element for item in rivals_of(posterior, posterior.best)]
    assert len(names) > 3
    assert own not in names


def test_the_order_of_entry_does_not_matter(full: Case) -> None:
    """The strangers' weight, too, is the same for the same readings in another order."""
    evidence = _open_lead(full)
    one = full.assess(evidence).posterior
    two = full.assess([evidence[0], *evidence[:0:-1]]).posterior
    assert one is not None and two is not None
    np.testing.assert_allclose(one.chance, two.chance, atol=1e-9)
    assert one.unlisted == pytest.approx(two.unlisted, abs=1e-9)


def test_strangers_only_add_to_what_is_unlisted(full: Case) -> None:
    """Without them an unlisted fault reads like a sound machine or like anything; both stay possible."""
    posterior = _assessed(full)
    plain = weigh(posterior.table, posterior.evidence)
    complaints: list[Complaint] = [item for item in posterior.evidence if isinstance(item, Seen)]
    assert posterior.strangers is not None
    assert posterior.strangers.complaints == tuple(complaints)
    assert plain.unlisted > 0.0
    assert posterior.unlisted > 0.4 * plain.unlisted


def test_what_is_rare_and_reads_alike_is_told_apart_before_a_mend_is_named(full: Case) -> None:
    """Leads crossed at a plug have read like a bad winding so far, and are rarer: one quick look more, then the mend."""
    wanted = next(item for item in every_fault(full, ["spark-bottom"], 6) if item.faults == ("gen-ignition crossed gen-earth-1 at stator-plug",))
    machine = machine_of(full, wanted)
    complaint = complaint_of(full, wanted, machine)
    assert complaint is not None
    # the battery can be got at without opening anything, so that ohms cost little
    at_hand = frozenset(part.at for part in full.harness.parts.values() if part.kind == "battery")
    played = list(follow(full, machine, complaint, bench=Bench(Setting(), opened=at_hand)))
    told = next(item for item in played if item.proposal.alike)
    posterior = told.assessment.posterior
    assert posterior is not None and posterior.best is not None
    assert posterior.best.mends == ("exchange or rewind ignition-winding",) and posterior.best.share > NAMED
    (rare,) = told.proposal.alike
    assert rare.mends == ("put right gen-ignition and gen-earth-1, crossed at stator-plug",)
    assert rare.share < 0.05
    assert told.minutes <= 1.0
    made = [item.step.mend.id for item in played if item.step.mend is not None]
    assert made == list(rare.mends)
