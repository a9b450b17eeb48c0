"""The conversation, driven as on a terminal of 80 columns and 24 lines."""

import contextlib
import json
import os
import re
import select
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from ohmtrail import workbench
from ohmtrail.diagnosis import Measured
from ohmtrail.job import read_job

fcntl = pytest.importorskip("fcntl")
pty = pytest.importorskip("pty")
termios = pytest.importorskip("termios")

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")
MOTORCYCLE = str(Path(__file__).parents[2] / "circuits" / "trail-motorcycle.yaml")
BENCH = [sys.executable, "-c", "from ohmtrail.cli import main; main()", "bench"]
PLAIN = {"PATH": os.environ["PATH"], "TERM": "vt100", "NO_COLOR": "1", "LANG": "C.UTF-8"}


class Window:
    """A terminal window with the conversation in it."""

    def __init__(self, folder: Path, *words: str) -> None:
        self.text, self.last = "", ""
        self.pid, self.window = pty.fork()
        if self.pid == 0:
            os.chdir(folder)
            path = {"PYTHONPATH": os.environ["PYTHONPATH"]} if "PYTHONPATH" in os.environ else {}
            os.execvpe(BENCH[0], [*BENCH, *words], PLAIN | path)
        fcntl.ioctl(self.window, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))

    def wait(self, mark: str = "> ", seconds: float = 90.0) -> str:
        """Read until the prompt stands there, or the end; give what was written since the last answer."""
        said, end = b"", time.monotonic() + seconds
        while not said.decode(errors="replace").endswith(mark):
            assert time.monotonic() < end, f"no {mark!r} came after {said.decode(errors='replace')}"
            if not select.select([self.window], [], [], 1.0)[0]:
                continue
            try:
                part = os.read(self.window, 65536)
            except OSError:
                part = b""
            if not part:
                break
            said += part
        self.last = said.decode().replace("\r\n", "\n")
        self.text += self.last
        return self.last

    def type(self, words: str) -> None:
        """Type a line."""
        os.write(self.window, words.encode() + b"\n")

    def close(self) -> None:
        """Shut the window, as by its cross."""
        with contextlib.suppress(OSError):
            os.close(self.window)

    def status(self) -> int:
        """How it ended."""
        return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])


@pytest.fixture
def window(tmp_path: Path) -> Iterator[Callable[..., Window]]:
    """Open windows in an empty folder; none is left behind."""
    opened: list[Window] = []

    def go(*words: str) -> Window:
        opened.append(Window(tmp_path, *words))
        return opened[-1]

    yield go
    for item in opened:
        item.close()
        with contextlib.suppress(ProcessLookupError, ChildProcessError):
            os.kill(item.pid, signal.SIGKILL)
            os.waitpid(item.pid, 0)


@pytest.mark.slow
def test_a_whole_job_on_the_motorcycle(window: Callable[..., Window], tmp_path: Path, at_the_machine: Any) -> None:
    """The same on a machine of 112 leads."""
    test_a_whole_job(window, tmp_path, at_the_machine, machine=MOTORCYCLE, complaint="spark", fault="stop-2 leak")


def test_a_whole_job(
    window: Callable[..., Window],
    tmp_path: Path,
    at_the_machine: Any,
    machine: str = MACHINE,
    complaint: str = "spark-top",
    fault: str = "stop-5 leak",
) -> None:
    """From the machine's functions to the proof in short answers, on a plain terminal: no line too long,
    nothing steered or written over, every instruction in sight of the prompt.
    """
    took = at_the_machine(machine, fault, severity=4.0)
    talk = window("a.job", "--harness", machine)
    assert complaint in talk.wait()
    talk.type(f"no {complaint}")
    for _ in range(25):
        said = talk.wait()
        if "Proven" in said:
            break
        step = read_job(str(tmp_path / "a.job")).proposed
        assert step is not None
        assert step.kind != "measure" or all(point in said for point in (step.red, step.black))
        shown = said[said.rindex(f"\n {len(read_job(str(tmp_path / 'a.job')).events) + 1}  ") :]
        assert shown.count("\n") <= 23, shown
        talk.type(took(step))
    talk.type("done")
    ending = talk.wait("\0")
    assert talk.status() == 0
    assert f"renew {fault.split()[0]}" in talk.text
    assert "ohmtrail bench a.job" in ending
    assert "\x1b" not in talk.text and "\r" not in talk.text and "\b" not in talk.text
    assert max(len(line) for line in talk.text.splitlines()) <= 80


