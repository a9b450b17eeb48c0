"""A full or read-only disk, for every file a command writes: a sentence, and the old file as it was."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")
NOTED = ("--by", "A. Keel", "--why", "rotten", "--step", "lead stop-2 renewed covering=silicone")
#: what a command writes to, and the command; each finds its old file in place
WRITES = {
    "reading": ("a.job", ("read", "a.job", "spark-bottom absent")),
    "strike": ("a.job", ("strike", "a.job", "1", "--why", "not so")),
    "mend": ("a.job", ("mend", "a.job", "renew stop-2")),
    "change": ("a.record", ("changes", "add", "a.record", "--harness", MACHINE, *NOTED)),
    "harness": ("now.yaml", ("changes", "apply", "a.record", "-o", "now.yaml", "--replace")),
    "report": ("report.html", ("report", "a.job", "-o", "report.html")),
    "sheet": ("sheet.html", ("sheet", MACHINE, "-o", "sheet.html")),
    "picture": ("path.svg", ("draw", MACHINE, "--function", "spark-top", "-o", "path.svg")),
    "leads": ("leads.csv", ("export", MACHINE, "-o", "leads.csv")),
    "netlist": ("net.cir", ("netlist", MACHINE, "-o", "net.cir")),
    "lesson": ("lesson.html", ("lesson", MACHINE, "-o", "lesson.html")),
}


CASES = [*((what, errno.ENOSPC) for what in WRITES), *((what, code) for what in ("reading", "change") for code in (errno.EROFS, errno.EDQUOT, errno.EIO))]


@pytest.fixture
def kept(started: Any, tmp_path: Path) -> Any:
    """A job, a record, and an old file for every other command."""
    assert started("changes", "add", "a.record", "--harness", MACHINE, *NOTED[:-1], "lead stop-1 renewed covering=silicone").status == 0
    for name, _ in WRITES.values():
        file = tmp_path / name
        if not file.exists():
            file.write_text("old\n", encoding="utf-8")
    return started


@pytest.mark.parametrize(("what", "code"), CASES)
def test_a_disk_that_takes_no_more(kept: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str, code: int) -> None:
    """The first half of a write goes through, the rest does not."""
    name, words = WRITES[what]
    if what == "report":
        assert kept("read", "a.job", "stop-by-button fails").status == 0
    before = {item.name: item.read_bytes() for item in tmp_path.iterdir() if item.is_file()}
    write, left = os.write, [1]

    def full(descriptor: int, data: bytes) -> int:
        if descriptor <= 2:
            return write(descriptor, data)
        left[0] -= 1
        if left[0] >= 0 and len(data) > 1:
            return write(descriptor, bytes(data)[: len(data) // 2])
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "write", full)
    ran = kept(*words)
    monkeypatch.undo()
    assert ran.status == 74, (ran.out, ran.err)
    assert name in ran.err
    assert "Traceback" not in ran.err and "mistake of ours" not in ran.err
    assert (tmp_path / name).read_bytes() == before[name]
    assert {item.name for item in tmp_path.iterdir() if item.is_file()} == set(before)
