"""The mark is fair, and what is planted can be told from all others, on every machine."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Case, Step
from ohmtrail.harness import FRAME, load_harness
from ohmtrail.training import YEAR, Course, Drill, Route, Wish, mark_of, plant_drill
from ohmtrail.training.marking import LUCK
from ohmtrail.training.planting import FOUND

CIRCUITS = Path(__file__).parents[2] / "circuits"
#: a drill of each machine, of a function that is quick to plant
DRILLS = {
    "outboard": Wish("single", "", 3),
    "ride-on-mower": Wish("single", "", 2),
    "trail-motorcycle": Wish("single", "horn-sounds", 1),
    "utility-car": Wish("single", "horn-sounds", 1),
}
#: planting on the large machines takes its time: theirs are campaigns
EACH = [pytest.param(name, marks=pytest.mark.slow if name in ("trail-motorcycle", "utility-car") else ()) for name in DRILLS]
#: readings of a learner who reads everything: more than any best way here has, fewer than there are terminals
MANY = 24
Give = Callable[[str], tuple[Drill, Route]]


@cache
def _case(machine: str) -> Case:
    return Case(load_harness(CIRCUITS / f"{machine}.yaml"), year=YEAR)


@pytest.fixture(scope="module")
def planted() -> Give:
    """A machine's drill, with the tool's own way."""

    @cache
    def give(machine: str) -> tuple[Drill, Route]:
        return plant_drill(_case(machine), DRILLS[machine])

    return give


def _mended(course: Course) -> Course:
    for item in course.drill.planted:
        course.keep(course.mend(item.fault.mend, ""))
    return course


@pytest.mark.parametrize("machine", EACH)
def test_who_goes_the_tools_own_way_scores_a_hundred(planted: Give, machine: str) -> None:
    """Step for step, on a machine that answers anew."""
    drill, route = planted(machine)
    course = Course(drill)
    for step in route.steps:
        course.keep(course.mend(step.mend, "") if step.mend is not None else course.take(step, ""))
    mark = mark_of(course, route)
    assert (mark.points, mark.right, mark.luck) == (100, True, False)


@pytest.mark.parametrize("machine", EACH)
def test_naming_without_evidence_is_said_to_be_luck(planted: Give, machine: str) -> None:
    """Right at the first word: luck, and little for it."""
    drill, route = planted(machine)
    mark = mark_of(_mended(Course(drill)), route)
    assert (mark.right, mark.luck, mark.points) == (True, True, LUCK)


@pytest.mark.parametrize("machine", EACH)
def test_reading_everything_scores_low(planted: Give, machine: str) -> None:
    """Ohms from terminals all over the machine to the frame, then the right mend."""
    drill, route = planted(machine)
    terminals = [point for point in drill.case.harness.terminals if point != FRAME]
    course = Course(drill)
    for point in terminals[:: max(1, len(terminals) // MANY)][:MANY]:
        course.keep(course.take(Step("measure", Setting(battery=False), "ohms", point, FRAME), ""))
    mark = mark_of(_mended(course), route)
    assert mark.right
    assert mark.points < 35
    assert len(mark.told_nothing) > 0.5 * mark.readings


@pytest.mark.parametrize("machine", EACH)
def test_what_is_planted_is_in_no_group_that_cannot_be_split(planted: Give, machine: str) -> None:
    """At the end of the tool's way the readings have left one mend far ahead of every other."""
    drill, route = planted(machine)
    assert route.solved and not route.grouped
    course = Course(drill)
    for step in route.steps:
        if step.mend is not None:
            break
        course.keep(course.take(step, ""))
    posterior = drill.case.assess(course.history).posterior
    assert posterior is not None
    first, *others = posterior.answers
    assert set(first.mends) & set(drill.mends) and first.share >= FOUND
    assert all(item.share < 0.5 * first.share for item in others)


def test_one_of_a_group_is_planted_only_where_that_is_asked_for() -> None:
    """A seed whose first draw cannot be told from another is drawn again, unless it may be such a one."""
    case, seed = _case("outboard"), 3
    unsplit, way = plant_drill(case, Wish("high-resistance", "", seed, unsplit=True))
    assert way.grouped
    drill, route = plant_drill(case, Wish("high-resistance", "", seed))
    assert route.solved and not route.grouped
    assert drill.draw > unsplit.draw and drill.seal != unsplit.seal
