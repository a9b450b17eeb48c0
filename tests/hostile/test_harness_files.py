"""Hostile harness files: a sentence with the place or a machine rightly read, within 2 s and 300 MB."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.hostile.harness_cases import CASES, SOUND, Case

DRIVER = Path(__file__).parents[1] / "driver.py"
MOST_S, MOST_MB = 2.0, 300.0


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """What `ohmtrail check` said to each file, all asked of one process."""
    folder = tmp_path_factory.mktemp("hostile")
    (folder / "sound.yaml").write_text(SOUND, encoding="utf-8")
    orders: list[dict[str, Any]] = [{"name": "sound", "words": ["check", "sound.yaml"], "warm": ["check", "sound.yaml"]}]
    for index, case in enumerate(CASES):
        (folder / f"{index}.yaml").write_bytes(case.data)
        orders.append({"name": case.name, "words": ["check", f"{index}.yaml"]})
    done = subprocess.run(
        [sys.executable, str(DRIVER)], input=json.dumps(orders), capture_output=True, text=True, cwd=folder, timeout=240, check=True
    )
    return {item["name"]: item for item in json.loads(done.stdout)}


def test_the_sound_file_is_sound(answers: dict[str, dict[str, Any]]) -> None:
    """The file that the cases are made from has no mistake and no serious finding."""
    assert answers["sound"]["status"] == 0, answers["sound"]


def test_there_are_enough_cases() -> None:
    """One hazard each, each under its own name."""
    assert len(CASES) >= 80
    assert len({case.name for case in CASES}) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_hostile_file(case: Case, answers: dict[str, dict[str, Any]]) -> None:
    """The status and the words wanted, no traceback, in time and in memory."""
    found = answers[case.name]
    said = found["out"] + found["err"]
    wanted = (0, 1) if case.status == 0 else (case.status,)
    assert found["status"] in wanted, said[:600]
    assert "Traceback" not in said and "mistake of ours" not in said
    assert [word for word in case.says if word not in said] == [], said[:600]
    assert len(said) < 20_000
    assert found["seconds"] < MOST_S
    assert found["peak_mb"] < MOST_MB
