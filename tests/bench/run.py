"""Speed and growth, printed as one table: ``python tests/bench/run.py``.

Every figure is processor time, and every ratio comes from one run. ``--only spice library growth startup`` takes
some of the parts. What a part needs and is not installed (ngspice, the Bayesian-network library of the ``bench``
extra) is named in its line.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads of small products only wait for each other

from figures import Line, told
from growth import growth
from library import against_a_library
from spice import against_ngspice
from startup import startup

from ohmtrail.harness import load_harness

CIRCUIT_1 = Path(__file__).parents[2] / "circuits" / "trail-motorcycle.yaml"
COMPLAINT = "spark"


def _spice() -> Iterator[Line]:
    if shutil.which("ngspice") is None:
        yield Line("ngspice / ours", "not measured", "1,000 x", met=False, how="ngspice is not installed")
        return
    yield from against_ngspice(load_harness(CIRCUIT_1))


PARTS: dict[str, Callable[[], Iterator[Line]]] = {
    "spice": _spice,
    "library": lambda: against_a_library(load_harness(CIRCUIT_1), COMPLAINT),
    "growth": lambda: growth(CIRCUIT_1, COMPLAINT),
    "startup": startup,
}


def main() -> int:
    """Measure, and print the table; status 1 where a target was missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", nargs="*", choices=PARTS, default=list(PARTS), help="parts to measure")
    lines: list[Line] = []
    for part in parser.parse_args().only:
        for line in PARTS[part]():
            print(f"{line.about}: {line.found}", file=sys.stderr, flush=True)
            lines.append(line)
    print(told(lines))
    return int(not all(line.met for line in lines))


if __name__ == "__main__":
    sys.exit(main())
