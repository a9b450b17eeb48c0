"""A machine rehearsed: what its faults would cost to find, and which cannot be found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from os import PathLike, fspath

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Bench, Case
from ohmtrail.errors import InputError, UnknownName
from ohmtrail.grammar.names import Names
from ohmtrail.harness import load_harness
from ohmtrail.rehearsal import Rehearsal, Worked, reduced_problems, tasks_of, unnoticed
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
    reduced: int = 40,
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
    reduced : int
        Small problems without doubt, for each complaint, on which the least possible is reckoned.
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
    if not (count or pairs or every or reduced):
        raise InputError("nothing to rehearse: give --count, --pairs or --reduced above nought, or leave --no-every out")
    harness = load_harness(existing(fspath(file)))
    chosen = tuple(dict.fromkeys(Names(harness).function(name.split()) for name in functions)) or tuple(harness.functions)
    for place in unreachable:
        if place not in harness.places:
            raise UnknownName("place", place, harness.places)
    barred = frozenset(unreachable)
    case, bench = Case(harness, year=year), Bench(Setting(), barred=barred)
    tasks = tasks_of(case, chosen, count=count, pairs=pairs, every=every, seed=seed)
    small = tuple(item for name in chosen for item in reduced_problems(case, name, bench, reduced, seed))
    hidden = unnoticed(case, chosen) if every else ()
    if not tasks and not small:
        raise InputError(f"no fault listed makes {', '.join(chosen)} fail: name another --function")
    worked: list[Worked] = []
    for item in work_all(harness, tasks, year=year, jobs=jobs, barred=barred):
        worked.append(item)
        if told is not None:
            told(len(worked), len(tasks))
    return Rehearsal(harness, chosen, seed, tuple(sorted(barred)), tuple(worked), small, hidden)
