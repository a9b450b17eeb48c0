"""The pictures that README shows: paths, jobs on them, and a change; made afresh by this script."""

from __future__ import annotations

import tempfile
from pathlib import Path

import dim_lantern
from worked import BEGUN, CIRCUITS, make

import ohmtrail
from ohmtrail import workbench
from ohmtrail.reports.drawn import Drawn

TILLER = Path(__file__).parent / "tiller.yaml"
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
    horn, lamp, lantern = folder / "tiller-horn.svg", folder / "tiller-lamp.svg", folder / "lantern-changed.svg"
    ohmtrail.save_drawn(ohmtrail.draw(TILLER, function="lamp-lights"), lamp)
    ohmtrail.save_drawn(ohmtrail.draw(CIRCUITS / "trail-motorcycle.yaml", function="headlamp-dipped"), path)
    with tempfile.TemporaryDirectory() as aside:
        make(dim_lantern.WORKED, Path(aside))
        job.write_bytes(Path(aside, "dim-lantern.svg").read_bytes())
        ohmtrail.save_drawn(_horn(Path(aside)), horn)
        ohmtrail.save_drawn(_lantern(Path(aside)), lantern)
    return path, job, horn, lamp, lantern


def _horn(aside: Path) -> Drawn:
    """The tiller's silent horn, after the two readings that told most."""
    name = aside / "tiller.job"
    ohmtrail.start(name, harness=TILLER, complaint="horn silent", now=BEGUN)
    job = ohmtrail.open_job(name)
    for line in ("lamp-lights works with key-switch on and lamp-switch on", "volts horn-button.1 frame 12.4 with key-switch on and lamp-switch off and horn-button pressed"):
        ohmtrail.read(job, line, now=BEGUN)
    ohmtrail.next_step(job, now=BEGUN)
    return ohmtrail.draw(job)


def _lantern(aside: Path) -> Drawn:
    """The outboard's lantern before and after the changes of skerry.record."""
    name = aside / "skerry.yaml"
    workbench.apply_changes(Path(__file__).parent / "skerry.record", out=name, now=BEGUN)
    return ohmtrail.draw(name, function="lantern-light", before=CIRCUITS / "outboard.yaml")


if __name__ == "__main__":
    HERE.mkdir(exist_ok=True)
    for made in draw(HERE):
        print(made)
