"""Which functions are thought of on a machine with very many."""

from __future__ import annotations

from tests.bench.made import made_harness

from ohmtrail.circuit import Electrics, function_setting
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis.candidates import MOST_WATCHED, Surroundings, watches
from ohmtrail.diagnosis.table import SuspectTable, single_rows
from ohmtrail.faults import faults_of
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree


def test_functions_near_the_suspects_are_thought_of_first() -> None:
    """All that share a supply lead, a connector and an earth point with the suspects, and no more than so many."""
    harness = parse_harness(read_tree(made_harness(420), file="made.yaml"))
    electrics = Electrics(harness, count=1)
    assert len(harness.functions) > MOST_WATCHED + 10
    rows = [row for row in single_rows(faults_of(electrics.network, year=2026)) if row.faults and row.faults[0].element == "lit-3-1"]
    setting = function_setting(harness, harness.functions["light-3-1"])
    table = SuspectTable(electrics, Meter(), [*single_rows(()), *rows])
    steps = list(watches(Surroundings(electrics, rows), "light-3-1", setting, table.works))
    others = {step.function for step in steps} - {"light-3-1"}
    assert len(others) == MOST_WATCHED
    assert {f"light-3-{item}" for item in range(8) if item != 1} <= others
