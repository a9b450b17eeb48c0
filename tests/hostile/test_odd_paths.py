"""What is no ordinary file: each is answered at once with a sentence, and nothing is made or changed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.hostile.harness_cases import SOUND

DRIVER = Path(__file__).parents[1] / "driver.py"


def _folder(place: Path) -> None:
    place.mkdir()


def _loop(place: Path) -> None:
    place.symlink_to(place.name)


def _gone_link(place: Path) -> None:
    place.symlink_to("nowhere.yaml")


def _fifo(place: Path) -> None:
    os.mkfifo(place)


def _vast(place: Path) -> None:
    with place.open("wb") as file:
        file.truncate(2 * 1024**3)


def _device(place: Path) -> None:
    place.symlink_to("/dev/zero")


ODD: dict[str, tuple[Callable[[Path], None] | None, str]] = {
    "folder": (_folder, "folder"),
    "loop-of-links": (_loop, "leads to no file"),
    "link-to-nothing": (_gone_link, "leads to no file"),
    "pipe": (_fifo, "not a regular file"),
    "two-gigabytes": (_vast, "larger than"),
    "device": (_device, "not a regular file"),
    "not-there": (None, "no file"),
}


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """What reading commands say to each, as harness, as job, and as a harness to begin a job with."""
    folder = tmp_path_factory.mktemp("odd")
    (folder / "sound.yaml").write_text(SOUND, encoding="utf-8")
    orders: list[dict[str, Any]] = [{"name": "sound", "words": ["check", "sound.yaml"], "warm": ["check", "sound.yaml"]}]
    for name, (make, _) in ODD.items():
        if make is not None:
            make(folder / name)
        orders += [
            {"name": f"check {name}", "words": ["check", name]},
            {"name": f"suspects {name}", "words": ["suspects", name]},
            {"name": f"read {name}", "words": ["read", name, "lamp-lights fails"]},
            {"name": f"start {name}", "words": ["start", "new.job", "--harness", name, "--complaint", "lamp-lights absent"]},
            {"name": f"drill {name}", "words": ["drill", name]},
            {"name": f"import {name}", "words": ["import", name, "-o", "new.yaml"]},
            {"name": f"changes {name}", "words": ["changes", "list", name]},
            {"name": f"compare {name}", "words": ["compare", name]},
            {"name": f"draw {name}", "words": ["draw", name, "--whole", "-o", "new.svg"]},
            {"name": f"trace {name}", "words": ["trace", name, "lamp-lights"]},
            {"name": f"survey {name}", "words": ["survey", name]},
            {"name": f"sheet {name}", "words": ["sheet", name, "-o", "new.html"]},
            {"name": f"lesson {name}", "words": ["lesson", name, "-o", "new.html"]},
            {"name": f"report {name}", "words": ["report", name, "-o", "new.html"]},
        ]
    orders.append({"name": "check long", "words": ["check", "x" * 5000]})
    orders.append({"name": "check nul", "words": ["check", "a\x00b"]})
    orders.append({"name": "check empty", "words": ["check", ""]})
    done = subprocess.run(
        [sys.executable, str(DRIVER)], input=json.dumps(orders), capture_output=True, text=True, cwd=folder, timeout=120, check=True
    )
    assert not list(folder.glob("new.*"))
    return {item["name"]: item for item in json.loads(done.stdout)}


@pytest.mark.parametrize("verb", ["check", "suspects", "read", "start", "drill", "import", "changes", "compare", "draw", "trace", "survey", "sheet", "lesson", "report"])
@pytest.mark.parametrize("name", list(ODD))
def test_an_odd_path(verb: str, name: str, answers: dict[str, dict[str, Any]]) -> None:
    """Status 2 and what it is, within 2 s and 300 MB."""
    found = answers[f"{verb} {name}"]
    assert found["status"] == 2, found
    assert ODD[name][1] in found["err"] or verb in ("suspects", "read", "report"), found["err"]
    assert "mistake of ours" not in found["err"] and "Traceback" not in found["err"]
    assert found["seconds"] < 2.0 and found["peak_mb"] < 300.0


@pytest.mark.parametrize("name", ["long", "nul", "empty"])
def test_a_path_that_cannot_be(name: str, answers: dict[str, dict[str, Any]]) -> None:
    """A name that no file system takes is answered like any other."""
    found = answers[f"check {name}"]
    assert found["status"] == 2, found
    assert "mistake of ours" not in found["err"]
