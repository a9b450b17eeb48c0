"""What one machine takes: load, check, first proposal from cold, steps after it, memory.

``python tests/bench/growth.py 600`` makes a harness of 600 leads, ``growth.py circuits/outboard.yaml --complaint
spark-top`` takes one there is; the figures are written as JSON. Each runs in a process of its own, so that one
does not warm another, and memory is that of one.
"""

from __future__ import annotations

import argparse
import json
import resource
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from figures import Line, Watch
from made import made_harness

from ohmtrail.circuit import function_setting
from ohmtrail.circuit.memory import give_back_memory
from ohmtrail.diagnosis import Case, Planted, plant
from ohmtrail.diagnosis.case import Assessment, Event, Mended
from ohmtrail.diagnosis.evidence import Seen
from ohmtrail.diagnosis.posterior import Posterior
from ohmtrail.diagnosis.steps import Bench, Step
from ohmtrail.harness import load_harness
from ohmtrail.workbench import check
from ohmtrail.workbench.outcomes import next_events

__all__ = ["growth"]

ROOT = Path(__file__).parents[2]
#: leads -> limits in seconds of the first proposal and of a step, and in MB; None where there is no target
LIMITS: dict[int, tuple[float | None, float | None, int | None]] = {
    60: (None, None, None),
    200: (None, None, None),
    600: (5.0, None, None),
    2000: (20.0, 1.0, 1500),
}
#: the same for circuit 1
CIRCUIT_1 = (3.0, 0.3, 500)
#: leads up to which ``check`` is run: it tries every function on 17 machines, and grows with the square of their number
CHECKED = 700
#: faults that are followed to their proof, steps at most
JOBS, STEPS = 2, 12


def growth(circuit_1: Path, complaint: str) -> Iterator[Line]:
    """Give the lines of the table.

    Parameters
    ----------
    circuit_1 : Path
        The first circuit's harness file.
    complaint : str
        A function of it that fails.

    Yields
    ------
    Line
        Seconds and MB.
    """
    yield from _lines("circuit 1", _measured([str(circuit_1), "--complaint", complaint]), CIRCUIT_1)
    for leads, limits in LIMITS.items():
        yield from _lines(f"{leads:,} leads", _measured([str(leads)]), limits)


def _measured(words: list[str]) -> dict[str, Any]:
    """What a process of its own found."""
    run = subprocess.run([sys.executable, __file__, *words], capture_output=True, text=True, check=False)
    if run.returncode:
        raise RuntimeError(run.stderr)
    found: dict[str, Any] = json.loads(run.stdout)
    return found


def _lines(name: str, found: dict[str, Any], limits: tuple[float | None, float | None, int | None]) -> Iterator[Line]:
    first, step, memory = limits
    size = f"{found['leads']:,} leads, {found['branches']:,} branches, {found['rows']:,} rows"
    checked = f"check {found['check_s']:.1f} s" if found["leads"] <= CHECKED else "check not run"
    yield _seconds(f"{name}: first proposal, cold", found["first_s"], first, f"{size}; load {found['load_s']:.2f} s, {checked}")
    steps, ahead = found["steps_s"], found["ahead_s"]
    how = f"of {len(steps)}, after working ahead for up to {max(ahead):.0f} s while the technician measures"
    yield _seconds(f"{name}: step, warm, median", statistics.median(steps), step, how)
    yield _seconds(f"{name}: step, warm, slowest", max(steps), step, f"of {len(steps)}")
    wanted = f"{memory:,} MB" if memory else ""
    yield Line(f"{name}: memory, first proposal", f"{found['first_mb']:,.0f} MB", wanted, memory is None or found["first_mb"] < memory)
    met = memory is None or found["memory_mb"] < memory
    yield Line(f"{name}: memory, working ahead", f"{found['memory_mb']:,.0f} MB", wanted, met, f"{JOBS} jobs followed to their proof")


def _seconds(about: str, found: float, limit: float | None, how: str) -> Line:
    return Line(about, f"{found:.2f} s", f"{limit:g} s" if limit else "", limit is None or found < limit, how)


