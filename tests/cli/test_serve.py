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
from tests.web.code_reader import lines_of, read_code

COMMAND = [sys.executable, "-c", "from ohmtrail.cli import main; main()", "page"]
ENVIRONMENT = {
    "": {"NO_COLOR": "1"},
    "half blocks": {"NO_COLOR": "1", "PYTHONIOENCODING": "utf-8"},
    "letters": {"PYTHONIOENCODING": "ascii"},
    "colours": {"TERM": "xterm-256color", "PYTHONIOENCODING": "utf-8"},
}


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Any]:
    """Serve in the background, to a pipe or to a terminal of its own; none is left behind."""
    running: list[subprocess.Popen[str]] = []

    def go(*words: str, terminal: str = "") -> subprocess.Popen[str]:
        ours, theirs = os.openpty() if terminal == "colours" else (None, subprocess.PIPE)
        child = subprocess.Popen(
            [*COMMAND, *words, "--port", "0"],
            cwd=tmp_path,
            stdout=theirs,
            stderr=subprocess.PIPE,
            text=True,
            env={key: value for key, value in os.environ.items() if key != "NO_COLOR"} | ENVIRONMENT[terminal],
        )
        if ours is not None:
            os.close(theirs)
            child.stdout = os.fdopen(ours, encoding="utf-8", newline="")
        running.append(child)
        return child

    yield go
    for child in running:
        child.kill()
        child.wait()
        for pipe in (child.stdout, child.stderr):
            assert pipe is not None
            pipe.close()


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


def _shown(source: Iterator[str], child: subprocess.Popen[str]) -> tuple[str, str, list[str]]:
    """The next address, what the code under it says, and the words between."""
    told = []
    for line in source:
        told.append(line)
        if "?key=" in line:
            break
    else:
        assert child.stderr is not None and "on no network" in child.stderr.read()
        pytest.skip("this computer is on no network")
    return told[-1].split()[-1], read_code(lines_of(item for item in source if not told.append(item))), told


@pytest.mark.parametrize("terminal", ["half blocks", "letters", "colours"])
def test_shared_with_a_code(started: Any, served: Any, terminal: str) -> None:
    """With --share the address is one of the network, and the code under it says the same to a phone; so for a further one."""
    child = served("a.job", "--share", terminal=terminal)
    source = iter(child.stdout.readline, "")
    first, code, told = _shown(source, child)
    assert code == first
    assert "127.0.0.1" not in first
    assert "not encrypted" in "".join(told)
    assert ("█" in "".join(told)) is (terminal != "letters")
    assert ("\x1b[38;5;16;48;5;231m" in "".join(told)) is (terminal == "colours")
    assert _open(first.replace("/?", "/static/page.css?"))
    second, code, told = _shown(source, child)
    assert code == second != first
    assert "For a further phone" in "".join(told)


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
