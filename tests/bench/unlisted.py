"""Faults that are in no table: ``python tests/bench/unlisted.py FILE --count 6 --seed 5``.

Jobs are drawn by the rates. Each is worked twice on the same machine: by a search that knows everything, and by one
to which the mend that would put it right, with all its faults, is unknown. Counted is how often the second names a
mend, wrong by construction, at 95 % or more. ``--function`` takes some of the complaints.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads of small products only wait for each other

from figures import Line, Watch, told

from ohmtrail.diagnosis import Case
from ohmtrail.diagnosis.technician import follow
from ohmtrail.harness import load_harness
from ohmtrail.rehearsal.draws import Wanted, complaint_of, drawn_by_rate, machine_of
from ohmtrail.rehearsal.work import Workshop

__all__ = ["Unlisted", "blamed", "lines_of", "work_unlisted"]

CIRCUIT_3 = Path(__file__).parents[2] / "circuits" / "outboard.yaml"
YEAR = 2026
#: share of jobs in which a wrong mend may be named
LIMIT = 0.30


@dataclass(frozen=True)
class Unlisted:
    """One job: what was planted, the mend named without knowing it ("" for none), and the search that knows it."""

    wanted: Wanted
    named: str
    readings: int
    minutes: float
    cpu_s: float


def blamed(full: Case, wanted: Wanted) -> str:
    """Give the mend that is named where the right one is unknown.

    Parameters
    ----------
    full : Case
        The machine with every fault known.
    wanted : Wanted
        The job.

    Returns
    -------
    str
        Id of the first mend, if it was named; "" where the first mend was only tried, or none was found.
    """
    mends = {fault.id: fault.mend.id for fault in full.every_fault}
    case = Case(full.harness, year=full.year, left_out={mends[name] for name in wanted.faults})
    machine = machine_of(full, wanted)
    complaint = complaint_of(full, wanted, machine)
    assert complaint is not None
    for action in follow(case, machine, complaint):
        if action.step.mend is not None:
            return action.step.mend.id if action.proposal.named is not None else ""
    return ""


def work_unlisted(full: Case, jobs: Sequence[Wanted]) -> Iterator[Unlisted]:
    """Work jobs with and without knowing their faults.

    Parameters
    ----------
    full : Case
        The machine with every fault known.
    jobs : sequence of Wanted
        What is planted; each shows its complaint.

    Yields
    ------
    Unlisted
        One for each job.
    """
    shop = Workshop(full)
    for wanted in jobs:
        watch = Watch()
        known = shop.work(wanted, "search")
        assert known is not None
        took = watch.lap()
        yield Unlisted(wanted, blamed(full, wanted), known.readings, known.minutes, took / max(known.readings, 1))


def lines_of(done: Sequence[Unlisted]) -> list[Line]:
    """Give the lines of the table.

    Parameters
    ----------
    done : sequence of Unlisted
        At least one.

    Returns
    -------
    list of Line
        The share named wrongly, and what the search takes where the table is complete.
    """
    count, wrong = len(done), sum(bool(item.named) for item in done)
    share = wrong / count
    return [
        Line("a wrong mend named, its own unknown", f"{share:.0%}", f"{LIMIT:.0%}", share <= LIMIT, f"{wrong} of {count} jobs"),
        Line("readings, everything known", f"{sum(item.readings for item in done) / count:.2f}"),
        Line("minutes, everything known", f"{sum(item.minutes for item in done) / count:.1f} min"),
        Line("processor for a reading", f"{sum(item.cpu_s for item in done) / count:.2f} s", how="tables included"),
    ]


def main() -> int:
    """Work the jobs, and print the table; status 1 where the target was missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", nargs="?", default=CIRCUIT_3, help="a harness file")
    parser.add_argument("--function", action="append", help="a complaint; all where not given")
    parser.add_argument("--count", type=int, default=6, help="jobs for each complaint")
    parser.add_argument("--seed", type=int, default=5)
    asked = parser.parse_args()
    full = Case(load_harness(asked.file), year=YEAR)
    jobs = list(drawn_by_rate(full, asked.function or list(full.harness.functions), asked.count, asked.seed))
    done: list[Unlisted] = []
    for item in work_unlisted(full, jobs):
        done.append(item)
        wrong = sum(bool(other.named) for other in done)
        said = f"names '{item.named}'" if item.named else "names nothing"
        print(f"{len(done)}/{len(jobs)} {item.wanted.faults[0]}: {said}; {wrong} wrong", file=sys.stderr, flush=True)
    if not done:
        print("no job: nothing drawn shows its complaint", file=sys.stderr)
        return 2
    print(told(lines := lines_of(done)))
    return int(not all(line.met for line in lines))


if __name__ == "__main__":
    sys.exit(main())
