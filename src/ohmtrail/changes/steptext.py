"""A step typed on one line, as ``lead stop-2 renewed covering=crosslinked, size=1 mm2``."""

from __future__ import annotations

import re
from collections.abc import Mapping

from pydantic import ValidationError

from ohmtrail.changes.flow import flow
from ohmtrail.changes.record import SECTIONS, VERBS, Step
from ohmtrail.errors import HarnessError, RecordError, UnknownName
from ohmtrail.harness.text import Plain, read_tree

#: so much of a long text is shown; own choice
MOST_SHOWN = 60
#: a comma before another key, and not inside of braces or brackets: one within a number or a list parts nothing
_PARTED = re.compile(r",(?=\s*(?:[a-z_.]+\s*=|$))(?![^{}]*\})(?![^\[\]]*\])")
#: a second key in what should be one value
_TWO = re.compile(r"\s[a-z_]+=")

__all__ = ["make_step", "read_step", "read_values"]

#: a lead is renewed, a part exchanged; what else is said for it
_SAID_FOR = {
    **{("part", word): ("exchanged",) for word in ("renewed", "replaced", "swapped", "changed")},
    **{("lead", word): ("renewed",) for word in ("exchanged", "replaced", "swapped", "changed")},
}

_HOW = "write it as 'lead ID renewed KEY=VALUE, KEY=VALUE', or 'part ID added {kind: ..., at: ...}'"


def read_step(text: str, data: Mapping[str, Plain]) -> Step:
    """Read a typed step; what is there before is looked up in the harness.

    Parameters
    ----------
    text : str
        What it is about, its id, what was done, and the new values: ``KEY=VALUE`` parted by commas, or a
        mapping in braces.
    data : mapping
        Plain values of the harness as it is now.

    Returns
    -------
    Step
        With what is found there before.

    Raises
    ------
    RecordError, UnknownName
        It is no step, or is about something that is not there.
    """
    words = text.split(maxsplit=3)
    if len(words) < 3:
        raise RecordError(f"{text!r} is no step: {_HOW}")
    what, name, verb, rest = words[0].casefold(), words[1], words[2].casefold(), words[3] if len(words) > 3 else ""
    if what not in SECTIONS:
        raise UnknownName("kind of thing", words[0], SECTIONS)
    if what == "machine":  # its name may have blanks: the machine is the only one
        return _machine_step(text, data)
    if verb not in VERBS[what]:
        raise UnknownName(f"step of a {what}", words[2], _SAID_FOR.get((what, words[2].casefold()), VERBS[what]))
    return make_step(what, name, verb, read_values(rest), data)


def _machine_step(text: str, data: Mapping[str, Plain]) -> Step:
    _, mark, rest = text.partition(" corrected ")
    if not mark:
        raise RecordError(f"{text!r}: a machine is 'corrected': write 'machine it corrected made=1976'")
    return make_step("machine", "", "corrected", read_values(rest), data)


def make_step(what: str, name: str, verb: str, values: Mapping[str, Plain], data: Mapping[str, Plain]) -> Step:
    """Put a step together; what is there before is looked up in the harness.

    Parameters
    ----------
    what, name, verb : str
        What it is about, its id, and what was done.
    values : mapping
        What it is from then on.
    data : mapping
        Plain values of the harness as it is now.

    Returns
    -------
    Step
        With what is found there before.

    Raises
    ------
    RecordError, UnknownName
        It cannot be, or is about something that is not there.
    """
    section = data if what == "machine" else data.get(SECTIONS[what])
    name = str(data.get("harness", "")) if what == "machine" else name
    held = section if isinstance(section, dict) else {}
    found = data if what == "machine" else held.get(name)
    if verb != "added" and found is None:
        raise UnknownName(what, name, held)
    before = found if isinstance(found, Mapping) else {}
    if verb == "exchanged" and not {"kind", "at"} <= set(values):
        like = flow({**before, **values})
        raise RecordError(f"{what} {name}: 'exchanged' wants the whole new part, nothing is kept of the old one; write '{what} {name} exchanged {like}'")
    was = dict(before) if verb in ("removed", "exchanged") else {key: before.get(key, "") for key in values}
    said: dict[str, object] = {what: name, verb: True if verb == "removed" else dict(values)}
    try:
        return Step.model_validate(said | ({} if verb == "added" else {"was": was}))
    except ValidationError as error:
        reason = str(error.errors()[0]["msg"]).removeprefix("Value error, ")
        raise RecordError(f"{what} {name}: {reason}") from None


def read_values(text: str) -> dict[str, Plain]:
    """Read typed values.

    Parameters
    ----------
    text : str
        ``KEY=VALUE`` parted by commas, or a mapping in braces.

    Returns
    -------
    dict
        Plain values; empty where there are none.

    Raises
    ------
    RecordError
        It is neither.

    Examples
    --------
    >>> read_values("size=1 mm2, loom=")
    {'size': '1 mm2', 'loom': ''}
    """
    body = text.strip()
    if not body:
        return {}
    if body.startswith("{"):
        read = _tree(body, body)
        return read if isinstance(read, dict) else {}
    made: dict[str, Plain] = {}
    for piece in _PARTED.split(body):
        key, mark, value = piece.partition("=")
        if not mark or not key.strip():
            raise RecordError(f"{piece.strip()!r} is no KEY=VALUE: {_HOW}")
        if len(piece.strip().splitlines()) > 1:
            raise RecordError(f"{piece.strip()!r} runs over a line end: a step of its own begins there, or none")
        if _TWO.search(value) and value.strip()[:1] not in ("'", '"'):
            raise RecordError(f"{piece.strip()!r} has two values in one; part them by a comma, or put one with '=' in it in quotes")
        said = value.strip()
        if said[:1] in ("{", "["):
            read = _tree(f"value: {said}", said)
            made[key.strip()] = read.get("value", "") if isinstance(read, dict) else ""
            continue
        made[key.strip()] = said[1:-1] if said[:1] in ("'", '"') and said[-1:] == said[:1] and len(said) > 1 else said
    return made


def _tree(body: str, said: str) -> Plain:
    """What a mapping or a list in braces says."""
    try:
        return read_tree(body, file="step").data
    except HarnessError as error:
        shown = said if len(said) <= MOST_SHOWN else f"{said[:MOST_SHOWN]}..."
        raise RecordError(f"{shown!r} cannot be read: {error.mistakes[0].sentence}") from None
