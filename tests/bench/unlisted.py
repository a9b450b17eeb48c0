"""Faults that are in no table: ``python tests/bench/unlisted.py FILE --count 6 --seed 5``.

Jobs are drawn by the rates. Each is worked twice on the same machine: by a search that knows everything, and by one
to which the mend that would put it right, with all its faults, is unknown. Counted is how often the second names a
mend, wrong by construction, at 95 % or more: before it made any mend, and in the whole job, to the point where it
gives up. A lead renewed together with its neighbour is put right, whatever the mend is called. A wrong mend on the very lead, joint or connector is counted apart as well: it points at the right spot.
``--function`` takes some of the complaints.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads of small products only wait for each other

from figures import Line, Watch, told

from ohmtrail.diagnosis import Case
from ohmtrail.diagnosis.technician import follow
from ohmtrail.harness import load_harness
from ohmtrail.rehearsal.draws import Wanted, complaint_of, drawn_by_rate, machine_of
from ohmtrail.rehearsal.work import Rehearsed, Workshop

__all__ = ["Unlisted", "blamed", "lines_of", "near_to", "work_unlisted"]

CIRCUIT_3 = Path(__file__).parents[2] / "circuits" / "outboard.yaml"
YEAR = 2026
#: share of jobs in which a wrong mend may be named
LIMIT = 0.30
#: a technician who was told nothing in so many steps stops; own choice
MOST_STEPS = 25


@dataclass(frozen=True)
class Unlisted:
    """One job.

    Attributes
    ----------
    wanted : Wanted
        What was planted.
    first, ever : str
        The mend named, its own unknown: before any mend was made, and in the whole job; "" for none.
    near : bool
        Whether that mend is on the very lead or connector of the fault.
    known : Rehearsed
        The same job by a search that knows everything.
    cpu_s : float
        Processor time of that search for each reading.
    """

    wanted: Wanted
    first: str
    ever: str
    near: bool
    known: Rehearsed
    cpu_s: float


def blamed(full: Case, wanted: Wanted) -> tuple[str, str]:
    """Give the mends that are named where the right one is unknown.

    Parameters
    ----------
    full : Case
        The machine with every fault known.
    wanted : Wanted
        The job.

    Returns
    -------
    tuple of str
        Id of the mend named before any was made, and of the first one named at all; "" for none.
    """
    planted = [fault for fault in full.every_fault if fault.id in wanted.faults]
    case = Case(full.harness, year=full.year, left_out={fault.mend.id for fault in planted})
    machine = machine_of(full, wanted)
    complaint = complaint_of(full, wanted, machine)
    assert complaint is not None
    first = True
    for action in islice(follow(case, machine, complaint), MOST_STEPS):
        if action.step.mend is not None:
            if action.proposal.named is not None:
                if any(fault.mended_by(action.step.mend.id) for fault in planted):
                    return "", ""
                return (action.step.mend.id if first else ""), action.step.mend.id
            first = False
    return "", ""


def near_to(full: Case, fault: str, mend: str) -> bool:
    """Say whether a mend is on the very lead, joint or connector of a fault."""
    elements = {item.id: item.element for item in full.every_fault}
    on = {item.mend.id: item.element for item in full.every_fault}
    if not mend:
        return False
    here, there = _spot(full, elements[fault]), _spot(full, on[mend])
    return bool(here & there)


def _spot(full: Case, element: str) -> set[str]:
    """The lead or part that an element belongs to, and what its end is fixed to."""
    harness = full.harness
    owner = element.rpartition(".")[0] or element
    found = {element, owner}
    if element in harness.lead_ends:
        found.add(harness.lead_ends[element][1])
    if element in harness.leads:
        lead = harness.leads[element]
        found |= {lead.from_, lead.to}
    return found


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
        first, ever = blamed(full, wanted)
        yield Unlisted(wanted, first, ever, near_to(full, wanted.faults[0], ever), known, took / max(known.readings, 1))


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
    count, knew = len(done), [item.known for item in done]
    first, ever = sum(bool(item.first) for item in done), sum(bool(item.ever) for item in done)
    far = sum(bool(item.ever) and not item.near for item in done)
    named = [item for item in knew if item.named]
    return [
        Line("a wrong mend named, its own unknown", f"{ever / count:.0%}", f"{LIMIT:.0%}", ever / count <= LIMIT, f"{ever} of {count} jobs"),
        Line("the same, before any mend was made", f"{first / count:.0%}", how=f"{first} of {count}"),
        Line("the same, neither on its lead nor its connector", f"{far / count:.0%}", how=f"{far} of {count}"),
        Line("everything known: named", f"{len(named) / count:.0%}", how=f"{len(named)} of {count}"),
        Line("right when named", f"{sum(item.right for item in named) / max(len(named), 1):.0%}"),
        Line("named, or in the smallest group", f"{sum(item.named or item.grouped for item in knew) / count:.0%}"),
        Line("first mend right", f"{sum(item.right for item in knew) / count:.0%}"),
        Line("solved", f"{sum(item.solved for item in knew) / count:.0%}"),
        Line("readings", f"{sum(item.readings for item in knew) / count:.2f}"),
        Line("minutes", f"{sum(item.minutes for item in knew) / count:.1f} min"),
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
        wrong = sum(bool(other.ever) for other in done)
        said = f"names '{item.ever}'{' (near)' if item.near else ''}" if item.ever else "names nothing"
        print(f"{len(done)}/{len(jobs)} {item.wanted.faults[0]}: {said}; {wrong} wrong", file=sys.stderr, flush=True)
    if not done:
        print("no job: nothing drawn shows its complaint", file=sys.stderr)
        return 2
    print(told(lines := lines_of(done)))
    return int(not all(line.met for line in lines))


if __name__ == "__main__":
    sys.exit(main())
