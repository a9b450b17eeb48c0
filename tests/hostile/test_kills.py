"""Programs killed while they write a record of changes or a drill: what was promised is there, and the file opens."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ohmtrail import workbench
from ohmtrail.changes.reading import read_record
from ohmtrail.journal import load
from ohmtrail.training import Wish
from ohmtrail.workbench import note_change
from ohmtrail.workbench.particulars import Particulars

CIRCUITS = Path(__file__).parents[2] / "circuits"
#: kills of each kind in the campaign
ROUNDS = 500
NOW = datetime(2031, 5, 4, 9, 12, tzinfo=UTC)

CHANGER = """
import sys
from datetime import UTC, datetime
from ohmtrail import workbench
from ohmtrail.workbench.particulars import Particulars
record, turn = sys.argv[1], int(sys.argv[2])
print("ready", flush=True)
while True:
    about = Particulars(by="A. Keel", why=f"reason {turn}")
    workbench.note_change(record, about, [f"lead stop-2 renewed covering={('pvc', 'silicone')[turn % 2]}"], harness="outboard.yaml", now=datetime.now(UTC))
    print(turn, flush=True)
    turn += 1
"""
LEARNER = """
import sys
from datetime import UTC, datetime
from ohmtrail import workbench
opened = workbench.open_drill(sys.argv[1])
print("ready", flush=True)
while True:
    workbench.ask(opened, "volts battery.+ battery.-", now=datetime.now(UTC))
    print(len(opened.course.done), flush=True)
"""


class Moments:
    """When to kill: at random, so that about half the programs have written by then, however busy the machine is."""

    def __init__(self, seed: int) -> None:
        self.chance, self.most_s = random.Random(seed), 0.5

    def next_s(self) -> float:
        """The next moment, second."""
        return self.chance.uniform(0.0, self.most_s)

    def learn(self, wrote: bool) -> None:
        """Kill sooner after one that wrote, later after one that did not."""
        self.most_s *= 0.8 if wrote else 1.25


def killed(code: str, folder: Path, path: Path, moments: Moments, *words: str) -> list[int]:
    """Let a program write for a moment, kill it, and give the numbers it was promised."""
    with subprocess.Popen([sys.executable, "-c", code, path.name, *words], cwd=folder, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
        time.sleep(moments.next_s())
        writer.kill()
        said, _ = writer.communicate()
    told = [int(line) for line in said.split("\n")[:-1] if line]
    moments.learn(bool(told))
    return told


def changers(folder: Path, rounds: int) -> int:
    """Kill one after the other on one record; every promised entry is there, in order, at most one more."""
    moments, record, safe = Moments(4), folder / "bike.record", 0
    shutil.copy(CIRCUITS / "outboard.yaml", folder)
    for _ in range(rounds):
        told = killed(CHANGER, folder, record, moments, str(safe))
        reasons = [item.why for item in read_record(str(record)).record.changes] if record.exists() else []
        count = len(reasons)
        assert reasons == [f"reason {turn}" for turn in range(count)]
        assert safe + len(told) <= count <= safe + len(told) + 1
        safe = count
    note_change(record, Particulars(by="A. Keel", why=f"reason {safe}"), ["lead stop-1 renewed covering=silicone"], harness=folder / "outboard.yaml", now=NOW)
    assert len(read_record(str(record)).record.changes) == safe + 1
    assert sorted(os.listdir(folder)) == ["bike.record", "outboard.yaml"], "the next write clears what the killed ones left"
    return safe


def learners(folder: Path, rounds: int) -> int:
    """Kill one after the other on one drill; every answer that was shown is there, at most one more."""
    moments, path, safe = Moments(5), folder / "a.drill", 0
    shutil.copy(CIRCUITS / "outboard.yaml", folder)
    here = os.getcwd()
    os.chdir(folder)
    try:
        workbench.new_drill("outboard.yaml", wish=Wish("single", "lantern-light", 7), path=path.name, now=NOW)
    finally:
        os.chdir(here)
    for _ in range(rounds):
        told = killed(LEARNER, folder, path, moments)
        count = sum(item.kind == "reading" for item in load(path, kind="drill", version=1))
        last = told[-1] if told else safe
        assert last <= count <= last + 1
        safe = count
    assert sorted(os.listdir(folder)) == ["a.drill", "outboard.yaml"]
    return safe


def test_killed_while_changes_are_noted(tmp_path: Path) -> None:
    """Four kills at random moments."""
    assert changers(tmp_path, 4) > 0


def test_killed_while_a_drill_is_answered(tmp_path: Path) -> None:
    """Two kills at random moments."""
    assert learners(tmp_path, 2) > 0


@pytest.mark.slow
def test_killed_often(tmp_path: Path) -> None:
    """Five hundred kills of each; with those of the job file these are the figures of the campaign."""
    for name, campaign in (("changes", changers), ("drills", learners)):
        (tmp_path / name).mkdir()
        print(f"{name}: {ROUNDS} kills, {campaign(tmp_path / name, ROUNDS)} writes kept")
