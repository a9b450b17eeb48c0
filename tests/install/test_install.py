"""The wheel and the source archive install into an empty environment and play the demo there."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def _pythons() -> list[str]:
    """Interpreters found here that Ohmtrail supports: the oldest and the newest."""
    found: dict[tuple[int, int], str] = {}
    folders = [*os.environ.get("PATH", "").split(os.pathsep), *map(str, Path.home().glob(".pyenv/versions/*/bin"))]
    for minor in range(11, 20):
        for folder in folders:
            if (program := shutil.which(f"python3.{minor}", path=folder)) and "shims" not in folder:
                found.setdefault((3, minor), program)
    found.setdefault(sys.version_info[:2], sys.executable)
    order = sorted(found)
    return [found[version] for version in dict.fromkeys((order[0], order[-1]))]


@pytest.fixture(scope="module")
def archives(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel and a source archive."""
    folder = tmp_path_factory.mktemp("archives")
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(folder), str(ROOT)],
        check=True,
        timeout=300,
    )
    build = folder / "build"
    subprocess.run([sys.executable, "-m", "venv", str(build)], check=True, timeout=120)
    subprocess.run([str(build / "bin" / "pip"), "install", "--quiet", "hatchling"], check=True, timeout=300)
    subprocess.run(
        [str(build / "bin" / "python"), "-m", "hatchling", "build", "-t", "sdist", "-d", str(folder)],
        check=True,
        timeout=120,
        cwd=ROOT,
    )
    return folder


def _files(folder: Path) -> set[Path]:
    return {path.relative_to(folder) for path in folder.rglob("*") if path.is_file()}


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["*.whl", "*.tar.gz"])
@pytest.mark.parametrize("python", _pythons())
def test_installs_and_plays(archives: Path, kind: str, python: str, tmp_path: Path) -> None:
    """The demo finds its fault; no file is written outside the folder of the job and the user's cache."""
    place, home, work = tmp_path / "venv", tmp_path / "home", tmp_path / "work"
    spare = tmp_path / "spare"
    for folder in (home, work, spare):
        folder.mkdir()
    subprocess.run([python, "-m", "venv", str(place)], check=True, timeout=120)
    archive = str(next(archives.glob(kind)))
    subprocess.run([str(place / "bin" / "pip"), "install", "--quiet", archive], check=True, timeout=600)
    surroundings = {"HOME": str(home), "PATH": os.environ["PATH"], "TMPDIR": str(spare), "PYTHONDONTWRITEBYTECODE": "1"}
    before = _files(place)
    done = subprocess.run(
        [str(place / "bin" / "ohmtrail"), "demo"], capture_output=True, text=True, timeout=300, cwd=work, env=surroundings, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "Proven" in done.stdout
    assert _files(place) == before
    assert not _files(work) and not _files(spare)
    assert all(path.parts[0] == ".cache" for path in _files(home))
