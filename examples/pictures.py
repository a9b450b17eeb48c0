"""The pictures that README shows: a function's path, and a job on another; made afresh by this script."""

from __future__ import annotations

import tempfile
from pathlib import Path

import dim_lantern
from worked import CIRCUITS, make

import ohmtrail

HERE = Path(__file__).parent / "pictures"


def draw(folder: Path) -> tuple[Path, ...]:
    """Draw them into a folder.

    Parameters
    ----------
    folder : Path
        Where they go.

    Returns
    -------
    tuple of Path
        The files.
    """
    path, job = folder / "headlamp.svg", folder / "dim-lantern.svg"
    ohmtrail.save_drawn(ohmtrail.draw(CIRCUITS / "trail-motorcycle.yaml", function="headlamp-dipped"), path)
    with tempfile.TemporaryDirectory() as aside:
        make(dim_lantern.WORKED, Path(aside))
        job.write_bytes(Path(aside, "dim-lantern.svg").read_bytes())
    return path, job


if __name__ == "__main__":
    HERE.mkdir(exist_ok=True)
    for made in draw(HERE):
        print(made)