def measure(path: Path, complaint: str) -> dict[str, Any]:
    """Load, propose, follow some jobs, check.

    Parameters
    ----------
    path : Path
        A harness file.
    complaint : str
        A function of it; one in the middle where it is "".

    Returns
    -------
    dict
        Seconds of the processor, MB, sizes.
    """
    watch = Watch()
    harness = load_harness(path)
    load_s = watch.lap()
    name = complaint or list(harness.functions)[len(harness.functions) // 2]
    setting = function_setting(harness, harness.functions[name])
    case, seen = Case(harness, year=2026), Seen(name, setting, 0)
    assessment = case.assess([seen])
    case.next_step(assessment, Bench(setting))
    first_s = watch.lap()
    first_mb = _most_mb()
    assert assessment.posterior is not None
    steps = [step for number in range(JOBS) for step in _job(case, seen, assessment.posterior, number)]
    memory_mb = _most_mb()
    watch.lap()
    if len(harness.leads) <= CHECKED:
        check(path)
    return {
        "leads": len(harness.leads),
        "branches": len(case.network.branches),
        "rows": len(case.table),
        "load_s": load_s,
        "check_s": watch.lap(),
        "first_s": first_s,
        "steps_s": [step for step, _ in steps],
        "ahead_s": [ahead for _, ahead in steps],
        "first_mb": first_mb,
        "memory_mb": memory_mb,
    }


def _most_mb() -> float:
    """The most memory this process has had so far; of Linux alone not counting the one that it was forked from."""
    status = Path("/proc/self/status")
    if status.exists():
        return int(status.read_text(encoding="ascii").partition("VmHWM:")[2].split()[0]) / 1024.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def _job(case: Case, seen: Seen, posterior: Posterior, number: int) -> Iterator[tuple[float, float]]:
    """Seconds of each step after the first, on a machine with one of the likelier faults, and those of working ahead."""
    generator = np.random.default_rng(number)
    fault = posterior.table.rows[posterior.answers[3 * number + 1].rows[0]].faults[0]
    machine = Planted(case.harness, (plant(fault, generator),), meter=case.meter, generator=generator, slip=0.0)
    history: list[Event] = [seen]
    bench, ahead = Bench(seen.setting), Watch()
    for count in range(STEPS):
        ahead_s, watch = ahead.lap(), Watch()
        assessment = case.assess(history)
        step = None if assessment.proven else case.next_step(assessment, bench).step
        if count:
            yield watch.lap(), ahead_s
        if step is None:
            return
        result = _done(machine, step)
        ahead.lap()
        _work_ahead(case, assessment, history, bench, step)
        history.append(result)
        bench = bench.after(case.harness, step)


def _done(machine: Planted, step: Step) -> Event:
    """Do a step."""
    if step.kind != "mend":
        return machine.take(step)
    assert step.mend is not None
    machine.mend(step.mend.id)
    return Mended(step.mend.id)


def _work_ahead(case: Case, assessment: Assessment, history: Sequence[Event], bench: Bench, step: Step) -> None:
    """What the program does while the technician measures."""
    there = bench.after(case.harness, step)
    results: list[tuple[Assessment, Bench]] = []
    for result in next_events(assessment.posterior, step):
        after = case.assess((*history, result))
        if after.posterior is not None and not after.to_prove:
            case.next_step(after, there)
            results.append((after, there))
        give_back_memory()
    case.foresee(assessment, bench, results)
    give_back_memory()


def main() -> None:
    """Measure one machine."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("machine", help="how many leads, or a harness file")
    parser.add_argument("--complaint", default="", help="a function that fails")
    args = parser.parse_args()
    if not args.machine.isdigit():
        print(json.dumps(measure(Path(args.machine), args.complaint)))
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.yaml"
        path.write_text(made_harness(int(args.machine)), encoding="utf-8")
        print(json.dumps(measure(path, args.complaint)))


if __name__ == "__main__":
    main()
