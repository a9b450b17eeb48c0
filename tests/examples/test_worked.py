"""Every worked job runs, ends in a proof, and leaves its pictures and reports; README's pictures are theirs."""

import importlib
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
JOBS = sorted(path.stem for path in EXAMPLES.glob("*.py") if "WORKED = " in path.read_text(encoding="utf-8"))


@pytest.fixture
def example(monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """Import a script of the examples' folder."""
    monkeypatch.syspath_prepend(str(EXAMPLES))
    before = set(sys.modules)
    yield importlib.import_module
    for name in set(sys.modules) - before:
        if not name.startswith("ohmtrail"):
            del sys.modules[name]


def test_there_are_three_at_least() -> None:
    """And each is named in the folder's README."""
    assert len(JOBS) >= 3
    told = (EXAMPLES / "README.md").read_text(encoding="utf-8")
    assert [name for name in JOBS if f"`{name}.py`" not in told] == []


@pytest.mark.parametrize("name", JOBS)
def test_a_worked_job_is_proven(name: str, example: Any, tmp_path: Path) -> None:
    """Its files are there, wide and for the phone; what was mended was the likeliest suspect by then."""
    script, worked = example(name).WORKED, example("worked")
    assert worked.make(script, tmp_path)
    last = (tmp_path / f"{script.name}.svg").read_text(encoding="utf-8")
    assert 'width="390"' in (tmp_path / f"{script.name}-phone.svg").read_text(encoding="utf-8")
    element = script.mend.split()[-1]
    suspects = re.findall(r"<title>suspect ([^:]+): ", last)
    assert suspects[0].startswith(element)
    for number in range(2, len(script.readings) + 2):
        assert f"<title>reading {number}: " in last
    assert script.mend in (tmp_path / f"{script.name}.html").read_text(encoding="utf-8")
    assert "Proven" in (tmp_path / f"{script.name}.txt").read_text(encoding="utf-8")



def test_the_pictures_that_readme_shows_are_what_is_drawn(example: Any, tmp_path: Path) -> None:
    """Byte for byte; after a change that is meant, `python examples/pictures.py` draws them afresh."""
    made = example("pictures").draw(tmp_path)
    shown = re.findall(r"\(examples/pictures/([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert sorted(shown) == sorted(path.name for path in made)
    for path in made:
        assert path.read_bytes() == (EXAMPLES / "pictures" / path.name).read_bytes(), f"{path.name}: run examples/pictures.py and look"
