"""Jobs are drawn as they say, and the same jobs each time."""

from __future__ import annotations

from collections import Counter

import pytest

from ohmtrail.circuit import WORKS
from ohmtrail.diagnosis import Case
from ohmtrail.rehearsal.draws import (
    causes,
    complaint_of,
    drawn_by_rate,
    drawn_pairs,
    every_fault,
    machine_of,
    singles_of,
)


def test_every_drawn_job_shows_its_complaint(outboard: Case) -> None:
    """Nothing that works is rehearsed, and as many jobs come as were asked for."""
    jobs = list(drawn_by_rate(outboard, ["stop-by-button", "lantern-light"], 15, 4))
    assert Counter(job.function for job in jobs) == {"stop-by-button": 15, "lantern-light": 15}
    for job in jobs:
        machine = machine_of(outboard, job)
        seen = complaint_of(outboard, job, machine)
        assert seen is not None
        assert machine.level(job.function, seen.setting) < WORKS


def test_the_seed_gives_the_same_jobs_and_the_same_machine(outboard: Case) -> None:
    """One seed, one campaign; another seed, another one."""
    first, again, other = (list(drawn_by_rate(outboard, ["stop-by-button"], 6, seed)) for seed in (1, 1, 2))
    assert first == again != other
    one, two = machine_of(outboard, first[0]), machine_of(outboard, first[0])
    assert (one.electrics.draws[0].live == two.electrics.draws[0].live).all()


def test_rates_are_followed(outboard: Case) -> None:
    """The share of each mend among many jobs is its rate's, within four sigma of the binomial."""
    count = 200
    could = causes(outboard, "stop-by-button")
    always = [fault for fault in could if fault.kind == "open"]
    total = sum(fault.rate for fault in could)
    drawn = Counter(job.faults[0] for job in drawn_by_rate(outboard, ["stop-by-button"], count, 5))
    # faults that show only at some severities are drawn less often, so opens are drawn at least this often
    for fault in sorted(always, key=lambda item: -item.rate)[:3]:
        share = fault.rate / total
        assert drawn[fault.id] >= count * share - 4.0 * (count * share) ** 0.5


def test_every_fault_comes_once(outboard: Case) -> None:
    """No fault twice, none left out that shows a complaint at every severity."""
    functions = ["stop-by-button", "stop-by-lanyard"]
    drawn = Counter(job.faults[0] for job in every_fault(outboard, functions, 1))
    assert set(drawn.values()) == {1}
    for function in functions:
        assert {fault.id for fault in causes(outboard, function) if fault.kind == "open"} <= set(drawn)


@pytest.mark.parametrize("seed", [1, 2])
def test_each_of_a_pair_shows_the_complaint_by_itself(outboard: Case, seed: int) -> None:
    """Two elements, two mends, one complaint that either causes; the singles stand on the same machine."""
    for pair in drawn_pairs(outboard, ["stop-by-button"], 4, seed):
        both = machine_of(outboard, pair).faults
        assert len({item.fault.mend.id for item in both}) == len({item.fault.element for item in both}) == 2
        for single in singles_of(pair):
            assert single.seed == pair.seed
            assert complaint_of(outboard, single, machine_of(outboard, single)) is not None
