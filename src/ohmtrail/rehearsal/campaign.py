"""Many jobs, several at a time: every job is worked each way on the same machine."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import Literal

from ohmtrail.diagnosis.case import Case
from ohmtrail.harness.model import Harness
from ohmtrail.rehearsal.draws import Wanted, drawn_by_rate, drawn_pairs, every_fault, singles_of
from ohmtrail.rehearsal.work import WAYS, Rehearsed, Way, Workshop

__all__ = ["Set", "Task", "Worked", "rehearse", "tasks_of"]

#: where jobs come from: drawn by the rates, every fault once, two faults at once, those two one at a time
Set = Literal["rates", "every", "pairs", "singles"]


@dataclass(frozen=True)
class Task:
    """One job, the set it belongs to, and the ways in which it is worked."""

    kind: Set
    wanted: Wanted
    ways: tuple[Way, ...] = WAYS


@dataclass(frozen=True)
class Worked:
    """A task done: the job as each way worked it, in the order of its ways."""

    task: Task
    done: tuple[Rehearsed, ...]


def tasks_of(
    case: Case, functions: Sequence[str], *, count: int, pairs: int, every: bool, seed: int, ways: tuple[Way, ...] = WAYS
) -> tuple[Task, ...]:
    """Draw what a rehearsal works on.

    Parameters
    ----------
    case : Case
        The machine.
    functions : sequence of str
        Complaints.
    count, pairs : int
        Jobs drawn by the rates, and pairs of faults, for each complaint.
    every : bool
        Whether every fault is planted once.
    seed : int
        Of every draw.
    ways : tuple of str
        How single faults are worked; pairs, and their faults by themselves, by the search alone.

    Returns
    -------
    tuple of Task
        By complaint, so that what is worked out for one serves the next.
    """
    found = [Task("rates", item, ways) for item in drawn_by_rate(case, functions, count, seed)]
    found += [Task("every", item, ways) for item in every_fault(case, functions, seed)] if every else []
    for pair in drawn_pairs(case, functions, pairs, seed):
        found += [Task("pairs", pair, ("search",)), *(Task("singles", item, ("search",)) for item in singles_of(pair))]
    order = {name: index for index, name in enumerate(functions)}
    return tuple(sorted(found, key=lambda item: order[item.wanted.function]))


@dataclass
class _Worker:
    """What a process keeps: one machine, prepared for one complaint at a time."""

    harness: Harness
    year: int
    barred: frozenset[str]
    function: str = ""
    shop: Workshop | None = None

    def work(self, task: Task) -> Worked:
        if self.shop is None or task.wanted.function != self.function:
            self.shop = Workshop(Case(self.harness, year=self.year), barred=self.barred)
            self.function = task.wanted.function
        done = (self.shop.work(task.wanted, way) for way in task.ways)
        return Worked(task, tuple(item for item in done if item is not None))


_WORKER: _Worker | None = None


def _begin(harness: Harness, year: int, barred: frozenset[str]) -> None:
    """Prepare a worker process."""
    global _WORKER  # a process keeps its machine from one job to the next
    _WORKER = _Worker(harness, year, barred)


def _work(task: Task) -> Worked:
    assert _WORKER is not None
    return _WORKER.work(task)


def rehearse(
    harness: Harness, tasks: Sequence[Task], *, year: int, jobs: int = 1, barred: frozenset[str] = frozenset()
) -> Iterator[Worked]:
    """Work many jobs, in their order.

    Parameters
    ----------
    harness : Harness
        The machine.
    tasks : sequence of Task
        What to work on.
    year : int
        For the age of leads and parts.
    jobs : int
        How many are worked at a time, each in a process of its own.
    barred : frozenset of str
        Places that cannot be reached.

    Yields
    ------
    Worked
        One for each task; the figures do not depend on ``jobs``.
    """
    if jobs <= 1 or len(tasks) < 2:
        worker = _Worker(harness, year, barred)
        for task in tasks:
            yield worker.work(task)
        return
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(jobs, mp_context=context, initializer=_begin, initargs=(harness, year, barred)) as pool:
        yield from pool.map(_work, tasks, chunksize=2)
