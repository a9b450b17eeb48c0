"""A machine rehearsed: what its faults would cost to find, and which cannot be found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from os import PathLike, fspath

from ohmtrail.diagnosis import Case
from ohmtrail.errors import InputError, UnknownName
from ohmtrail.grammar.names import Names
from ohmtrail.harness import load_harness
from ohmtrail.rehearsal import Rehearsal, Worked, tasks_of
from ohmtrail.rehearsal import rehearse as work_all
from ohmtrail.workbench.files import existing

__all__ = ["rehearse"]

#: told how many jobs are done and how many there are
Told = Callable[[int, int], None]


def rehearse(
    file: str | PathLike[str],
    *,
    functions: Sequence[str] = (),
    count: int = 20,
    pairs: int = 5,
    every: bool = True,
    seed: int = 1,
    jobs: int = 1,
    unreachable: Sequence[str] = (),
    year: int,
    told: Told | None = None,
) -> Rehearsal:
    """Rehearse a machine's faults against its complaints.

    Parameters
    ----------
    file : str or path
        Harness file.
    functions : sequence of str
        Complaints; every function where not given.
    count, pairs : int
        Jobs drawn by the rates, and pairs of faults, for each complaint.
    every : bool
        Whether every fault is planted once, against one complaint it can cause.
    seed : int
        Of every draw.
    jobs : int
        How many are worked at a time.
    unreachable : sequence of str
        Places that cannot be got at.
    year : int
        For the age of leads and parts.
    told : callable, optional
        Told how far it is.

    Returns
    -------
    Rehearsal
        Every job and the figures on them.

    Raises
    ------
    UnknownName
        No such function or place.
    InputError
        Nothing is asked for, or no fault shows any of the complaints.
    """
    if not (count or pairs or every):
        raise InputError("nothing to rehearse: give --count or --pairs above nought, or leave --no-every out")
    harness = load_harness(existing(fspath(file)))
    chosen = tuple(dict.fromkeys(Names(harness).function(name.split()) for name in functions)) or tuple(harness.functions)
    for place in unreachable:
        if place not in harness.places:
            raise UnknownName("place", place, harness.places)
    barred = frozenset(unreachable)
    tasks = tasks_of(Case(harness, year=year), chosen, count=count, pairs=pairs, every=every, seed=seed)
    if not tasks:
        raise InputError(f"no fault listed makes {', '.join(chosen)} fail: name another --function")
    worked: list[Worked] = []
    for item in work_all(harness, tasks, year=year, jobs=jobs, barred=barred):
        worked.append(item)
        if told is not None:
            told(len(worked), len(tasks))
    return Rehearsal(harness, chosen, seed, tuple(sorted(barred)), tuple(worked))
