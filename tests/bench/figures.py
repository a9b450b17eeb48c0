"""One line of the table of figures, the processor's time, and how the table is printed."""

from __future__ import annotations

import resource
import time
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Line", "Watch", "children_s", "told"]


@dataclass(frozen=True)
class Line:
    """A figure.

    Attributes
    ----------
    about : str
        What was measured.
    found : str
        The figure, with its unit.
    wanted : str
        The target, "" where there is none.
    met : bool
        Whether it was reached.
    how : str
        What else is to be known: how many, against what.
    """

    about: str
    found: str
    wanted: str = ""
    met: bool = True
    how: str = ""


class Watch:
    """Processor seconds of this process since it was made or last asked."""

    def __init__(self) -> None:
        self._since = time.process_time()

    def lap(self) -> float:
        """Seconds since the last lap."""
        now = time.process_time()
        gone, self._since = now - self._since, now
        return gone


def children_s() -> float:
    """Processor seconds, the system's included, of all child processes that have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def told(lines: Sequence[Line]) -> str:
    """Give the table as text, in Markdown."""
    rows = [("", "figure", "target", "", "how"), *((x.about, x.found, x.wanted, _verdict(x), x.how) for x in lines)]
    widths = [max(len(row[i]) for row in rows) for i in range(5)]
    text = ["| " + " | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) + " |" for row in rows]
    return "\n".join([text[0], "|" + "|".join("-" * (width + 2) for width in widths) + "|", *text[1:]])


def _verdict(line: Line) -> str:
    if not line.wanted:
        return ""
    return "met" if line.met else "MISSED"
