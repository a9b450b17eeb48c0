"""Every command and every line of Python in the README works, in the order in which it stands there."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

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


def test_the_python_of_the_readme(folder: Path) -> None:
    """The block runs as it stands."""
    blocks = python_blocks(README.read_text(encoding="utf-8"))
    assert blocks
    for block in blocks:
        done = subprocess.run([sys.executable, "-c", block], capture_output=True, text=True, cwd=folder, timeout=300, check=False)
        assert done.returncode == 0, done.stderr
