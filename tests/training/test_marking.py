"""The mark is fair."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Case, Looked, Step
from ohmtrail.training import Course, Drill, Level, Mark, Route, mark_of
from ohmtrail.training.marking import DANGER, HINT, LUCK, Done

#: planting two faults takes longer than the gate has
DOUBLE = pytest.param("double", 2, marks=pytest.mark.slow)
Give = Callable[[Level, int], tuple[Drill, Route]]


def _through(case: Case, drill: Drill) -> Course:
    """A learner who does what the tool would do."""
    course = Course(drill)
    while not course.mended:
        step = case.next_step(case.assess(course.history), course.bench).step
        assert step is not None
        course.keep(course.mend(step.mend, "") if step.mend is not None else course.take(step, ""))
    return course


def _mended(course: Course) -> Course:
    for item in course.drill.planted:
        course.keep(course.mend(item.fault.mend, ""))
    return course


@pytest.mark.parametrize(("level", "seed"), [("high-resistance", 2), ("intermittent", 2), DOUBLE])
def test_a_perfect_policy_scores_a_hundred(case: Case, planted: Give, level: Level, seed: int) -> None:
    """And no more minutes than the tool's own way, which it is."""
    drill, route = planted(level, seed)
    mark = mark_of(_through(case, drill), route)
    assert (mark.points, mark.right, mark.luck) == (100, True, False)
    assert mark.minutes <= route.minutes + 0.01
    assert not mark.vain


@pytest.mark.parametrize(("level", "seed"), [("single", 3), ("intermittent", 2), DOUBLE])
def test_naming_without_evidence_is_luck(planted: Give, level: Level, seed: int) -> None:
    """It is right, it is said to be luck, and it earns little."""
    drill, route = planted(level, seed)
    mark = mark_of(_mended(Course(drill)), route)
    assert mark.right and mark.luck
    assert mark.points == LUCK


def test_naming_against_evidence_that_tells_nothing_is_luck(planted: Give) -> None:
    """A reading for the look of it is no evidence."""
    drill, route = planted("high-resistance", 2)
    course = Course(drill)
    course.keep(course.take(Step("measure", Setting(battery=False), "ohms", "lantern.58", "lantern.31"), ""))
    assert mark_of(_mended(course), route).luck


def test_reading_everything_scores_low(case: Case, planted: Give) -> None:
    """Every second terminal against the frame, then the right mend."""
    drill, route = planted("single", 3)
    course = Course(drill)
    for index, point in enumerate(case.harness.terminals):
        if point != "frame" and index % 2:
            course.keep(course.take(Step("measure", Setting(battery=False), "ohms", point, "frame"), ""))
    mark = mark_of(_mended(course), route)
    assert mark.right and not mark.luck
    assert mark.points < 25
    assert len(mark.told_nothing) > 0.6 * mark.readings


def test_what_told_nothing_and_why(planted: Give) -> None:
    """Asked again, and alike for all suspects; what moved the chance is not among them."""
    drill, route = planted("single", 3)
    course = Course(drill)
    useful, idle = route.steps[0], Step("measure", Setting(battery=False), "ohms", "lantern.58", "lantern.31")
    for step in (useful, idle, idle):
        course.keep(course.take(step, ""))
    mark = mark_of(course, route)
    assert [(item.number, item.why, item.earlier) for item in mark.told_nothing] == [(2, "same", 0), (3, "again", 2)]
    assert mark.told[0].moved > 0.02
    assert mark.told_most is None or mark.told_most.number == 1
    assert (mark.points, mark.right, math.isnan(mark.share)) == (0, False, True)


def test_dangers_hints_and_vain_mends_cost(case: Case, planted: Give) -> None:
    """Ten and five points; a mend in vain costs its parts as well as its minutes."""
    drill, route = planted("single", 3)
    through = _through(case, drill)
    assert mark_of(through, route).told_most is not None

    def marked(*more: Done) -> Mark:
        course = replace(through, done=[*more, *through.done])
        course.machine.faults = ()
        return mark_of(course, route)

    assert marked(Done("danger", "", note="dead-circuit")).points == 100 - DANGER
    assert marked(Done("hint", "", note="...")).points == 100 - HINT
    wrong = next(item.mend for item in case.faults if item.mend.id == "exchange ignition-module")
    course = Course(drill)
    course.keep(course.mend(wrong, ""))
    mark = mark_of(course, route)
    assert (mark.vain, mark.lost, course.mended) == ((wrong.id,), wrong.vain, False)


def test_a_second_look_sees_what_the_first_one_saw(planted: Give) -> None:
    """Looking again and again at one thing is no way to a better answer."""
    drill, _ = planted("single", 3)
    course = Course(drill)
    for setting in (Setting(), Setting(battery=False)):
        for element in ("stop-1", "stop-3", "E1"):
            course.keep(course.take(Step("look", setting, element=element), ""))
    found = [item.result for item in course.done]
    assert found[:3] == found[3:]
    assert all(isinstance(item, Looked) for item in found)
