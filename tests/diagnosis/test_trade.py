"""What a technician expects of the search. Common practice, no source, where nothing else is named."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ohmtrail.circuit import Setting, function_setting, put
from ohmtrail.diagnosis import Bench, Case, Measured, Planted, PlantedFault, Seen, follow
from ohmtrail.diagnosis.plan import Plan, expected_cost, greedy_cost
from ohmtrail.harness import load_harness

MACHINE = Path(__file__).parents[2] / "circuits" / "trail-motorcycle.yaml"


@pytest.fixture(scope="module")
def case() -> Case:
    """The trail motorcycle."""
    return Case(load_harness(MACHINE), year=2026)


def _spark(case: Case) -> Seen:
    return Seen("spark", function_setting(case.harness, case.harness.functions["spark"]), 0)


def test_lifting_the_stop_lead_is_among_the_first_three(case: Case) -> None:
    """No spark, module unknown: lift the stop lead at the module and look for spark."""
    proposal = case.next_step(case.assess([_spark(case)]), Bench(Setting()))
    first = [proposal.step, *(item.step for item in proposal.others)][:3]
    at_module = {"stop-1.from", "stop-1.to"}
    assert any(step is not None and step.kind == "watch" and step.setting.lifted & at_module for step in first)


def test_spark_with_the_lead_lifted_clears_module_coil_and_plug(case: Case) -> None:
    """If spark comes back, module, pick-up, coil and plug fall below 1 % together."""
    complaint = _spark(case)
    back = Seen("spark", put(case.harness, complaint.setting, lifted=["stop-1.from"]), 2)
    posterior = case.assess([complaint, back]).posterior
    assert posterior is not None
    named = ("ignition-module", "pick-up", "ignition-coil", "spark-plug")
    parts = [item.share for item in posterior.answers if any(mend.rpartition(" ")[2] in named for mend in item.mends)]
    assert len(parts) >= 3
    assert sum(parts) < 0.01


def test_the_order_of_readings_does_not_matter(case: Case) -> None:
    """The same readings in another order give the same shares to 1e-9."""
    complaint = _spark(case)
    dead = put(case.harness, complaint.setting, battery=False, engine="still")
    readings = [Measured("ohms", point, "frame", dead, value) for point, value in (("stop-splice", 4.2), ("head-plug.1a", 4.4))]
    one = case.assess([complaint, *readings]).posterior
    two = case.assess([*reversed(readings), complaint]).posterior
    assert one is not None
    assert two is not None
    assert np.abs(one.chance - two.chance).max() < 1e-9


def test_a_planted_leak_is_found_and_proven(case: Case) -> None:
    """A stop lead with 4 ohms to frame is named, mended and proven by following the proposals."""
    fault = next(item for item in case.faults if item.id == "stop-2 leak")
    machine = Planted(case.harness, [PlantedFault(fault, 4.0)], meter=case.meter, generator=np.random.default_rng(1), slip=0.0)
    actions = list(follow(case, machine, _spark(case)))
    assert not machine.faults
    assert actions[-1].result == Seen("spark", _spark(case).setting, 2)


def test_the_test_sequencing_table_reaches_its_optimum() -> None:
    """Pattipati and Alexandridis 1990 (table from memory): optimum 2.18, one-step greedy 2.86."""
    table = [(0, 0, 0, 0, 0), (0, 1, 0, 0, 1), (0, 0, 1, 1, 0), (1, 0, 0, 1, 1), (1, 1, 0, 0, 0), (1, 1, 1, 1, 0)]
    outcome = [[row[step] for row in table] for step in range(5)]
    plan = Plan([0.70, 0.01, 0.02, 0.10, 0.05, 0.12], list(range(6)), outcome, [1] * 5, [0] * 6, trials=False)
    assert expected_cost(plan) == pytest.approx(2.18)
    assert greedy_cost(plan) == pytest.approx(2.86)
