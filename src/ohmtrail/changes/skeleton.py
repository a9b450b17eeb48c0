"""A harness to go on from, made of a lead list: every lead, and parts of which only the terminals are known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import get_args

from ohmtrail.changes.flow import flow, scalar, wrapped
from ohmtrail.changes.guessing import guessed
from ohmtrail.changes.leadlist import LeadList, Row
from ohmtrail.harness.model import FRAME, Covering
from ohmtrail.harness.text import Plain

__all__ = ["skeleton"]

_COVERINGS = get_args(Covering)
_PLACE = "somewhere"
#: words that the harness file keeps for itself
_RESERVED = ("engine", "battery-state")


def skeleton(made: LeadList, *, name: str) -> tuple[str, tuple[str, ...]]:
    """Write a harness file from a lead list.

    Parameters
    ----------
    made : LeadList
        The leads.
    name : str
        Of the machine.

    Returns
    -------
    tuple of str and tuple of str
        A harness file that loads, and what was guessed in making it beside what the list already tells.
    """
    rows, guesses = _apart(made.rows)
    parts = _parts(rows, guesses)
    lines = [
        f"# Made from a lead list of {len(rows)} leads. Parts are guessed from their names and terminals, and all are",
        "# in one place: say what each part is, where it sits, and what the machine must do (functions).",
        f"harness: {scalar(name)}",
        "version: 1",
        "",
        f"places:\n  {_PLACE}: {{reach: 5 min, how: say here what must come off}}",
    ]
    looms = list(dict.fromkeys(row.loom for row in rows if row.loom))
    if looms:
        lines += ["", "looms:", *(f"  {scalar(loom)}: {{passes: [{_PLACE}]}}" for loom in looms)]
    lines += ["", "parts:", *(_entry(item, value) for item, value in parts.items())]
    lines += ["", "leads:", *(_entry(row.lead, _lead(row, guesses)) for row in rows)]
    lines += _functions(parts)
    return "\n".join(lines) + "\n", tuple(guesses)


def _functions(parts: Mapping[str, Mapping[str, Plain]]) -> Iterator[str]:
    """What the machine may have to do, as comments: one for each load."""
    needs = {"lamp": "lit", "horn": "works", "motor": "works"}
    found = [(name, needs[str(part["kind"])]) for name, part in parts.items() if part["kind"] in needs]
    if found:
        yield from ("", "# What it must do: take the '# ' away, and say in which positions of its switches.", "# functions:")
    for name, need in found:
        yield f"#   {name}-{'lights' if need == 'lit' else 'runs'}: {{when: {{SWITCH: POSITION}}, needs: [{{{need}: {scalar(name)}}}]}}"


def _entry(name: str, value: dict[str, Plain]) -> str:
    line = f"  {scalar(name)}: {flow(value)}"
    return line if len(line) <= 118 else f"  {scalar(name)}:\n{wrapped(value, 4)}"


def _lead(row: Row, guesses: list[str]) -> dict[str, Plain]:
    said: dict[str, Plain] = {"from": row.start, "to": row.end, "colour": row.colour, "size": row.size, "length": row.length, "loom": row.loom}
    note = row.note
    if row.covering in _COVERINGS:
        said["covering"] = row.covering
    elif row.covering:
        guesses.append(f"line {row.line}: covering {row.covering!r} is none that is known and is kept as a note")
        note = f"{note}; covering {row.covering}".removeprefix("; ")
    return {key: value for key, value in {**said, "note": note}.items() if value}


def _apart(rows: Iterable[Row]) -> tuple[list[Row], list[str]]:
    """Rows in which no name stands for two things: leads and parts, parts with and without a terminal."""
    guesses: list[str] = []
    points = {point for row in rows for point in (row.start, row.end)}
    heads = {point.partition(".")[0] for point in points if "." in point}
    parts = {point.partition(".")[0].casefold() for point in points}
    swaps = {point: f"{point}.x" for point in sorted(points) if point in heads and point != FRAME}
    guesses += [f"part {old} is met with and without a terminal: without one, {new} is written" for old, new in swaps.items()]
    made = []
    for row in rows:
        start, end = (_free(swaps.get(point, point)) for point in (row.start, row.end))
        lead = f"{row.lead}-lead" if row.lead.casefold() in parts else row.lead
        if lead != row.lead:
            guesses.append(f"lead {row.lead} has the name of a part and is called {lead}")
        made.append(replace(row, lead=lead, start=start, end=end))
    return made, guesses


def _free(point: str) -> str:
    """A terminal whose part has no reserved name."""
    head, dot, tail = point.partition(".")
    return f"{head}-part{dot}{tail}" if head.casefold() in _RESERVED else point


def _parts(rows: Iterable[Row], guesses: list[str]) -> dict[str, dict[str, Plain]]:
    """Every part that a lead ends at, guessed from its name and the terminals that are met."""
    met: dict[str, dict[str, None]] = {}
    for row in rows:
        for point in (row.start, row.end):
            head, _, tail = point.partition(".")
            if point != FRAME:
                met.setdefault(head, {})[tail] = None
    parts: dict[str, dict[str, Plain]] = {}
    for name, tails in met.items():
        terminals = [tail for tail in tails if tail]
        guess = guessed(name, terminals)
        parts[name] = {"kind": guess.kind, "at": _PLACE, **guess.keys}
        shown = f"with {', '.join(terminals)}" if terminals else "of one terminal"
        article = {"earth": "an ", "points": ""}.get(guess.kind, "a ")
        guesses.append(f"part {name} {shown} is taken for {article}{guess.kind}" + (f": {guess.look}" if guess.look else ""))
    return parts
