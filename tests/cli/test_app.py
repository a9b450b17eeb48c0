"""The command line, driven as a user would."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
MACHINE = str(ROOT / "circuits" / "outboard.yaml")


def _run(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    code = "from ohmtrail.cli import main; main()"
    return subprocess.run([sys.executable, "-c", code, *words], cwd=cwd, capture_output=True, text=True, check=False)


def test_a_job_is_started_read_and_shown(tmp_path: Path) -> None:
    """start, next, read, suspects and strike work on one file, and the file keeps what was read."""
    begun = _run("start", "a.job", "--harness", MACHINE, "--complaint", "spark-top absent", cwd=tmp_path)
    assert begun.returncode == 0, begun.stderr
    assert "Red" in _run("next", "a.job", cwd=tmp_path).stdout
    kept = _run("read", "a.job", "stop-by-button fails", cwd=tmp_path)
    assert kept.returncode == 0, kept.stderr
    assert "stop-by-button" in _run("suspects", "a.job", cwd=tmp_path).stdout


def test_an_unknown_terminal_is_one_sentence(tmp_path: Path) -> None:
    """A terminal that does not exist is answered with the nearest ones, exit 2, the file as it was."""
    _run("start", "a.job", "--harness", MACHINE, "--complaint", "spark-top absent", cwd=tmp_path)
    before = (tmp_path / "a.job").read_bytes()
    answer = _run("read", "a.job", "ohms stop-buton.2 frame 3 with battery off", cwd=tmp_path)
    assert answer.returncode == 2
    assert "Traceback" not in answer.stderr
    assert "stop-button" in answer.stderr
    assert (tmp_path / "a.job").read_bytes() == before


def test_a_missing_file_is_one_sentence(tmp_path: Path) -> None:
    """A file that is not there ends with status 2 and a sentence."""
    answer = _run("check", "none.yaml", cwd=tmp_path)
    assert answer.returncode == 2
    assert answer.stderr.count("\n") == 1


def test_the_demo_finds_its_fault(tmp_path: Path) -> None:
    """The demo is computed to the proof."""
    answer = _run("demo", cwd=tmp_path)
    assert answer.returncode == 0, answer.stderr
    assert "mend: renew stop-2" in answer.stdout
    assert "spark: works  (ignition-switch at on, engine cranking)" in answer.stdout
