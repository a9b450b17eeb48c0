"""The page as a process of its own."""

import json
import os
import re
import signal
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import pytest

COMMAND = [sys.executable, "-c", "from ohmtrail.cli import main; main()", "page"]


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Any]:
    """Serve in the background; none is left behind."""
    running: list[subprocess.Popen[str]] = []

    def go(*words: str) -> subprocess.Popen[str]:
        child = subprocess.Popen(
            [*COMMAND, *words, "--port", "0"],
            cwd=tmp_path,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "NO_COLOR": "1"},
        )
        running.append(child)
        return child

    yield go
    for child in running:
        child.kill()
        child.communicate()


def _line(child: subprocess.Popen[str], mark: str) -> str:
    assert child.stdout is not None
    for line in child.stdout:
        if mark in line:
            return line
    assert child.stderr is not None
    raise AssertionError(child.stderr.read())


def _open(address: str) -> str:
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(CookieJar()))
    with opener.open(address, timeout=60) as answer:
        return str(answer.read().decode())


def test_a_folder_is_served_until_it_is_stopped(started: Any, served: Any) -> None:
    """The address lets one browser in, then another one is shown; Ctrl-C ends it with 130 and one line or none."""
    child = served(".")
    first = _line(child, "Open: ").split()[-1]
    assert re.match(r"http://127\.0\.0\.1:\d+/\?key=", first)
    assert "a.job" in _open(first)
    second = _line(child, "For another browser").split()[-1]
    assert second != first
    assert "a.job" in _open(second)
    child.send_signal(signal.SIGINT)
    _, err = child.communicate(timeout=30)
    assert child.returncode == 130
    assert "Traceback" not in err


def test_shared_with_a_code(started: Any, served: Any) -> None:
    """With --share the address is one of the network, and its code stands under it."""
    child = served("a.job", "--share")
    assert child.stdout is not None
    said = child.stdout.readline()
    if not said:
        assert "on no network" in child.stderr.read()
        pytest.skip("this computer is on no network")
    assert "127.0.0.1" not in said
    assert "not encrypted" in child.stdout.readline() + child.stdout.readline()
    assert "█" in _line(child, "█")


def test_one_document_for_programs(started: Any, served: Any) -> None:
    """With --json the address comes as a document."""
    child = served("a.job", "--json")
    assert child.stdout is not None
    lines = []
    while not lines or lines[-1] != "}\n":
        lines.append(child.stdout.readline())
        assert lines[-1]
    made = json.loads("".join(lines))
    assert (made["command"], made["ok"], made["page"]["shared"]) == ("page", True, False)
    assert made["page"]["address"].startswith("http://127.0.0.1:")


def test_what_cannot_be_served(process: Any, tmp_path: Path) -> None:
    """One sentence, status 2."""
    (tmp_path / "no.job").write_text("shopping list\n", encoding="utf-8")
    for name in ("nowhere", "no.job"):
        ran = process("page", name)
        assert ran.returncode == 2
        assert ran.stderr.count(b"\n") == 1
