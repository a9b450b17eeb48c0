"""The tour of the README: what is typed in it, and what it shows of the answers."""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass, field

__all__ = ["LEFT_OUT", "Typed", "differs", "typed_in"]

#: stands in the README for lines that are left out
LEFT_OUT = "..."
#: what is another one each time: the address of a page
_ADDRESS = re.compile(r"http://\S+")
#: a question of the program with the answer behind it
_ANSWER = re.compile(r"\? > (.+)$")


@dataclass
class Typed:
    """One command of the tour.

    Attributes
    ----------
    words : list of str
        What is typed behind `ohmtrail`.
    answers : list of str
        What is typed into it.
    shown : list of str
        What the README shows of its answer, without blank lines.
    """

    words: list[str]
    answers: list[str] = field(default_factory=list)
    shown: list[str] = field(default_factory=list)


def typed_in(text: str) -> list[Typed]:
    """Every command of the tour, in order: lines that begin with `$`, what is shown below each, and answers typed."""
    found: list[Typed] = []
    inside = False
    for line in re.sub(r"\\\n\s*", "", text).splitlines():
        if line.startswith("    $ "):
            words = shlex.split(line[6:], comments=True)
            assert words[0] == "ohmtrail", line
            found.append(Typed(words[1:]))
            inside = True
        elif line and not line.startswith("    "):
            inside = False
        elif inside and line.startswith("    > "):
            found[-1].answers.append(line[6:])
        elif inside and line.strip():
            found[-1].shown.append(line[4:].rstrip())
            found[-1].answers += _ANSWER.findall(line)
    return found


def differs(shown: list[str], printed: str) -> str:
    """Say where what is printed is not what is shown; nothing where it is."""
    lines = [_plain(line) for line in printed.splitlines() if line.strip()]
    wanted = [_plain(line) for line in shown]
    place, free = 0, False
    for index, line in enumerate(wanted):
        if line == LEFT_OUT:
            free = True
            continue
        while free and place < len(lines) and not _from(lines, place, _chunk(wanted, index)):
            place += 1
        if place >= len(lines) or lines[place] != line:
            return f"shown: {line!r}; printed: {lines[place] if place < len(lines) else 'nothing more'!r}"
        place, free = place + 1, False
    return "" if free or place == len(lines) else f"not shown: {lines[place]!r}"


def _plain(line: str) -> str:
    return _ADDRESS.sub("http://...", line.rstrip())


def _chunk(wanted: list[str], index: int) -> list[str]:
    """The lines from one on, up to the next that are left out."""
    rest = wanted[index:]
    return rest[: rest.index(LEFT_OUT)] if LEFT_OUT in rest else rest


def _from(lines: list[str], place: int, chunk: list[str]) -> bool:
    return lines[place : place + len(chunk)] == chunk
