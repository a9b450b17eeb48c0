"""Test points: what would have been saved is what was opened for a reading and for nothing else."""

from __future__ import annotations

from dataclasses import replace

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Case, Step
from ohmtrail.diagnosis.posterior import Answer
from ohmtrail.diagnosis.proposal import Proposal, Scored
from ohmtrail.rehearsal.draws import unnoticed
from ohmtrail.rehearsal.points import Helped, Unsplit, WayIn, helpful, unsplit_of, ways_in

DEAD = replace(Setting(), battery=False)


def _ohms(red: str) -> Step:
    return Step("measure", DEAD, "ohms", red, "frame")


def test_a_way_is_counted_once_and_not_where_the_mend_goes(outboard: Case) -> None:
    """The flywheel lies under the cowl: 25 and 1 minute; a second reading there opens nothing; the mend's own place is free."""
    reach = {name: place.reach for name, place in outboard.harness.places.items()}
    steps = [_ohms("ignition-winding.CH"), _ohms("ignition-winding.CH")]
    place = outboard.harness.place_of("ignition-winding.CH")
    assert place is not None
    way = reach[place] + (reach[outboard.harness.places[place].inside] if outboard.harness.places[place].inside else 0.0)
    assert ways_in(outboard, steps, []) == (WayIn(("ignition-winding.CH",), way),)
    assert ways_in(outboard, steps, [place]) == ()


def test_points_are_ranked_by_what_they_save() -> None:
    """Minutes of all jobs together; a job counts once."""
    jobs = [[WayIn(("a", "b"), 3.0), WayIn(("a",), 2.0)], [WayIn(("b",), 1.0)], []]
    assert helpful(jobs) == (Helped("a", 5.0, 1), Helped("b", 4.0, 2))
    assert helpful(jobs, most=1) == (Helped("a", 5.0, 1),)


def _answer(*mends: str) -> Answer:
    return Answer(mends, 0.4, (0,), None)


def test_a_group_is_told_with_what_would_split_it() -> None:
    """Mends in order; the probe points of the reading that cannot be taken, the frame left out; one answer is no group."""
    two = (_answer("renew b"), _answer("renew a"))
    split = Scored(_ohms("far.1"), 9.0, 0.8, 9.0)
    lone = Proposal(None, 0.0, 0.0, None, two[:1], False, ())
    assert unsplit_of(lone) is None
    assert unsplit_of(replace(lone, group=two)) == Unsplit(("renew a", "renew b"))
    assert unsplit_of(replace(lone, group=two, would_split=split)) == Unsplit(("renew a", "renew b"), ("far.1",))


def test_every_fault_shows_somewhere_or_is_told(outboard: Case) -> None:
    """What no complaint shows, and what some complaint shows, are all steady faults together."""
    functions = tuple(outboard.harness.functions)
    hidden = set(unnoticed(outboard, functions))
    steady = {fault.id for fault in outboard.faults if not fault.moves_at}
    assert hidden < steady
    assert set(unnoticed(outboard, functions[:1])) >= hidden
