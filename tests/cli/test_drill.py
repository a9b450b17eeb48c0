"""The drill command: asked line by line, interrupted, gone on with, marked, summed up."""

import io
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from ohmtrail import journal
from ohmtrail.training import Wish
from ohmtrail.workbench import new_drill

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")
SEEDED = ("drill", MACHINE, "--function", "lantern-light", "--seed", "4", "--file", "a.drill")

Say = Callable[..., Any]


@pytest.fixture(scope="module")
def drill_text(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A drill that has just begun, planted once; a test's own folder lies beside this one."""
    path = tmp_path_factory.mktemp("begun") / "a.drill"
    wish = Wish("single", "lantern-light", 4)
    new_drill(MACHINE, wish=wish, path=path, by="Ann", now=datetime(2031, 5, 4, tzinfo=UTC))
    return path.read_text(encoding="utf-8")


@pytest.fixture
def begun(typed: Any, drill_text: str) -> str:
    """Its file in this folder."""
    Path("a.drill").write_text(drill_text, encoding="utf-8")
    return "a.drill"


@pytest.fixture
def say(typed: Any, monkeypatch: pytest.MonkeyPatch) -> Say:
    """Run the command with lines on standard input."""

    def go(*words: str, lines: str = "") -> Any:
        monkeypatch.setattr(sys, "stdin", io.StringIO(lines))
        return typed(*words)

    return go


def test_from_complaint_to_mark(say: Say, begun: str) -> None:
    """Begun, asked, left, gone on with, given up: minutes go on and nothing shows the fault before the end."""
    first = say("drill", begun, lines="volts lantern.58 to frame with lantern-switch on\nwatch lantern\n")
    assert (first.status, first.err) == (0, "")
    assert "lantern weak" in first.out and "Kept. Go on with: ohmtrail drill a.drill" in first.out
    minutes = re.findall(r"([\d.]+) min so\s+far", first.out)
    gone_on = say("drill", "a.drill", "--json", lines="")
    assert gone_on.made["drill"]["result"] is None
    assert [item["kind"] for item in gone_on.made["drill"]["done"]] == ["reading", "reading"]
    assert abs(gone_on.made["drill"]["minutes"] - float(minutes[-1])) < 0.06
    before = Path("a.drill").read_text(encoding="utf-8")
    ended = say("drill", "a.drill", lines="give up\n")
    assert "Given up" in ended.out and "0 of 100" in ended.out and "Ohmtrail's route" in ended.out
    fault = re.search(r"It was: (.*?)\. Mend: (.*)\.", ended.out)
    assert fault is not None
    for shown in (first.out, gone_on.out, before):
        assert fault.group(1) not in shown and f"mend {fault.group(2)}" not in shown
    last = journal.load("a.drill", kind="drill", version=1)[-1]
    assert (last.kind, last.data["outcome"], last.data["points"]) == ("end", "given-up", "0")
    told = say("drill", "--summary", "a.drill")
    assert "Ann" in told.out and "given up" in told.out and fault.group(1) in told.out
    said = " ".join(told.out.split())
    assert re.search(r"0 of 100, given up; drill \d+ \([a-z-]+\): [\d.]+ min of work, 2 readings(, \d of which told nothing new| that told nothing new)?; Ohmtrail's route takes ", said)


def test_a_summary_is_in_words_that_a_trainer_understands(say: Say, begun: str) -> None:
    """A drill that was given up at once has no nought minutes and no nought that told nothing."""
    assert say("drill", begun, lines="give up\n").status == 0
    said = " ".join(say("drill", "--summary", "a.drill").out.split())
    assert re.search(r"0 of 100, given up; drill \d+ \([a-z-]+\): ended before anything was measured or mended; Ohmtrail's route takes [\d.]+ min and \d+ readings?", said)
    assert "told nothing" not in said and not re.search(r"\b0 min", said)


def test_a_typing_mistake_takes_no_minutes_and_a_danger_is_marked(say: Say, begun: str) -> None:
    """Mistakes leave no trace in the file; what could hurt is stopped, and stands in it."""
    lines = "volts lantrn.58 frame\nohms lantern.58 frame 3\nmend renew lantern-11\nnonsense\nmend\nset lantern-switch of\n"
    ran = say("drill", begun, lines=lines)
    assert ran.status == 2
    assert ran.out.count("No minutes") == 6
    assert "'lantern.58'" in ran.out and "renew lantern-1" in ran.out
    assert len(journal.load("a.drill", kind="drill", version=1)) == 1
    ran = say("drill", "a.drill", "--json", lines="ohms lantern.58 frame\nac plug-top.HT frame with engine cranking\n")
    assert ran.status == 0
    assert [(item["kind"], item["note"]) for item in ran.made["drill"]["done"]] == [("danger", "dead-circuit"), ("danger", "high-tension")]
    assert ran.made["drill"]["minutes"] == 0.0


def test_a_hint_is_a_step_of_the_best_way_and_is_counted(say: Say, begun: str) -> None:
    """It names a reading, a look or a function, and not the mend."""
    ran = say("drill", begun, "--hint", "--json")
    done = ran.made["drill"]["done"]
    assert [item["kind"] for item in done] == ["hint"]
    assert "set:" in done[0]["note"] and "renew" not in done[0]["note"]
    again = say("drill", begun, "--hint", "--json").made["drill"]["done"]
    assert again == done, "asked for twice in a row it is the same, and costs once"


def test_names_and_mends_are_listed_without_minutes(say: Say, begun: str) -> None:
    """What a learner may type: points, functions, switches with their positions, mends; the list of what was done."""
    ran = say("drill", begun, lines="names lantern\nmends lantern-1\nnames xyzzy\nlist\nhelp\n")
    assert ran.status == 0
    said = " ".join(ran.out.split())
    for name in ("lantern-switch at off or on", "lantern.58", "lantern-light", "renew lantern-1", "nothing like it", "Nothing was done yet"):
        assert name in said
    assert len(journal.load("a.drill", kind="drill", version=1)) == 1


def test_cards_for_a_class(say: Say) -> None:
    """Two files: the learners' names no fault and shows no value, the trainer's has both; the same seed, the same cards."""
    words = ("drill", MACHINE, "--class", "2", "--function", "lantern-light", "--seed", "4", "--json")
    made = say(*words, "-o", "a.html").made["cards"]
    pages = {name: Path(f"{name}.html").read_text(encoding="utf-8") for name in ("a", "a-answers")}
    assert [item["number"] for item in made] == [1, 2]
    assert made[0]["fault"] != made[1]["fault"]
    for item in made:
        assert item["fault"] not in pages["a"] and item["mends"][0] not in pages["a"]
        assert item["fault"] in pages["a-answers"] and item["mends"][0] in pages["a-answers"]
        assert {row["number"] for row in item["readings"]} >= set(item["best"]) and item["best"]
        assert item["best_minutes"] > 0.0
    asked = [[(row["number"], row["asked"]) for row in item["readings"]] for item in made]
    assert asked[0] == asked[1]
    assert pages["a"].count('class="told-box"') == sum(len(item["readings"]) for item in made)
    assert "over range" not in pages["a"] and "over range" in pages["a-answers"]
    assert "http" not in pages["a"].replace("http-equiv", "")


def test_killed_it_loses_nothing(say: Say, begun: str, tmp_path: Path) -> None:
    """Every answer that was shown is in the file when the process is killed."""
    command = [sys.executable, "-u", "-c", "from ohmtrail.cli import main; main()", "drill", begun]
    with subprocess.Popen(command, cwd=tmp_path, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin is not None and process.stdout is not None
        process.stdin.write("watch lantern\nvolts battery.+ battery.-\n")
        process.stdin.flush()
        shown = ""
        until = time.monotonic() + 60.0
        while "volts battery.+ to battery.-" not in shown and time.monotonic() < until:
            shown += process.stdout.readline()
        os.kill(process.pid, signal.SIGKILL)
    records = journal.load("a.drill", kind="drill", version=1)
    assert [item.kind for item in records] == ["start", "reading", "reading"]
    assert say("drill", "a.drill", "--json").made["drill"]["minutes"] > 0.0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("drill", "none.yaml"), "none.yaml"),
        (("drill", MACHINE, "--level", "dubble"), "double"),
        (("drill", MACHINE, "--function", "lantrn"), "lantern-light"),
        (("drill", MACHINE, MACHINE), "--summary"),
        (("drill", "--summary", MACHINE), "not a drill"),
        (("drill", MACHINE, "--seed", "-1"), "--seed"),
        (("drill", MACHINE, "--class", "2"), "--out"),
        (("drill", MACHINE, "--class", "2", "-o", "a.txt"), ".html"),
    ],
)
def test_bad_input_is_one_sentence(say: Say, words: tuple[str, ...], said: str) -> None:
    """Status 2, and no file is left behind."""
    ran = say(*words)
    assert (ran.status, ran.out) == (2, "")
    assert said in ran.err and ran.err.count("\n") == 1
    assert not list(Path().glob("*.drill"))


def test_a_file_that_does_not_fit_is_refused(say: Say) -> None:
    """Its harness changed, its seal another, its name taken."""
    text = Path(MACHINE).read_text(encoding="utf-8")
    Path("m.yaml").write_text(text, encoding="utf-8")
    words = ("drill", "m.yaml", *SEEDED[2:])
    say(*words)
    taken = say(*words)
    assert taken.status == 2 and "go on with it: ohmtrail drill a.drill" in taken.err
    Path("m.yaml").write_text(text + "\n# changed\n", encoding="utf-8")
    assert "has changed since this drill began" in say("drill", "a.drill").err
    Path("m.yaml").unlink()
    assert "is gone" in say("drill", "a.drill").err
