"""Programs that are killed at any moment, and programs that write at once, lose nothing that was promised."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from ohmtrail import journal
from ohmtrail.storage import write_whole

ADDER = """
import sys
from datetime import UTC, datetime
from ohmtrail import journal
path, name, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
print("ready", flush=True)
sys.stdin.readline()
for turn in range(count):
    entry = journal.append(
        path, kind="job", version=1, record="reading", now=datetime.now(UTC), timeout_s=60,
        data={"value": f"{name}-{turn}", "note": "x" * (turn * 37 % 9000)},
    )
    print(turn, flush=True)
"""
REWRITER = """
import sys
from ohmtrail.storage import write_whole
print("ready", flush=True)
sys.stdin.readline()
for turn in range(10**9):
    write_whole(sys.argv[1], f"{turn} " * 3000 + "end")
    print(turn, flush=True)
"""


def start(code: str, path: Path, *words: str) -> subprocess.Popen[str]:
    """Start a writer and wait until it only needs the word to begin."""
    command = [sys.executable, "-c", code, str(path), *words]
    writer = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert writer.stdout is not None
    assert writer.stdout.readline() == "ready\n"
    return writer


def go(*writers: subprocess.Popen[str]) -> None:
    """Let the writers begin together."""
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()


def promised(writer: subprocess.Popen[str]) -> int:
    """Count the writes that the writer was told are safe."""
    out, _ = writer.communicate()
    return len([line for line in out.split("\n")[:-1] if line])


def kill_soon(writer: subprocess.Popen[str], chance: random.Random) -> int:
    """Kill a writer at some moment, and count what it had been promised."""
    go(writer)
    time.sleep(chance.uniform(0, 0.04))
    writer.kill()
    return promised(writer)


def values(path: Path) -> list[str]:
    """Read the values in the job."""
    return [str(entry.data["value"]) for entry in journal.load(path, kind="job", version=1)]


def new_job(folder: Path) -> Path:
    """Make an empty job."""
    path = folder / "bike.job"
    journal.create(path, kind="job", version=1)
    return path


def kill_adders(folder: Path, rounds: int, seed: int) -> None:
    """Kill one writer after the other on one job; what was promised is there, in order, once."""
    chance, path, safe = random.Random(seed), new_job(folder), list[str]()
    for turn in range(rounds):
        count = kill_soon(start(ADDER, path, f"w{turn}", "1000000"), chance)
        found = values(path)
        mine = [value for value in found if value.startswith(f"w{turn}-")]
        assert found[: len(safe)] == safe
        assert mine == [f"w{turn}-{item}" for item in range(len(mine))]
        assert count <= len(mine) <= count + 1, "at most the one under way is there unpromised"
        safe = found
    assert os.listdir(folder) == ["bike.job"]


def kill_rewriters(folder: Path, rounds: int, seed: int) -> None:
    """Kill writers of a whole file; there is always one whole version, not older than promised."""
    chance, path = random.Random(seed), folder / "sheet.txt"
    for _ in range(rounds):
        path.write_text("-1 " * 3000 + "end", encoding="utf-8")
        count = kill_soon(start(REWRITER, path), chance)
        *words, end = path.read_text(encoding="utf-8").split(" ")
        assert (len(words), len(set(words)), end) == (3000, 1, "end")
        assert count - 1 <= int(words[0]) <= count
    write_whole(path, "done")
    assert os.listdir(folder) == ["sheet.txt"], "the next write clears what the killed ones left"


def test_killed_while_adding(tmp_path: Path) -> None:
    """Kill -9 at random moments: every promised record is there, and nothing stays beside the job."""
    kill_adders(tmp_path, 20, 1)


def test_killed_while_rewriting(tmp_path: Path) -> None:
    """Kill -9 at random moments: the old text or the new one, and no litter after the next write."""
    kill_rewriters(tmp_path, 20, 2)


@pytest.mark.slow
def test_killed_often(tmp_path: Path) -> None:
    """The same, five hundred times each."""
    for name, campaign in (("adders", kill_adders), ("rewriters", kill_rewriters)):
        (tmp_path / name).mkdir()
        campaign(tmp_path / name, 500, 3)


@pytest.mark.parametrize(("names", "count"), [("ab", 40), ("abcdefgh", 12), pytest.param("abcdefgh", 200, marks=pytest.mark.slow)])
def test_writers_at_once(tmp_path: Path, names: Sequence[str], count: int) -> None:
    """Two and eight programs at once: none lost, none doubled, each one's order kept."""
    path = new_job(tmp_path)
    writers = [start(ADDER, path, name, str(count)) for name in names]
    go(*writers)
    assert [promised(writer) for writer in writers] == [count] * len(names)
    found = values(path)
    assert len(found) == count * len(names)
    for name in names:
        assert [value for value in found if value.startswith(name)] == [
            f"{name}-{turn}" for turn in range(count)
        ]
    assert os.listdir(tmp_path) == ["bike.job"]


def test_read_while_others_add(tmp_path: Path) -> None:
    """A reader sees whole records only, and never fewer than before."""
    path, seen = new_job(tmp_path), 0
    writer = start(ADDER, path, "a", "60")
    go(writer)
    while writer.poll() is None and seen < 60:
        found = values(path)
        assert len(found) >= seen
        seen = len(found)
    assert promised(writer) == 60


def test_first_writers_at_once(tmp_path: Path) -> None:
    """Of several programs that begin the same job, one does, and the others are told."""
    code = """
import sys
from ohmtrail import journal
from ohmtrail.errors import JobError
print("ready", flush=True)
sys.stdin.readline()
try:
    journal.create(sys.argv[1], kind="job", version=1)
    print("made", flush=True)
except JobError as error:
    pass
"""
    path = tmp_path / "bike.job"
    command = [sys.executable, "-c", code, str(path)]
    writers = [
        subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) for _ in range(4)
    ]
    made = sum("made" in writer.communicate("go\n")[0] for writer in writers)
    assert made == 1
    assert os.listdir(tmp_path) == ["bike.job"]


def test_works_without_a_home(tmp_path: Path) -> None:
    """An empty environment is enough to add to a job."""
    path = new_job(tmp_path)
    command = [sys.executable, "-c", ADDER, str(path), "a", "1"]
    subprocess.run(command, env={}, check=True, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    assert values(path) == ["a-0"]
