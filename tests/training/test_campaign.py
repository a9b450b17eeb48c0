"""Drills of every level on every machine."""

from pathlib import Path

import pytest

from ohmtrail.diagnosis import Case
from ohmtrail.harness import load_harness
from ohmtrail.training import LEVELS, YEAR, Course, Wish, mark_of, plant_drill

CIRCUITS = Path(__file__).parents[2] / "circuits"


@pytest.mark.slow
@pytest.mark.parametrize("machine", sorted(path.stem for path in CIRCUITS.glob("*.yaml")))
@pytest.mark.parametrize("level", LEVELS)
def test_the_tools_own_way_scores_a_hundred(machine: str, level: str) -> None:
    """Two seeds each, one of a double: planted, found, marked 100; named blindly it is luck."""
    case = Case(load_harness(CIRCUITS / f"{machine}.yaml"), year=YEAR)
    # two faults take minutes to plant on the larger machines
    for seed in (101,) if level == "double" else (101, 102):
        drill, route = plant_drill(case, Wish(level, "", seed))  # type: ignore[arg-type]  # one of them
        course = Course(drill)
        while not course.mended:
            step = case.next_step(case.assess(course.history), course.bench).step
            assert step is not None
            course.keep(course.mend(step.mend, "") if step.mend is not None else course.take(step, ""))
        mark = mark_of(course, route)
        assert (mark.points, mark.luck) == (100, False), (seed, drill.mends)
        blind = Course(drill)
        for item in drill.planted:
            blind.keep(blind.mend(item.fault.mend, ""))
        assert mark_of(blind, route).luck, (seed, drill.mends)
