"""How long each command takes to start, in processor time, against a plain start of the library it is built on."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator, Sequence

from figures import Line, children_s

__all__ = ["startup"]

#: how often each is started; the least counts
TIMES = 5
#: times the plain start that the first page of help may take
LIMIT = 2.5
#: a start from the interpreter on, without the search for the installed script
OHMTRAIL = "import sys; sys.argv[0] = 'ohmtrail'; from ohmtrail.cli import main; main()"


def startup() -> Iterator[Line]:
    """Give the lines of the table: the first page of help, and each command's own.

    Yields
    ------
    Line
        Seconds of the processor, as a multiple of the plain start.
    """
    plain = _least(["-c", "import typer"])
    first = _least(["-c", OHMTRAIL, "--help"])
    yield Line("ohmtrail --help / import typer", f"{first / plain:.2f} x", f"{LIMIT} x", first <= LIMIT * plain, f"{first:.2f} s against {plain:.2f} s")
    took = {name: _least(["-c", OHMTRAIL, name, "--help"], times=2) for name in _commands()}
    slowest = max(took, key=lambda name: took[name])
    worst = took[slowest] / plain
    how = f"{len(took)} commands, {min(took.values()):.2f} to {took[slowest]:.2f} s; the slowest is {slowest}"
    yield Line("each command's --help / import typer, at most", f"{worst:.2f} x", how=how)


def _commands() -> list[str]:
    """Every command that the first page of help names."""
    run = subprocess.run([sys.executable, "-c", OHMTRAIL, "--help"], capture_output=True, text=True, check=True)
    after = run.stdout.partition("Commands")[2]
    return re.findall(r"^[\s│|]*([a-z][a-z-]+)  ", after, re.MULTILINE)


def _least(words: Sequence[str], *, times: int = TIMES) -> float:
    """Processor seconds of the quickest of some starts."""
    found = []
    for _ in range(times):
        before = children_s()
        subprocess.run([sys.executable, *words], capture_output=True, check=True)
        found.append(children_s() - before)
    return min(found)
