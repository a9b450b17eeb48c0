"""A worked job, typed reading by reading, with its pictures and its report.

Each example is a `Worked` of invented readings on an invented machine. `make` plays it into a folder: the job
file, its picture before the mend, wide and for the phone, and the report.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import ohmtrail

CIRCUITS = Path(__file__).parents[1] / "circuits"
#: a day that has not come yet, so that ages count to it and files are the same on every day
BEGUN = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Worked:
    """One job.

    Attributes
    ----------
    name : str
        Of its files.
    machine : str
        Harness in ``circuits/``.
    complaint : str
        What the customer says.
    readings : tuple of str
        As typed, up to the mend.
    mend : str
        What was done.
    proof : tuple of str
        As typed, after it.
    """

    name: str
    machine: str
    complaint: str
    readings: tuple[str, ...]
    mend: str
    proof: tuple[str, ...]


def _clock() -> Iterator[datetime]:
    """A minute for everything that is typed."""
    moment = BEGUN
    while True:
        yield moment
        moment += timedelta(minutes=1)


def make(worked: Worked, folder: Path) -> bool:
    """Play a job into a folder.

    Parameters
    ----------
    worked : Worked
        The job.
    folder : Path
        Where its files go; an older run's are replaced.

    Returns
    -------
    bool
        Whether the mend is proven.
    """
    folder.mkdir(parents=True, exist_ok=True)
    clock, path = _clock(), folder / f"{worked.name}.job"
    path.unlink(missing_ok=True)
    harness = CIRCUITS / f"{worked.machine}.yaml"
    ohmtrail.start(path, harness=harness, complaint=worked.complaint, now=next(clock))
    job = ohmtrail.open_job(path)
    for line in worked.readings:
        ohmtrail.read(job, line, now=next(clock))
    ohmtrail.next_step(job, now=next(clock))
    ohmtrail.save_drawn(ohmtrail.draw(job), folder / f"{worked.name}.svg")
    ohmtrail.save_drawn(ohmtrail.draw(job, kind="ladder"), folder / f"{worked.name}-phone.svg")
    ohmtrail.mend(job, worked.mend, now=next(clock))
    for line in worked.proof:
        ohmtrail.read(job, line, now=next(clock))
    report = ohmtrail.report(job)
    ohmtrail.save_report(report, folder / f"{worked.name}.html")
    ohmtrail.save_report(report, folder / f"{worked.name}.txt")
    return ohmtrail.suspects(job).assessment.proven


def main(worked: Worked) -> None:
    """Play a job into the folder that is named on the command line."""
    parser = argparse.ArgumentParser(description=f"{worked.machine}: {worked.complaint}")
    parser.add_argument("folder", type=Path, nargs="?", default=Path(f"{worked.name}-files"))
    folder = parser.parse_args().folder
    print("proven" if make(worked, folder) else "not proven", "in", folder)