def test_a_closed_window_and_an_interrupt_lose_nothing(window: Callable[..., Window], tmp_path: Path) -> None:
    """What was answered is on the disk before the next prompt; the conversation goes on where it stood."""
    talk = window("a.job", "--harness", MACHINE, "--complaint", "spark-top absent")
    talk.wait()
    talk.type("120")
    talk.wait()
    talk.close()
    assert talk.status() != 0
    assert len(read_job(str(tmp_path / "a.job")).events) == 2
    talk = window("a.job")
    assert "ac ignition-module.CH" in talk.wait()
    talk.type("skip")
    talk.wait()
    os.write(talk.window, b"\x03")
    assert "kept in a.job" in talk.wait("\0")
    assert talk.status() == 130
    assert len(read_job(str(tmp_path / "a.job")).bench.skipped) == 1


def test_an_answer_is_to_what_was_asked_here(window: Callable[..., Window], tmp_path: Path) -> None:
    """Somebody else adds a reading to the job meanwhile: the bench takes its own answer, and goes on from both."""
    talk = window("a.job", "--harness", MACHINE, "--complaint", "spark-top absent")
    asked = re.search(r"Red +(\S+)", talk.wait())
    workbench.read(str(tmp_path / "a.job"), "stop-by-button fails", now=datetime.now(UTC))
    talk.type("120")
    said = talk.wait()
    assert "answers nothing" not in said
    events = read_job(str(tmp_path / "a.job")).events
    assert len(events) == 3
    assert asked is not None
    assert isinstance(events[-1].what, Measured)
    assert events[-1].what.red == asked[1]
    assert re.search(r"^ 4  ", said, flags=re.MULTILINE), "the next step is asked for"
    talk.close()


def _piped(folder: Path, *words: str, lines: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*BENCH, *words], cwd=folder, input=lines, capture_output=True, text=True, check=False, timeout=120)


def test_what_changes_the_next_step(started: Any, tmp_path: Path) -> None:
    """Skip and can't reach change the proposal and are remembered; undo takes back the last thing, one by one."""
    first = _piped(tmp_path, "a.job", lines="skip\ncan't reach\nundo\nundo\nundo\n")
    assert first.returncode == 0, first.stderr
    # each proposal from its heading to the black lead or what shows: the same reading against another point is another
    steps = [part.partition("\n\n")[0] for part in re.split(r"^ 2  ", first.stdout, flags=re.MULTILINE)[1:]]
    assert len(steps) == 5
    assert steps[0] != steps[1] != steps[2]
    assert steps[4] == steps[0]
    assert "nothing to take back" in first.stdout
    again = _piped(tmp_path, "a.job", lines="can't reach cowl\n")
    assert read_job(str(tmp_path / "a.job")).bench.barred == {"cowl"}
    assert "cowl cannot be reached" in again.stdout
    assert "Open    under the cowl" not in again.stdout.split("cannot be reached")[1]


def test_words_that_do_not_fit(started: Any, tmp_path: Path) -> None:
    """Each gets one sentence and the question stays; nothing is stored."""
    ran = _piped(tmp_path, "a.job", lines="blue\n3.2 kg\ndone\nstrike 9\nwhy nothing-such\nmend no-such\nreadings\n?\n")
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr == ""
    assert ran.stdout.count("or ? > ") == 9
    assert "'done' says that a mend is made" in ran.stdout
    assert "there is no reading 9" in ran.stdout
    assert len(read_job(str(tmp_path / "a.job")).events) == 1


def test_for_a_screen_reader(started: Any, tmp_path: Path) -> None:
    """Without columns and bars: no block characters, no run of blanks, shares as words."""
    ran = _piped(tmp_path, "a.job", "--aloud", lines="works\nwhy\n")
    assert not any(mark in ran.stdout for mark in ("█", "▌", "   "))
    assert "stop-3 leaks to frame: " in ran.stdout


def test_one_document_for_programs(started: Any, tmp_path: Path) -> None:
    """With --json the conversation is beside, and one document comes at the end."""
    ran = _piped(tmp_path, "a.job", "--json", lines="120\nquit\n")
    made = json.loads(ran.stdout)
    assert (made["command"], made["ok"], len(made["readings"])) == ("bench", True, 2)
    assert "or ? > " in ran.stderr


def test_beginning(tmp_path: Path) -> None:
    """Without anything given, the machine and what fails are asked for; a wrong answer is asked again."""
    ran = _piped(tmp_path, "new.job", lines=f"99\n{MACHINE}\n77\n1 sometimes\n")
    assert ran.returncode == 0, ran.stderr
    assert "neither a number" in ran.stdout
    assert read_job(str(tmp_path / "new.job")).start.complaint == "spark-top sometimes"
    ran = _piped(tmp_path, "new.job", "--harness", MACHINE, lines="")
    assert ran.returncode == 2
    assert "is there already" in ran.stderr
