"""Coverage-guided fuzzing of the loader and of the reading grammar (needs the package atheris).

python tests/hostile/fuzz.py harness -max_total_time=600
python tests/hostile/fuzz.py reading -max_total_time=600

What it finds is mended, and kept as a case in harness_cases.py or in tests/grammar.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["ohmtrail"]):
    from ohmtrail.circuit import Setting
    from ohmtrail.circuit.meter import Meter
    from ohmtrail.errors import OhmtrailError
    from ohmtrail.grammar import Context, read_line
    from ohmtrail.harness import load_harness, parse_harness
    from ohmtrail.harness.text import read_tree

ROOT = Path(__file__).parents[2]


def harness(data: bytes) -> None:
    """Load bytes as a harness file."""
    try:
        parse_harness(read_tree(data.decode("utf-8-sig", errors="replace"), file="fuzz.yaml"))
    except OhmtrailError:
        return


def _reading() -> Callable[[bytes], None]:
    context = Context(load_harness(ROOT / "circuits" / "outboard.yaml"), Setting(), Meter(), None)

    def one(data: bytes) -> None:
        try:
            read_line(data.decode("utf-8", errors="replace"), context)
        except OhmtrailError:
            return

    return one


if __name__ == "__main__":
    what = sys.argv.pop(1) if len(sys.argv) > 1 else "harness"
    atheris.Setup(sys.argv, harness if what == "harness" else _reading())
    atheris.Fuzz()
