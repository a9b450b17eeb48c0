"""The netlist command: a machine in one setting, as another program reads it."""

import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")


def test_a_netlist_on_standard_output_is_nothing_else(typed: Any) -> None:
    """The whole of it is the netlist: comments, cards and commands, from the machine's name to the end."""
    ran = typed("netlist", MACHINE)
    assert (ran.status, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[:2] == ["* Skerry 9 outboard", "* setting: everything at rest"]
    assert lines[-1] == ".end"
    assert all(line[0] in "*.RVBLC" for line in lines)


def test_a_file_is_written_whole_and_named(typed: Any) -> None:
    """-o writes the same text, says where it is, and takes the place of what was there."""
    Path("a.cir").write_text("old", encoding="utf-8")
    ran = typed("netlist", MACHINE, "-o", "a.cir")
    assert (ran.status, ran.out) == (0, "Written to a.cir.\n")
    assert Path("a.cir").read_text(encoding="ascii") == typed("netlist", MACHINE).out
    assert typed("netlist", MACHINE, "-o", "no-such-folder/a.cir").status == 74


def test_a_function_sets_the_machine_and_set_changes_it(typed: Any) -> None:
    """--function puts its switches and engine, --with whatever is named after it, lead ends included."""
    words = ("netlist", MACHINE, "--function", "spark-top", "--with", "lanyard pulled", "--with", "stop-1.from lifted")
    ran = typed(*words)
    assert ran.out.splitlines()[1] == "* setting: lanyard at pulled, stop-1.from lifted, engine cranking"
    assert ".ac lin 1" in ran.out
    assert ".ac" not in typed(*words, "--with", "engine still").out


def test_a_fault_is_planted_with_its_severity(typed: Any) -> None:
    """--fault changes the circuit by what --severity says, else by the middle of its range."""
    ran = typed("netlist", MACHINE, "--fault", "Stop-1 Leak", "--severity", "8")
    change = next(line for line in ran.out.splitlines() if line.startswith("* change: shunt"))
    assert change.endswith(" 8")
    made = typed("netlist", MACHINE, "--fault", "stop-1 leak", "--json").made["netlist"]
    assert made["planted"]["fault"] == "stop-1 leak"
    assert f"{made['planted']['severity']:g}" in made["text"]
    assert typed("netlist", MACHINE, "--json").made["netlist"]["planted"] is None


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--fault", "stop-1 lek"), "stop-1 leak"),
        (("--function", "sparktop"), "spark-top"),
        (("--with", "lanyard puled"), "pulled"),
        (("--with", "lanyrd pulled"), "lanyard"),
        (("--with", "lanyard"), "does not say how"),
        (("--with", "= pulled"), "lead end"),
        (("--fault", "stop-1 leak", "--severity", "0"), "above nought"),
        (("--fault", "stop-1 leak", "--severity", "nan"), "above nought"),
        (("--severity", "4"), "--fault"),
    ],
)
def test_what_cannot_be_is_refused_with_the_nearest_right_word(typed: Any, words: tuple[str, ...], said: str) -> None:
    """A wrong name, state or severity ends with status 2 and a sentence that helps."""
    ran = typed("netlist", MACHINE, *words)
    assert (ran.status, ran.out) == (2, "")
    assert said in ran.err
    assert ran.err.count("\n") == 1


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_ngspice_takes_what_is_written(typed: Any) -> None:
    """Every setting of a function runs there without a word of complaint."""
    for function in ("spark-top", "charging"):
        typed("netlist", MACHINE, "--function", function, "-o", "a.cir")
        ran = subprocess.run(["ngspice", "-b", "-r", "a.raw", "a.cir"], capture_output=True, text=True, check=False)
        assert ran.returncode == 0, ran.stderr
        assert "rror" not in ran.stderr
