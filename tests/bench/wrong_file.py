"""Harness files that do not match the machine: ``python tests/bench/wrong_file.py FILE --count 100 --seed 5``.

A lead is left out of the file, or two leads change ends in it, one of them on the way of a complaint; the machine itself
is wired as the true file says and has a fault, drawn by the rates. Readings come from the machine, suspects from the
wrong file. Two sorts of files are worked: those by which some function does not work even with everything sound, where
the technician passes over what `check` says and starts the job all the same, and those by which all works, where only
readings can tell. Counted is whether the job says that the file may be wrong, at once or after readings, whether what it
points at is the wrong lead or one of its ends, and whether a mend is named that puts nothing right.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Literal

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads of small products only wait for each other

from figures import Line, told
from misdescribed import Misdescribed, Wrong
from unlisted import CIRCUIT_3, LIMIT, MOST_STEPS, YEAR

from ohmtrail.diagnosis import Case
from ohmtrail.diagnosis.technician import follow
from ohmtrail.harness import Harness, load_harness
from ohmtrail.rehearsal.draws import complaint_of, machine_of

__all__ = ["Met", "lines_of", "meet"]

#: elements told of where nothing listed fits
NEAR = 3
#: share of the files said to be wrong in which the right spot is pointed at: most
POINTED = 0.5

#: how a job ends: the right mend is made, one that puts nothing right is named, nothing listed explains the readings
End = Literal["right", "wrong", "doubt", "nothing"]


@dataclass(frozen=True)
class Met:
    """What was said in one job.

    Attributes
    ----------
    sound : bool
        Whether every function works by the file.
    at_once : bool
        Whether the job says from the start that the file may be wrong.
    points : tuple of str
        What it points at when it says so.
    near, exact : bool
        Whether a lead that is wrong or one of its ends is among them; whether a change is told that puts the file right.
    end : str
        How the job ends.
    what : str
        The mend.
    """

    sound: bool
    at_once: bool
    points: tuple[str, ...]
    near: bool
    exact: bool
    end: End
    what: str

    @property
    def doubted(self) -> bool:
        """Whether the file was said to be doubtful."""
        return self.at_once or self.end == "doubt"


def meet(true: Case, wrong: Wrong, *, sound: bool) -> Met:
    """Work a job on the true machine by the wrong file.

    Parameters
    ----------
    true : Case
        The machine as it is.
    wrong : Wrong
        The file, and the job.
    sound : bool
        Whether every function works by the file.

    Returns
    -------
    Met
        What is said.
    """
    case, machine = Case(wrong.harness, year=true.year), machine_of(true, wrong.wanted)
    complaint = complaint_of(true, wrong.wanted, machine)
    assert complaint is not None
    astray = case.astray([complaint])
    points = astray.points if astray is not None else ()
    exact = astray is not None and any(_mends(true.harness, wrong, item.leads, item.joins) for item in astray.amendments)
    end, what, later = _worked(true, case, wrong)
    points = points or later
    return Met(sound, astray is not None, points, _near(true.harness, points, wrong), exact, end, what)


def _worked(true: Case, case: Case, wrong: Wrong) -> tuple[End, str, tuple[str, ...]]:
    """Follow the proposals to the first mend that is named or right, or to where nothing listed explains the readings."""
    machine = machine_of(true, wrong.wanted)
    complaint = complaint_of(true, wrong.wanted, machine)
    assert complaint is not None
    planted = [fault for fault in true.every_fault if fault.id in wrong.wanted.faults]
    for action in islice(follow(case, machine, complaint), MOST_STEPS):
        posterior, mend = action.assessment.posterior, action.step.mend
        if posterior is not None and posterior.unlisted > 0.5:
            return "doubt", "", tuple(name for name, _ in posterior.unlisted_at[:NEAR])
        if mend is not None:
            if any(fault.mended_by(mend.id) for fault in planted):
                return "right", mend.id, ()
            if action.proposal.named is not None:
                return "wrong", mend.id, ()
    return "nothing", "", ()


def _mends(harness: Harness, wrong: Wrong, leads: tuple[str, ...], joins: tuple[tuple[str, str], ...]) -> bool:
    """Whether a change makes the wrong file the true one."""
    lacking = len(wrong.altered.leads) == 1
    if set(leads) != (set() if lacking else set(wrong.altered.leads)):
        return False
    true = {frozenset((harness.leads[name].from_, harness.leads[name].to)) for name in wrong.altered.leads}
    return {frozenset(pair) for pair in joins} == true


def _near(harness: Harness, points: Sequence[str], wrong: Wrong) -> bool:
    """Whether a wrong lead or one of its ends, in truth or in the file, is pointed at, or the faulty element."""
    here = {name.split()[0] for name in wrong.wanted.faults}
    for name in wrong.altered.leads:
        for lead in (harness.leads[name], wrong.harness.leads.get(name, harness.leads[name])):
            here |= {name, f"{name}.from", f"{name}.to", lead.from_, lead.to}
    return bool(here & set(points))


def lines_of(done: Sequence[Met]) -> list[Line]:
    """Give the lines of the table.

    Parameters
    ----------
    done : sequence of Met
        At least one.

    Returns
    -------
    list of Line
        Shares of all files, then of each sort.
    """
    lines = _sort("all files", done)
    for sound, called in ((False, "some function does not work by the file"), (True, "all works by the file")):
        some = [item for item in done if item.sound == sound]
        lines += _sort(called, some) if some and len(some) < len(done) else []
    return lines


def _sort(called: str, some: Sequence[Met]) -> list[Line]:
    count, doubted = len(some), [item for item in some if item.doubted]
    named = sum(item.end == "wrong" for item in some)
    near, exact = sum(item.near for item in doubted), sum(item.exact for item in doubted)
    fair = sum(item.doubted or item.end in ("right", "nothing") for item in some)
    return [
        Line(f"{called}: a mend named that puts nothing right", f"{named / count:.0%}", f"{LIMIT:.0%}", named / count <= LIMIT, f"{named} of {count}"),
        Line("said that the file may be wrong", f"{len(doubted) / count:.0%}", how=f"{len(doubted)} of {count}"),
        Line("of these, pointing at a wrong lead, an end of it or the fault", f"{near / max(len(doubted), 1):.0%}", f"{POINTED:.0%}", near > POINTED * len(doubted) or not doubted, f"{near} of {len(doubted)}"),
        Line("of these, a change told that puts the file right", f"{exact / max(len(doubted), 1):.0%}", how=f"{exact} of {len(doubted)}"),
        Line("the right mend all the same", f"{sum(item.end == 'right' for item in some) / count:.0%}"),
        Line("said so, or the right mend, or nothing named", f"{fair / count:.0%}"),
    ]


def main() -> int:
    """Work the files, and print the table; status 1 where a target was missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", nargs="?", default=CIRCUIT_3, type=Path, help="a harness file")
    parser.add_argument("--function", action="append", help="a complaint; all where not given")
    parser.add_argument("--count", type=int, default=100, help="files of each sort")
    parser.add_argument("--sort", choices=("both", "failing", "sound"), default="both", help="which sort of files")
    parser.add_argument("--seed", type=int, default=5)
    asked = parser.parse_args()
    true = Case(load_harness(asked.file), year=YEAR)
    made = Misdescribed(true, asked.file)
    done: list[Met] = []
    for sound in [kept for kept, name in ((False, "failing"), (True, "sound")) if asked.sort in ("both", name)]:
        for wrong in made.jobs(asked.function or list(true.harness.functions), asked.count, asked.seed, sound=sound):
            item = meet(true, wrong, sound=sound)
            done.append(item)
            said = ("says at once, " if item.at_once else "") + f"{item.end} {item.what}"
            print(f"{len(done)} {wrong.wanted.faults[0]}, {wrong.altered}: {said}; {', '.join(item.points)}; {item.near} {item.exact}", file=sys.stderr, flush=True)
    if not done:
        print("no file: nothing drawn shows its complaint", file=sys.stderr)
        return 2
    print(told(lines := lines_of(done)))
    return int(not all(line.met for line in lines))


if __name__ == "__main__":
    sys.exit(main())
