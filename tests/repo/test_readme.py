"""Every command and line of Python in the README works, in the order in which it stands; the tour prints what it shows."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.repo.tour import Typed, differs, typed_in

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
DRIVER = ROOT / "tests" / "driver.py"
#: commands that talk with people or serve a page; they have tests of their own
TALKING = ("bench", "page", "drill")
#: what a printed picture needs and a machine may not have
PRINTS = (".pdf", ".png")


def commands(text: str) -> list[list[str]]:
    """Words of the commands in indented blocks; a trailing backslash goes on in the next line."""
    joined = re.sub(r"\\\n\s*", "", text)
    lines = [line.strip() for line in joined.splitlines() if line.startswith("    ohmtrail ")]
    return [shlex.split(line, comments=True)[1:] for line in lines]


def python_blocks(text: str) -> list[str]:
    """Indented blocks that import Ohmtrail."""
    blocks = re.findall(r"(?:^    .*\n|^\n)+", text, flags=re.MULTILINE)
    return ["\n".join(line[4:] for line in block.splitlines()) for block in blocks if "import ohmtrail" in block]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A clone, as far as the commands need it."""
    place = tmp_path / "clone"
    place.mkdir()
    for name in ("circuits", "examples"):
        shutil.copytree(ROOT / name, place / name)
    return place


def test_the_commands_of_the_readme(folder: Path) -> None:
    """One after another: each is done or says no; none is refused."""
    wanted = [words for words in commands(README.read_text(encoding="utf-8")) if words[0] not in TALKING]
    wanted = [words for words in wanted if not any(word.endswith(PRINTS) for word in words)]
    assert len(wanted) >= 15
    orders = [{"name": shlex.join(words), "words": words} for words in wanted]
    done = subprocess.run(
        [sys.executable, str(DRIVER)], input=json.dumps(orders), capture_output=True, text=True, cwd=folder, timeout=600, check=True
    )
    answers: list[dict[str, Any]] = json.loads(done.stdout)
    assert [(item["name"], item["err"]) for item in answers if item["status"] not in (0, 1)] == []


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[tuple[Typed, dict[str, Any]]]]:
    """The tour, typed from its first line to its last in one folder; the page apart."""
    place = tmp_path_factory.mktemp("tour")
    for name in ("circuits", "examples"):
        shutil.copytree(ROOT / name, place / name)
    tour = [item for item in typed_in(README.read_text(encoding="utf-8")) if item.words[0] != "page"]
    orders = [{"name": shlex.join(item.words), "words": item.words, "typed": "".join(f"{line}\n" for line in item.answers)} for item in tour]
    done = subprocess.run(
        [sys.executable, str(DRIVER)], input=json.dumps(orders), capture_output=True, text=True, cwd=place, timeout=600, check=True,
        env={**os.environ, "COLUMNS": "80"},
    )  # fmt: skip
    return place, list(zip(tour, json.loads(done.stdout), strict=True))


def test_the_tour_prints_what_it_shows(walked: tuple[Path, list[tuple[Typed, dict[str, Any]]]]) -> None:
    """Every command is done, and what stands below it is what it prints."""
    _, done = walked
    assert {item.words[0] for item, _ in done} >= {"import", "check", "bench", "report", "lesson", "drill", "survey", "read", "changes", "compare", "dossier"}
    assert [(answer["name"], answer["err"]) for _, answer in done if answer["status"] != 0 or answer["err"]] == []
    assert [(answer["name"], told) for item, answer in done if item.shown and (told := differs(item.shown, answer["out"]))] == []
    assert sum(bool(item.shown) for item, _ in done) >= 15


def test_the_tour_serves_its_page(walked: tuple[Path, list[tuple[Typed, dict[str, Any]]]]) -> None:
    """The page of the tour's job: its address is told, and it ends when it is asked to."""
    place, _ = walked
    (page,) = [item for item in typed_in(README.read_text(encoding="utf-8")) if item.words[0] == "page"]
    code = "from ohmtrail.cli.app import main; main()"
    with subprocess.Popen([sys.executable, "-c", code, *page.words, "--port", "0"], stdout=subprocess.PIPE, text=True, cwd=place) as served:
        assert served.stdout is not None
        lines = [served.stdout.readline() for _ in page.shown]
        served.send_signal(signal.SIGINT)
        try:
            served.wait(60)
        finally:
            served.kill()
    assert differs(page.shown, "".join(lines)) == ""


def test_the_example_is_what_the_tour_records(walked: tuple[Path, list[tuple[Typed, dict[str, Any]]]]) -> None:
    """The record in the examples' folder holds the six changes of the tour."""
    place, _ = walked
    made, kept = ((name / "skerry.record").read_text(encoding="utf-8").partition("\nchanges:\n")[2] for name in (place, ROOT / "examples"))
    assert made == kept != ""


@pytest.mark.parametrize(
    ("shown", "same"),
    [
        (["a", "b", "c"], True), (["...", "c"], True), (["a", "..."], True), (["a", "...", "c"], True), (["...", "b", "..."], True),
        (["a"], False), (["a", "c"], False), (["b", "c"], False), (["...", "d"], False), (["a", "b", "c", "d"], False),
    ],
)  # fmt: skip
def test_what_is_shown_is_held_against_what_is_printed(shown: list[str], same: bool) -> None:
    """Lines are left out only where the README says so."""
    assert (differs(shown, "a\n\nb\nc\n") == "") is same


def test_the_python_of_the_readme(folder: Path) -> None:
    """The block runs as it stands."""
    blocks = python_blocks(README.read_text(encoding="utf-8"))
    assert blocks
    for block in blocks:
        done = subprocess.run([sys.executable, "-c", block], capture_output=True, text=True, cwd=folder, timeout=300, check=False)
        assert done.returncode == 0, done.stderr
