"""What is planted shows, can be found, and is the same everywhere."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from ohmtrail.circuit import WORKS
from ohmtrail.diagnosis import Case
from ohmtrail.errors import InputError, UnknownName
from ohmtrail.training import LEVELS, Drill, Level, Route, Wish, plant_drill, planted_again

Give = Callable[[Level, int], tuple[Drill, Route]]
DRAWN = [("single", 3), ("high-resistance", 2), ("intermittent", 2)]
#: planting two faults takes longer than the gate has
DOUBLE = pytest.param("double", 2, marks=pytest.mark.slow)


@pytest.mark.parametrize(("level", "seed"), [*DRAWN, DOUBLE])
def test_the_fault_makes_its_complaint_and_can_be_found(planted: Give, level: Level, seed: int) -> None:
    """The sound machine works, each fault alone stops the function, and the tool's way ends in the mend."""
    drill, route = planted(level, seed)
    complaint, machine = drill.complaint, drill.machine()
    assert machine.level(complaint.function, complaint.setting) == complaint.level < WORKS
    for item in drill.planted:
        machine.faults = (item,)
        assert machine.level(complaint.function, complaint.setting) < WORKS
    machine.faults = ()
    assert machine.level(complaint.function, complaint.setting) == WORKS
    assert route.solved and not route.grouped and route.share >= 0.5
    assert len(drill.planted) == (2 if level == "double" else 1)
    assert complaint.sometimes == (level == "intermittent")
    if level == "high-resistance":
        assert {item.fault.kind for item in drill.planted} == {"high"}


def test_the_same_seed_is_the_same_drill_in_another_process(planted: Give) -> None:
    """Another process, with names hashed otherwise, plants the same and reads the same."""
    drill, route = planted("single", 3)
    code = (
        "from ohmtrail.harness import load_harness; from ohmtrail.diagnosis import Case; from ohmtrail.training import *\n"
        f"case = Case(load_harness({str(MACHINE)!r}), year=YEAR); d = planted_again(case, Wish('single', '', 3), {drill.draw})\n"
        f"print(d.seal, d.machine().take(next(s for s in [{route.steps[1]!r}])))"
    )
    names = "from ohmtrail.diagnosis import Step; from ohmtrail.circuit import Setting; from ohmtrail.faults import Mend\n"
    env = os.environ | {"PYTHONHASHSEED": "12"}
    ran = subprocess.run([sys.executable, "-c", names + code], capture_output=True, text=True, check=False, timeout=120, env=env)
    assert ran.stdout.strip() == f"{drill.seal} {drill.machine().take(route.steps[1])}", ran.stderr


MACHINE = Path(__file__).parents[2] / "circuits" / "outboard.yaml"


def test_another_seed_or_draw_is_another_drill(case: Case, planted: Give) -> None:
    """Seals differ; a draw that stops nothing is none."""
    seals = {planted(level, seed)[0].seal for level, seed in DRAWN}
    assert len(seals) == len(DRAWN)
    found = [planted_again(case, Wish("single", "lantern-light", 5), draw) for draw in range(30)]
    assert any(item is None for item in found)
    assert {item.complaint.function for item in found if item is not None} == {"lantern-light"}


def test_the_order_of_questions_does_not_change_an_answer(planted: Give) -> None:
    """A reading hangs on what is asked and on how often it was, on nothing else."""
    drill, route = planted("high-resistance", 2)
    steps = [step for step in route.steps if step.kind == "measure"][:3]
    there, back = drill.machine(), drill.machine()
    assert dict(zip(steps, map(there.take, steps), strict=True)) == {step: back.take(step) for step in reversed(steps)}
    passed = drill.machine()
    passed.pass_over(steps[0])
    assert passed.take(steps[0]) == there.take(steps[0])


def test_what_cannot_be_planted_is_one_sentence(case: Case) -> None:
    """A level that is none, and a machine on which nothing of the level stops the function."""
    with pytest.raises(UnknownName, match="double"):
        Wish("dubble")  # type: ignore[arg-type]
    with pytest.raises(InputError, match=r"no intermittent fault .*lantern-light.*another --function"):
        plant_drill(Case(_stiff(case), year=2026), Wish("intermittent", "lantern-light", 1))
    assert set(LEVELS) == {"single", "high-resistance", "intermittent", "double"}


def _stiff(case: Case):  # type: ignore[no-untyped-def]
    """The machine without a loom that flexes."""
    looms = {name: loom.model_copy(update={"flexes_at": ()}) for name, loom in case.harness.looms.items()}
    return case.harness.model_copy(update={"looms": looms})
