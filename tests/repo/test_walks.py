"""DEVELOPERS.md tells the house as it is: its rooms, its errors, its public names, and the way of a reading through it."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

import ohmtrail
from ohmtrail import errors

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "ohmtrail"
TOLD = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
#: rooms that every other one stands on, and that say nothing of the way
GROUND = ("errors", "units", "storage", "journal")
FOLLOW = """
import json, sys
from ohmtrail.cli import main
calls = []
def room(frame):
    name = frame.f_globals.get("__name__", "")
    return name.split(".")[1] if name.startswith("ohmtrail.") else ""
def follow(frame, event, what):
    if event != "call" or not room(frame) or frame.f_code.co_name in ("<module>", "<lambda>", "<genexpr>"):
        return
    caller = frame.f_back
    while caller is not None and not room(caller):
        caller = caller.f_back
    pair = (room(caller) if caller is not None else "", room(frame))
    if pair[0] != pair[1] and pair not in calls and not loading(frame):
        calls.append(pair)
def loading(frame):
    while frame is not None:
        if room(frame) and frame.f_code.co_name == "<module>":
            return True
        frame = frame.f_back
    return False
sys.setprofile(follow)
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
finally:
    sys.setprofile(None)
with open(OUT, "w") as file:
    json.dump(calls, file)
"""


def _walk(folder: Path, *words: str) -> list[tuple[str, str]]:
    """Run a command and give the calls from room to room, each pair once, in order."""
    out = folder / "calls.json"
    code = f"OUT = {str(out)!r}\n{FOLLOW}"
    done = subprocess.run([sys.executable, "-c", code, *words], cwd=folder, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return [(a, b) for a, b in json.loads(out.read_text(encoding="utf-8")) if b not in GROUND and a not in GROUND]


def _told(command: str) -> list[str]:
    found = re.search(rf"\(`ohmtrail {command}`\):\n(.*)", TOLD)
    assert found is not None
    return found.group(1).split(" → ")


def _first_entered(calls: list[tuple[str, str]]) -> list[str]:
    """Rooms that the front end and the workbench go to, in order; what those ask of the rooms under them is their own affair."""
    return list(dict.fromkeys(room for caller, room in calls if caller in ("", "cli", "workbench")))


def _upward(calls: list[tuple[str, str]]) -> list[tuple[str, str]]:
    line = re.search(r"^`(errors ← .*)`", TOLD, flags=re.MULTILINE)
    assert line is not None
    order = line.group(1).split(" ← ")
    return [(a, b) for a, b in calls if a and order.index(b) > order.index(a)]


def test_the_walk_of_a_reading(tmp_path: Path) -> None:
    """The rooms are entered in the order that is told, and none calls one above it."""
    harness = str(ROOT / "circuits" / "outboard.yaml")
    ohmtrail.start(str(tmp_path / "a.job"), harness=harness, complaint="spark-top absent", now=datetime(2026, 1, 5, tzinfo=UTC))
    calls = _walk(tmp_path, "read", "a.job", "stop-by-button fails")
    assert _first_entered(calls) == _told("read")
    assert _upward(calls) == []


def test_the_walk_of_a_line_of_a_harness(tmp_path: Path) -> None:
    """From the file to the picture."""
    harness = str(ROOT / "circuits" / "outboard.yaml")
    calls = _walk(tmp_path, "draw", harness, "--function", "spark-top", "-o", "a.svg")
    assert _first_entered(calls) == _told("draw")
    assert _upward(calls) == []


def _drawn(text: str) -> dict[str, str]:
    """Name -> the name it hangs on, as the tree is drawn."""
    above: list[tuple[int, str]] = []
    found = {}
    for line in text.splitlines():
        match = re.match(r"^([│├└─ ]*)([A-Z]\w+)(?=\s{2,}|$)", line)
        if match is None:
            continue
        depth = len(match.group(1))
        above = [item for item in above if item[0] < depth]
        found[match.group(2)] = above[-1][1] if above else ""
        above.append((depth, match.group(2)))
    return found


@pytest.mark.parametrize("text", [errors.__doc__ or "", TOLD[TOLD.index("## The error tree") : TOLD.index("## Public names")]])
def test_the_error_tree_is_drawn_as_it_is(text: str) -> None:
    """Every class of errors, under the one that it derives from."""
    classes = [item for item in vars(errors).values() if isinstance(item, type) and issubclass(item, errors.OhmtrailError)]
    assert _drawn(text[text.index("OhmtrailError\n") :]) == {item.__name__: item.__base__.__name__ if item is not errors.OhmtrailError else "" for item in classes}


def test_the_exit_statuses_are_drawn_as_they_are() -> None:
    """A status in the tree is that of the class."""
    drawn = {name: int(code) for name, code in re.findall(r"(\w+)\s+exit (\d+):", TOLD)}
    assert drawn
    assert drawn == {name: getattr(errors, name).exit_code for name in drawn}


def test_the_public_names_are_listed() -> None:
    """All that the package gives, no more."""
    listed = re.findall(r"`(\w+)`", TOLD[TOLD.index("first asked for:") : TOLD.index("## Two walks")])
    assert listed == [name for name in ohmtrail.__all__ if name != "__version__"]


def test_every_room_is_in_the_file_map() -> None:
    """And no room that is not there."""
    rooms = {f"{path.name}/" for path in SOURCE.iterdir() if (path / "__init__.py").exists()}
    mapped = {name for row in re.findall(r"^\|([^|]*)\|", TOLD, flags=re.MULTILINE) for name in re.findall(r"`(\w+/)`", row)}
    assert mapped == rooms
