"""Coverage-guided fuzzing of everything that reads what people write (needs the package atheris).

python tests/hostile/fuzz.py harness -max_total_time=600
python tests/hostile/fuzz.py reading -max_total_time=600
python tests/hostile/fuzz.py record -max_total_time=600
python tests/hostile/fuzz.py step -max_total_time=600
python tests/hostile/fuzz.py csv -max_total_time=600
python tests/hostile/fuzz.py job -max_total_time=600

What it finds is mended, and kept as a case in one of the tables of this folder or in tests/grammar.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import atheris

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

with atheris.instrument_imports(include=["ohmtrail"]):
    from tests.hostile.harness_cases import SOUND
    from tests.hostile.sealed import READING, START, journal

    from ohmtrail.changes import apply_record, parse_record
    from ohmtrail.changes.leadlist import read_lead_list
    from ohmtrail.changes.skeleton import skeleton
    from ohmtrail.changes.steptext import read_step
    from ohmtrail.circuit import Setting
    from ohmtrail.circuit.meter import Meter
    from ohmtrail.errors import OhmtrailError
    from ohmtrail.grammar import Context, read_line
    from ohmtrail.harness import load_harness, parse_harness
    from ohmtrail.harness.text import read_tree
    from ohmtrail.job import read_job
    from ohmtrail.journal.sealing import sealed

Text = Callable[[str], object]


def _harness() -> Text:
    return lambda text: parse_harness(read_tree(text, file="fuzz.yaml"))


def _reading() -> Text:
    context = Context(load_harness(ROOT / "circuits" / "outboard.yaml"), Setting(), Meter(), None)
    return lambda text: read_line(text, context)


def _record() -> Text:
    base = read_tree(SOUND, file="bike.yaml")
    return lambda text: apply_record(base, parse_record(read_tree(text, file="fuzz.record")))


def _step() -> Text:
    data = read_tree(SOUND, file="bike.yaml").data
    assert isinstance(data, dict)
    return lambda text: read_step(text, data)


def _csv() -> Text:
    def one(text: str) -> object:
        return parse_harness(read_tree(skeleton(read_lead_list(text, file="fuzz.csv"), name="fuzz")[0], file="fuzz.yaml"))

    return one


def _job() -> Text:
    """Bytes as the content of a third record whose number and sum are right."""
    folder = Path(tempfile.mkdtemp())
    (folder / "bike.yaml").write_text(SOUND, encoding="utf-8")
    begun = journal(("start", START), ("reading", READING)).decode()

    def one(text: str) -> object:
        said = "".join(f"  {line}\n" for line in text.splitlines()[1:])
        kind = (text.splitlines() or [""])[0]
        record = f'number: "3"\nrecord: {kind}\nat: "2026-11-25T20:48:46Z"\ndata:\n{said}'
        (folder / "a.job").write_text(begun + sealed(3, record), encoding="utf-8", errors="replace", newline="")
        return read_job(os.fspath(folder / "a.job"))

    return one


TARGETS: dict[str, Callable[[], Text]] = {"harness": _harness, "reading": _reading, "record": _record, "step": _step, "csv": _csv, "job": _job}


def _fed(target: Text) -> Callable[[bytes], None]:
    def one(data: bytes) -> None:
        try:
            target(data.decode("utf-8-sig", errors="replace"))
        except OhmtrailError:
            return

    return one


if __name__ == "__main__":
    what = sys.argv.pop(1) if len(sys.argv) > 1 else "harness"
    if what not in TARGETS:
        sys.exit(f"no target {what!r}; there is {', '.join(TARGETS)}")
    atheris.Setup(sys.argv, _fed(TARGETS[what]()))
    atheris.Fuzz()
