"""The command line, driven within this process where that will do, else as a user would."""

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from ohmtrail.cli.app import app
from ohmtrail.cli.door import run

ROOT = Path(__file__).parents[2]
MACHINE = str(ROOT / "circuits" / "outboard.yaml")


@dataclass(frozen=True)
class Ran:
    """What a command said, and its exit status."""

    status: int
    out: str
    err: str

    @property
    def made(self) -> Any:
        """Its output as strict JSON."""

        def refuse(word: str) -> float:
            raise AssertionError(word)

        return json.loads(self.out, parse_constant=refuse)


Typed = Callable[..., Ran]


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Typed:
    """Run a command in this process, in an empty folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))

    def go(*words: str) -> Ran:
        monkeypatch.setattr(sys, "argv", ["ohmtrail", *words])
        capsys.readouterr()
        status = run(app)
        said = capsys.readouterr()
        return Ran(status, said.out, said.err)

    return go


@pytest.fixture
def started(typed: Typed) -> Typed:
    """The same, with a job on the bench."""
    ran = typed("start", "a.job", "--harness", MACHINE, "--complaint", "spark-top absent")
    assert ran.status == 0, ran.err
    return typed


@pytest.fixture
def process(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """Run the command as a process of its own."""

    def go(*words: str, shell: str = "", **options: Any) -> subprocess.CompletedProcess[bytes]:
        command = [sys.executable, "-c", "from ohmtrail.cli import main; main()", *words]
        if shell:
            command = ["bash", "-c", f'"$@" {shell}', "bash", *command]
        return subprocess.run(command, cwd=tmp_path, capture_output=True, check=False, timeout=120, **options)

    return go
