"""The printed chart is a fair opponent."""

from __future__ import annotations

import numpy as np

from ohmtrail.circuit import Setting, function_setting
from ohmtrail.circuit.meter import scale
from ohmtrail.diagnosis import Bench, Case, Measured, Planted, PlantedFault, Seen
from ohmtrail.rehearsal.chart import chart_of, follow_chart
from ohmtrail.rehearsal.draws import drawn_by_rate
from ohmtrail.rehearsal.work import Workshop


def _complaint(case: Case, function: str) -> Seen:
    return Seen(function, function_setting(case.harness, case.harness.functions[function]), 0)


def test_a_sound_machine_reads_within_every_band(outboard: Case) -> None:
    """Bands are wide enough for tolerance and meter: of sound machines, 97 in 100 answers and more lie inside."""
    chart = chart_of(outboard, _complaint(outboard, "lantern-light"))
    inside = []
    for seed in range(6):
        machine = Planted(outboard.harness, [], meter=outboard.meter, generator=np.random.default_rng(seed), slip=0.0)
        for check in chart.checks:
            found = machine.take(check.step)
            if isinstance(found, Measured):
                inside.append(check.low <= float(scale(found.quantity, found.value, outboard.meter)) <= check.high)
    assert len(inside) > 200
    assert np.mean(inside) >= 0.97


def test_an_open_lead_is_found_by_halving(outboard: Case) -> None:
    """A clean open on a path of some forty mends takes few boxes (log2(40) is about 5) and at most the lead and its two joints."""
    complaint = _complaint(outboard, "lantern-light")
    fault = next(item for item in outboard.faults if item.id == "lantern-2 open")
    machine = Planted(
        outboard.harness, [PlantedFault(fault, 0.0)], meter=outboard.meter, generator=np.random.default_rng(1), slip=0.0
    )
    chart = chart_of(outboard, complaint)
    assert len(chart.mends) > 30
    done = list(follow_chart(outboard, machine, complaint, Bench(Setting()), chart))
    assert not machine.faults
    assert sum(1 for item in done if item.step.kind == "measure") <= 9
    assert sum(1 for item in done if item.step.kind == "mend") <= 3


def test_the_chart_comes_to_an_end_with_the_fault_gone(outboard: Case) -> None:
    """Wrong turns at band edges are made good by going through it again: every job ends solved."""
    shop = Workshop(outboard)
    done = [shop.work(job, "chart") for job in drawn_by_rate(outboard, ["charging", "stop-by-button"], 12, 3)]
    assert len(done) == 24
    assert all(item is not None and item.solved for item in done)
    assert all(item is not None and item.minutes >= item.direct - 1e-9 for item in done)


def test_a_box_splits_what_is_left(outboard: Case) -> None:
    """No box is used whose answer could rule nothing out, and none twice."""
    chart = chart_of(outboard, _complaint(outboard, "spark-top"))
    alive, used, bench = np.ones(len(chart.owner), dtype=bool), set[int](), Bench(Setting())
    while (index := chart.next_check(alive, used, bench, outboard)) is not None:
        check, before = chart.checks[index], chart.mends_of(alive).sum()
        assert chart.mends_of(alive & check.good).sum() < before
        assert chart.mends_of(alive & check.bad).sum() < before
        assert index not in used
        used.add(index)
        alive = alive & check.good
    assert used
