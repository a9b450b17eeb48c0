"""Harness files that do not match the machine: ``python tests/bench/wrong_file.py FILE --count 40 --seed 5``.

A lead on the way of a complaint is left out of the file, or two leads change ends in it; the machine itself is wired
as the true file says and has a fault, drawn by the rates. Readings come from the machine, suspects from the wrong file.
Counted is what is said first: `check` sees it before any reading, the right mend is named, nothing listed is said to
explain the readings (and whether what they point at is near), or a mend is named that puts nothing right. For each job
files are drawn until one is wrong in a way that `check` does not see.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any, Literal

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads of small products only wait for each other

import numpy as np
import yaml
from figures import Line, told
from unlisted import CIRCUIT_3, LIMIT, MOST_STEPS, YEAR, puts_right

from ohmtrail.circuit import WORKS, Electrics, function_level, function_setting
from ohmtrail.diagnosis import Case
from ohmtrail.diagnosis.technician import follow
from ohmtrail.errors import OhmtrailError
from ohmtrail.harness import Harness, load_harness
from ohmtrail.rehearsal.draws import Wanted, causes, complaint_of, drawn_by_rate, machine_of

__all__ = ["Told", "Wrong", "lines_of", "meet", "wrong_files"]

#: elements told of where nothing listed fits
NEAR = 3
#: files drawn for a job until one is wrong in a way that `check` does not see
TRIES = 30

#: what is said first
Told = Literal["check", "right", "doubt", "near", "wrong", "nothing"]


@dataclass(frozen=True)
class Wrong:
    """A file that is wrong, and what was planted on the machine.

    Attributes
    ----------
    how : str
        What is wrong in it, for people.
    leads : tuple of str
        The leads concerned.
    harness : Harness
        As the wrong file has it.
    wanted : Wanted
        The job on the true machine.
    """

    how: str
    leads: tuple[str, ...]
    harness: Harness
    wanted: Wanted


def wrong_files(true: Case, path: Path, functions: Sequence[str], count: int, seed: int) -> Iterator[Wrong]:
    """Make wrong files, and a job for each.

    Parameters
    ----------
    true : Case
        The machine as it is.
    path : Path
        Its file.
    functions : sequence of str
        Complaints.
    count : int
        Files for each complaint.
    seed : int
        Of what is changed and planted.

    Yields
    ------
    Wrong
        Files that still load: for each job those by which a function does not work, and one by which all do.
    """
    generator = np.random.default_rng([seed, 4])
    tree: dict[str, Any] = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    for function in functions:
        near = list(dict.fromkeys(f.element for f in causes(true, function) if f.element in true.harness.leads))
        for wanted in drawn_by_rate(true, [function], count, seed):
            for _ in range(TRIES):
                made = _altered(tree, true.harness, near, generator)
                if made is None:
                    continue
                yield (wrong := Wrong(*made, wanted))
                if not does_without(wrong.harness):
                    break


def _altered(
    tree: dict[str, Any], true: Harness, near: list[str], generator: np.random.Generator
) -> tuple[str, tuple[str, ...], Harness] | None:
    """One lead left out, or two with their ends changed; None where no such file loads."""
    leads: dict[str, Any] = {name: dict(item) for name, item in tree["leads"].items()}
    first = near[int(generator.integers(len(near)))]
    if generator.random() < 0.5:
        del leads[first]
        how, concerned = f"{first} is missing", (first,)
    else:
        plain = [name for name in leads if name != first and not true.leads[name].high_tension]
        others = [name for name in plain if true.leads[name].to != true.leads[first].to]
        beside = [name for name in others if _parts(true, name) & _parts(true, first)]
        others = beside if beside and generator.random() < 0.5 else others
        second = others[int(generator.integers(len(others)))]
        leads[first]["to"], leads[second]["to"] = leads[second]["to"], leads[first]["to"]
        how, concerned = f"{first} and {second} are swapped", (first, second)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "wrong.yaml"
        file.write_text(yaml.safe_dump({**tree, "leads": leads}, allow_unicode=True, sort_keys=False), encoding="utf-8")
        try:
            return how, concerned, load_harness(file)
        except OhmtrailError:
            return None


def _parts(harness: Harness, lead: str) -> set[str]:
    """The parts that a lead runs between."""
    return {terminal.rpartition(".")[0] for terminal in (harness.leads[lead].from_, harness.leads[lead].to)} - {""}


def does_without(harness: Harness) -> str:
    """Name a function that does not work by the file, everything sound: what `check` says; "" for none."""
    electrics = Electrics(harness)
    for name, function in harness.functions.items():
        if int(function_level(electrics, function, function_setting(harness, function))[0, 0]) < WORKS:
            return name
    return ""


def meet(true: Case, wrong: Wrong) -> tuple[Told, str]:
    """Work a job on the true machine by the wrong file.

    Parameters
    ----------
    true : Case
        The machine as it is.
    wrong : Wrong
        The file, and the job.

    Returns
    -------
    tuple of (str, str)
        What is said first, and of what.
    """
    if dead := does_without(wrong.harness):
        return "check", dead
    case = Case(wrong.harness, year=true.year)
    machine = machine_of(true, wrong.wanted)
    complaint = complaint_of(true, wrong.wanted, machine)
    assert complaint is not None
    planted = [fault for fault in true.every_fault if fault.id in wrong.wanted.faults]
    for action in islice(follow(case, machine, complaint), MOST_STEPS):
        posterior, mend = action.assessment.posterior, action.step.mend
        if posterior is not None and posterior.unlisted > 0.5:
            spots = [name for name, _ in posterior.unlisted_at[:NEAR]]
            return ("near" if _near(true.harness, spots, wrong) else "doubt"), ", ".join(spots)
        if mend is not None:
            right = any(fault.mend.id == mend.id or puts_right(fault, mend) for fault in planted)
            if right:
                return "right", mend.id
            if action.proposal.named is not None:
                return "wrong", mend.id
    return "nothing", ""


def _near(harness: Harness, spots: Sequence[str], wrong: Wrong) -> bool:
    """Whether a spot is on a lead that is wrong in the file, at its ends, or where the fault is."""
    planted = {name.split()[0] for name in wrong.wanted.faults}
    here = {*wrong.leads, *planted}
    for name in wrong.leads:
        lead = harness.leads[name]
        here |= {f"{name}.from", f"{name}.to", lead.from_, lead.to, lead.from_.rpartition(".")[0], lead.to.rpartition(".")[0]}
    return any(spot in here or spot.rpartition(".")[0] in here for spot in spots)


def lines_of(told_first: Sequence[Told]) -> list[Line]:
    """Give the lines of the table.

    Parameters
    ----------
    told_first : sequence of str
        What was said first in each case, at least one.

    Returns
    -------
    list of Line
        Shares; the first has a target.
    """
    seen, rest = told_first.count("check"), [word for word in told_first if word != "check"]
    count = max(len(rest), 1)
    share = {word: rest.count(word) / count for word in ("right", "doubt", "near", "wrong", "nothing")}
    blamed = rest.count("wrong") / len(told_first)
    doubted = share["doubt"] + share["near"]
    return [
        Line("a mend named that puts nothing right", f"{blamed:.0%}", f"{LIMIT:.0%}", blamed <= LIMIT, f"of {len(told_first)} files"),
        Line("seen by `check`: a function does not work by the file", f"{seen / len(told_first):.0%}"),
        Line("of the others: such a mend named", f"{share['wrong']:.0%}", f"{LIMIT:.0%}", share["wrong"] <= LIMIT, f"of {len(rest)} files"),
        Line("the right mend all the same", f"{share['right']:.0%}"),
        Line("said that nothing listed explains the readings", f"{doubted:.0%}"),
        Line("of these, pointing at the wrong lead, its ends or the fault", f"{share['near'] / doubted:.0%}" if doubted else "none"),
        Line("neither", f"{share['nothing']:.0%}"),
    ]


def main() -> int:
    """Work the files, and print the table; status 1 where the target was missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", nargs="?", default=CIRCUIT_3, type=Path, help="a harness file")
    parser.add_argument("--function", action="append", help="a complaint; all where not given")
    parser.add_argument("--count", type=int, default=40, help="files for each complaint")
    parser.add_argument("--seed", type=int, default=5)
    asked = parser.parse_args()
    true = Case(load_harness(asked.file), year=YEAR)
    done: list[Told] = []
    for wrong in wrong_files(true, asked.file, asked.function or list(true.harness.functions), asked.count, asked.seed):
        word, what = meet(true, wrong)
        done.append(word)
        print(f"{len(done)} {wrong.wanted.faults[0]}, {wrong.how}: {word} {what}", file=sys.stderr, flush=True)
    if not done:
        print("no file: nothing drawn shows its complaint", file=sys.stderr)
        return 2
    print(told(lines := lines_of(done)))
    return int(not all(line.met for line in lines))


if __name__ == "__main__":
    sys.exit(main())
