"""What only a process of its own shows: streams, signals, start-up, the demo."""

import json
import os
import signal
import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")
HAS_FULL = os.path.exists("/dev/full")
linux = pytest.mark.skipif(not HAS_FULL, reason="needs /dev/full")


@linux
def test_output_that_cannot_be_written(process: Any) -> None:
    """A full disk or a closed stream is exit 74 and one sentence; a reader that left is quiet."""
    for shell in ("> /dev/full", ">&-"):
        ran = process("trace", MACHINE, "spark-top", shell=shell)
        assert ran.returncode == 74
        assert ran.stderr.count(b"\n") == 1
        assert b"cannot write the output" in ran.stderr
    ran = process("help", "json", shell="| head -1; exit ${PIPESTATUS[0]}")
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert ran.stdout.count(b"\n") == 1


@linux
def test_what_was_recorded_is_safe(process: Any, tmp_path: Path) -> None:
    """Where only the answer cannot be shown, the sentence says that the job file has it."""
    ran = process("start", "a.job", "--harness", MACHINE, "--complaint", "spark-top absent", shell="> /dev/full")
    assert ran.returncode == 74
    assert b"is in the job file" in ran.stderr
    assert "spark-top" in (tmp_path / "a.job").read_text(encoding="utf-8")


def test_plain_surroundings(process: Any) -> None:
    """ASCII alone, no home, no width: nothing but ASCII, no traceback, no escapes; JSON stays JSON."""
    bare = {"PATH": os.environ["PATH"], "PYTHONIOENCODING": "ascii", "NO_COLOR": "1", "COLUMNS": "40"}
    ran = process("trace", MACHINE, "spark-top", env=bare)
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.isascii() and b"\x1b" not in ran.stdout
    assert all(len(line) <= 40 for line in ran.stdout.splitlines())
    assert json.loads(process("trace", MACHINE, "spark-top", "--json", env=bare).stdout)["ok"]


@pytest.mark.parametrize("verb", ["", "check", "start", "read", "suspects", "next", "why", "strike", "mend", "bench", "page", "trace", "netlist", "demo"])
def test_help_fits_forty_columns(verb: str) -> None:
    """No line of any help is wider than a narrow terminal."""
    from ohmtrail.cli.app import app
    from ohmtrail.cli.page import help_width

    del app, help_width  # the width is taken when the command starts
    words = [verb, "--help"] if verb else ["--help"]
    code = "from ohmtrail.cli import main; main()"
    ran = subprocess.run(
        [sys.executable, "-c", code, *words], capture_output=True, text=True, check=False, env={**os.environ, "COLUMNS": "40"}
    )
    assert ran.returncode == 0
    assert [line for line in ran.stdout.splitlines() if len(line) > 40] == []


@pytest.mark.skipif(os.name == "nt", reason="POSIX signals")
def test_sigterm_is_143() -> None:
    """Being told to end is ended with the status that says so."""
    code = "from ohmtrail.cli import main; main()"
    with subprocess.Popen([sys.executable, "-c", code, "demo"], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as child:
        assert child.stdout is not None
        assert child.stdout.readline().startswith(b"Corrie")
        child.send_signal(signal.SIGTERM)
        assert child.wait(timeout=30) == 143


def _seconds(code: str, *words: str) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code, *words], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def test_help_starts_fast() -> None:
    """--help takes at most 2.5 times as long as importing typer: nothing numerical is loaded for it."""
    helps, bares = [], []
    for _ in range(5):
        bares.append(_seconds("import typer"))
        helps.append(_seconds("from ohmtrail.cli import main; main()", "--help"))
    assert statistics.median(helps) <= 2.5 * statistics.median(bares)


def test_help_loads_nothing_heavy() -> None:
    """The reason for that, said directly."""
    code = (
        "import sys; import ohmtrail.cli.app; import ohmtrail; "
        "print(sorted({name.partition('.')[0] for name in sys.modules} & {'numpy','scipy','networkx','pydantic','yaml','rich'}))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_the_demo_finds_its_fault(process: Any) -> None:
    """The whole no-spark job on the trail motorcycle, computed to the proof."""
    ran = process("demo")
    assert ran.returncode == 0, ran.stderr
    text = ran.stdout.decode()
    assert "=> mend: renew stop-2" in text
    assert "Proven" in text.splitlines()[-1] or "Proven" in text
    assert "qualified person" in text
