"""Every fault of a machine once, worked by Ohmtrail alone: ``python tests/bench/every_fault.py FILE --take 250 --seed 6``.

The same jobs as ``ohmtrail rehearse FILE --every`` has them, without the printed chart and the other ways of searching,
which take most of its time. ``--take`` works so many of them, evenly spaced over the machine in the order of its file,
so that every part of it has its share. ``--function`` takes some of the complaints.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads of small products only wait for each other

from figures import Line, Watch, told

from ohmtrail.diagnosis import Case
from ohmtrail.harness import load_harness
from ohmtrail.rehearsal.campaign import Task, rehearse
from ohmtrail.rehearsal.draws import Wanted, every_fault
from ohmtrail.rehearsal.work import Rehearsed

__all__ = ["lines_of", "spaced"]

CIRCUIT_1 = Path(__file__).parents[2] / "circuits" / "trail-motorcycle.yaml"
YEAR = 2026
#: shares that are wanted: right when named, named or in the smallest group, solved
RIGHT, NAMED, SOLVED = 0.97, 0.80, 1.0
#: a mend counts as stated with confidence from here on
SURE = 0.95


def spaced(jobs: Sequence[Wanted], count: int) -> list[Wanted]:
    """Take so many jobs, evenly spaced; all where there are no more."""
    if not 0 < count < len(jobs):
        return list(jobs)
    return [jobs[number * len(jobs) // count] for number in range(count)]


def lines_of(done: Sequence[Rehearsed]) -> list[Line]:
    """Give the lines of the table.

    Parameters
    ----------
    done : sequence of Rehearsed
        At least one job.

    Returns
    -------
    list of Line
        Shares of the jobs, and what they took.
    """
    count = len(done)
    named = [item for item in done if item.named]
    right = sum(item.right for item in named) / max(len(named), 1)
    reached = sum(item.named or item.grouped for item in done)
    solved = sum(item.solved for item in done)
    sure = [item for item in done if item.share >= SURE]
    return [
        Line("right when named", f"{right:.1%}", f"{RIGHT:.0%}", right >= RIGHT, f"{sum(item.right for item in named)} of {len(named)}"),
        Line("named, or in the smallest group", f"{reached / count:.1%}", f"{NAMED:.0%}", reached / count >= NAMED, f"{reached} of {count}"),
        Line("solved", f"{solved / count:.1%}", f"{SOLVED:.0%}", solved == count, f"{solved} of {count}"),
        Line("named", f"{len(named) / count:.1%}", how=f"{len(named)} of {count}"),
        Line(
            "stated at 95 % or more",
            f"{sum(item.share for item in sure) / max(len(sure), 1):.1%}",
            how=f"right {sum(item.right for item in sure) / max(len(sure), 1):.1%} of {len(sure)}",
        ),
        Line("first mend right", f"{sum(item.right for item in done) / count:.1%}"),
        Line("readings", f"{sum(item.readings for item in done) / count:.2f}", how=f"at most {max(item.readings for item in done)}"),
        Line("minutes", f"{sum(item.minutes for item in done) / count:.1f} min", how=f"at most {max(item.minutes for item in done):.0f}"),
        Line("minutes over walking straight to the mend", f"{sum(item.excess for item in done) / count:.1f} min"),
    ]


def main() -> int:
    """Work the jobs, and print the table; status 1 where a target was missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", nargs="?", default=CIRCUIT_1, help="a harness file")
    parser.add_argument("--function", action="append", help="a complaint; all where not given")
    parser.add_argument("--take", type=int, default=0, help="so many jobs, evenly spaced; all where not given")
    parser.add_argument("--seed", type=int, default=6)
    parser.add_argument("--jobs", type=int, default=1, help="how many are worked at a time")
    asked = parser.parse_args()
    watch = Watch()
    case = Case(load_harness(asked.file), year=YEAR)
    every = list(every_fault(case, asked.function or list(case.harness.functions), asked.seed))
    jobs = [Task("every", item, ("search",)) for item in spaced(every, asked.take)]
    done: list[Rehearsed] = []
    for worked in rehearse(case.harness, jobs, year=YEAR, jobs=asked.jobs):
        (made,) = worked.done  # drawn so that its complaint shows
        wanted = made.wanted
        done.append(made)
        found = "named" if made.named else "group" if made.grouped else "tried"
        print(
            f"{len(done)}/{len(jobs)} {wanted.function}: {wanted.faults[0]}: {found} '{made.first}' at {made.share:.1%}"
            f"{'' if made.right else ', WRONG'}{'' if made.solved else ', NOT SOLVED'}; {made.readings} readings, {made.minutes:.0f} min",
            file=sys.stderr,
            flush=True,
        )
    if not done:
        print("no job: no fault shows its complaint", file=sys.stderr)
        return 2
    print(f"{len(done)} of {len(every)} faults, {watch.lap():.0f} s of one processor\n")
    print(told(lines := lines_of(done)))
    return int(not all(line.met for line in lines))


if __name__ == "__main__":
    sys.exit(main())
