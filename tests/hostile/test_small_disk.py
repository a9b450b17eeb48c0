"""A disk that is really full, and one that really cannot be written to: a sentence, the old files whole, nothing beside them.

A small file system in memory is mounted for it, which needs the rights to do so; where they are missing the tests step aside.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from tests.hostile.harness_cases import SOUND

from ohmtrail import workbench
from ohmtrail.errors import StorageError
from ohmtrail.job import read_job

DRIVER = Path(__file__).parents[1] / "driver.py"
NOTED = ("--by", "A. Keel", "--why", "rotten", "--step")
#: what writes to a file that is there, and the file; long enough to need more of the disk than the file has
WRITES = {
    "reading": ("a.job", ("read", "a.job", "volts lamp.1 frame 11.9 with key on")),
    "strike": ("a.job", ("strike", "a.job", "1", "--why", "x" * 9000)),
    "mend": ("a.job", ("mend", "a.job", "renew live")),
    "change": ("a.record", ("changes", "add", "a.record", *NOTED, "lead back renewed covering=silicone")),
    "undo": ("a.record", ("changes", "undo", "a.record", "--to", "2020", "--by", "A. Keel", "--why", "no")),
    "harness": ("now.yaml", ("changes", "apply", "a.record", "-o", "now.yaml", "--replace")),
    "leads": ("leads.csv", ("export", "bike.yaml", "-o", "leads.csv")),
    "picture": ("path.svg", ("draw", "bike.yaml", "--function", "lamp-lights", "-o", "path.svg")),
    "answer": ("a.drill", ("drill", "a.drill")),
}
#: what makes a file that is not there yet
MAKES = (
    ("start", "new.job", "--harness", "bike.yaml", "--complaint", "lamp-lights absent"),
    ("import", "leads.csv", "-o", "new.yaml"),
    ("sheet", "bike.yaml", "-o", "new.html"),
    ("changes", "add", "new.record", "--harness", "bike.yaml", *NOTED, "lead back renewed covering=silicone"),
)
#: what only reads
READS = (("check", "bike.yaml"), ("suspects", "a.job"), ("changes", "list", "a.record"), ("drill", "--summary", "a.drill"))


def _mounted(place: Path, *options: str) -> None:
    """Mount, or step aside."""
    if shutil.which("mount") is None:
        pytest.skip("there is no mount here")
    done = subprocess.run(["mount", *options, str(place)], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"nothing can be mounted here: {done.stderr.strip()}")


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job, a record, a drill and papers."""
    place = tmp_path_factory.mktemp("begun") / "files"
    place.mkdir()
    (place / "bike.yaml").write_text(SOUND, encoding="utf-8")
    for name in ("now.yaml", "path.svg"):
        (place / name).write_text("old\n", encoding="utf-8")
    orders = (
        ("start", "a.job", "--harness", "bike.yaml", "--complaint", "lamp-lights absent"),
        ("read", "a.job", "volts battery.+ frame 12.6"),
        ("changes", "add", "a.record", "--harness", "bike.yaml", *NOTED, "lead live renewed covering=silicone"),
        ("export", "bike.yaml", "-o", "leads.csv"),
        ("drill", "bike.yaml", "--seed", "3", "--unsplit", "--file", "a.drill"),
    )
    for words, said in zip(orders, run(place, orders), strict=True):
        assert said["status"] == 0, (words, said["err"])
    return place


@pytest.fixture
def disk(tmp_path: Path, begun: Path) -> Iterator[Path]:
    """A file system of 64 kB with all of them on it."""
    place = tmp_path / "disk"
    place.mkdir()
    _mounted(place, "-t", "tmpfs", "-o", "size=64k", "tmpfs")
    try:
        shutil.copytree(begun, place, dirs_exist_ok=True)
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def run(place: Path, orders: Sequence[Sequence[str]]) -> list[dict[str, Any]]:
    """Commands one after the other in one process."""
    asked = [{"name": str(index), "words": words, "folder": str(place)} for index, words in enumerate(orders)]
    # the answer of a drill comes from the keyboard
    done = subprocess.run(
        [sys.executable, str(DRIVER), json.dumps(asked)],
        input="volts battery.+ battery.-\n" * 3, capture_output=True, text=True, timeout=300, check=False,
        env={**os.environ, "XDG_CACHE_HOME": str(place.parent / "cache")},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


def fill(place: Path) -> None:
    """Leave no byte of the disk free."""
    with (place / "ballast").open("wb", buffering=0) as file:
        for size in (4096, 1):
            try:
                while file.write(b"x" * size):
                    pass
            except OSError:
                continue


def _kept(place: Path) -> dict[str, bytes]:
    return {item.name: item.read_bytes() for item in place.iterdir()}


def _refused(said: dict[str, Any], words: Sequence[str]) -> None:
    assert said["status"] == 74, (words, said)
    assert said["err"].strip().count("\n") == 0, said["err"]
    assert "Traceback" not in said["err"] and "mistake of ours" not in said["err"]


def test_a_full_disk(disk: Path) -> None:
    """What does not fit is refused with the file's name; all old files are as they were, and nothing stands beside them."""
    fill(disk)
    before = _kept(disk)
    orders = [words for _, words in WRITES.values()] + list(MAKES)
    names = [name for name, _ in WRITES.values()] + [next(word for word in words if "new." in word) for words in MAKES]
    small = {"reading", "mend", "answer"}  # a few lines may still fit into the last page of their file
    after = dict(before)
    for what, name, words, said in zip([*WRITES, *names[len(WRITES) :]], names, orders, run(disk, orders), strict=True):
        if what in small and said["status"] == 0:
            after.pop(name, None)
            continue
        _refused(said, words)
        assert name in said["err"], (words, said["err"])
        assert "space" in said["err"].casefold() or "full" in said["err"].casefold(), said["err"]
    now = _kept(disk)
    assert set(now) == set(before)
    assert {name: now[name] for name in after} == after


def test_readings_until_the_disk_is_full(disk: Path) -> None:
    """Every line that was taken is there, in order, and the file opens; what came after was refused, and space lets it go on."""
    job, taken, refused = disk / "a.job", list[str](), 0
    for turn in range(300):
        said = f"{turn} " + "x" * (200 + turn * 37 % 80)
        try:
            workbench.read(job, f"note {said}".strip(), now=datetime.now(UTC))
            taken.append(said.strip())
        except StorageError as error:
            assert "a.job" in str(error) and "\n" not in str(error)
            refused += 1
        if refused > 20:
            break
    assert len(taken) > 20 and refused > 20
    assert list(read_job(str(job)).notes) == taken
    assert not [item for item in disk.iterdir() if item.name.startswith((".", "a.job."))]
    (disk / "path.svg").unlink()
    workbench.read(job, "note there is space again", now=datetime.now(UTC))
    assert list(read_job(str(job)).notes) == [*taken, "there is space again"]


def test_a_disk_that_cannot_be_written_to(disk: Path) -> None:
    """Everything can still be read; whatever writes is refused, and every file is as it was."""
    before = _kept(disk)
    _mounted(disk, "-o", "remount,ro")
    writes = [words for _, words in WRITES.values()] + list(MAKES)
    said = run(disk, [*READS, *writes])
    for words, one in zip(READS, said, strict=False):
        assert one["status"] in (0, 1), (words, one)
    for words, one in zip(writes, said[len(READS) :], strict=True):
        _refused(one, words)
        assert "read-only" in one["err"].casefold(), one["err"]
    assert _kept(disk) == before
