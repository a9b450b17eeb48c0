"""Commands asked of hostile files, each in a folder of its own; what was said, and which files changed."""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["Answer", "Asked", "ask_all", "check_answer"]

DRIVER = Path(__file__).parents[1] / "driver.py"
MOST_S, MOST_MB = 2.0, 300.0


@dataclass(frozen=True)
class Asked:
    """One hazard: its files, the command, the exit status wanted, and what the answer must contain.

    ``says`` holds the place, the value and the remedy of a refusal; ``lines`` is how many sentences it has at most;
    ``makes`` names the files that the command may write where it is not refused.
    """

    name: str
    files: Mapping[str, bytes]
    words: tuple[str, ...]
    status: int
    says: tuple[str, ...]
    makes: tuple[str, ...] = ()
    lines: int = 1


@dataclass(frozen=True)
class Answer:
    """What came of it."""

    status: int
    out: str
    err: str
    seconds: float
    peak_mb: float
    changed: tuple[str, ...] = field(default=())


def _bytes(folder: Path) -> dict[str, bytes]:
    return {str(item.relative_to(folder)): item.read_bytes() for item in folder.rglob("*") if item.is_file() and not item.is_symlink()}


def _bounded() -> None:
    """Far above what is allowed, so that what runs away ends by itself."""
    resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))


def ask_all(cases: Sequence[Asked], folder: Path, warm: Asked) -> dict[str, Answer]:
    """Ask everything of one process, which has answered one harmless question before."""
    places = {case.name: folder / str(index) for index, case in enumerate(cases)}
    for case in cases:
        places[case.name].mkdir()
        for name, data in case.files.items():
            (places[case.name] / name).write_bytes(data)
    orders = [{"name": case.name, "words": case.words, "folder": str(places[case.name])} for case in cases]
    orders[0]["warm"] = warm.words
    before = {name: _bytes(place) for name, place in places.items()}
    done = subprocess.run(
        [sys.executable, str(DRIVER)],
        input=json.dumps(orders),
        capture_output=True,
        text=True,
        env={**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "COLUMNS": "500"},
        timeout=600,
        check=False,
        preexec_fn=_bounded,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    found = {}
    for said in json.loads(done.stdout):
        name = said.pop("name")
        now = _bytes(places[name])
        changed = sorted(file for file in before[name] | now if now.get(file) != before[name].get(file))
        found[name] = Answer(**said, changed=tuple(changed))
    return found


def check_answer(case: Asked, found: Answer) -> None:
    """The status and the words wanted, in time and in memory; a refusal is one sentence and leaves every file alone."""
    said = found.out + found.err
    # 1 says that something was found, or that readings do not fit together: an answer like any other
    assert found.status in ((0, 1) if case.status == 0 else (case.status,)), said[:900]
    assert "Warning" not in found.err, found.err[:900]
    assert "Traceback" not in said and "mistake of ours" not in said
    assert [word for word in case.says if word not in said] == [], said[:900]
    assert found.seconds < MOST_S
    assert found.peak_mb < MOST_MB
    if case.status:
        assert found.err.strip() and found.out == ""
        assert len(found.err) < 20_000
        assert found.err.count("\n") <= case.lines, found.err[:900]
    assert set(found.changed) <= (set() if case.status else set(case.makes)), found.changed
