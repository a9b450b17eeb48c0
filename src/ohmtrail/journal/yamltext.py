"""Plain block-style YAML in which every scalar is text, written so that no reader has to guess.

A word or a quantity stays bare (``red``, ``4.7 kΩ``); what some YAML reader could take for a number, a truth
value, a date or nothing is quoted (``"on"``, ``"1.10"``, ``"12E4"``), and so is what cannot be seen.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

import yaml

from ohmtrail.errors import InputError

__all__ = ["Value", "freeze", "parse", "write"]

Value = str | tuple["Value", ...] | Mapping[str, "Value"]

_DEPTH_LIMIT = 20
_NAME_LIMIT = 100  # YAML takes names up to 1024 characters; each of ours may need ten when escaped

# YAML 1.1 (2005) types bool, null, float and int; YAML 1.2.2 (2021), section 10.3, core schema
_GUESSED = frozenset(("y", "n", "yes", "no", "on", "off", "true", "false", "null", "nan", "inf", "infinity"))
_WORD = re.compile(r"[^\W\d_].*")
_QUANTITY = re.compile(r"[0-9][0-9.]* [^\W\d_][^:]*")

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def _bare(text: str) -> bool:
    """Tell whether a text may stand without quotes."""
    if ": " in text or " #" in text or text.endswith((":", " ")) or text.casefold() in _GUESSED:
        return False
    return text.isprintable() and bool(_WORD.fullmatch(text) or _QUANTITY.fullmatch(text))


def _escaped(character: str) -> str:
    if character.isprintable():
        return character
    code = ord(character)
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


def _line(text: str) -> str:
    """Write a scalar on one line."""
    if _bare(text):
        return text
    return "".join(map(_escaped, json.dumps(text, ensure_ascii=False)))


def _block(text: str) -> list[str]:
    """Write a text of several plain lines as a block; empty when it needs quotes."""
    body = text.removesuffix("\n")
    lines = body.split("\n")
    seen = all(line.isprintable() and line == line.rstrip(" ") for line in lines)
    if "\n" not in text or not seen or not lines[-1] or lines[0][:1] in ("", " "):
        return []
    return ["|" if text.endswith("\n") else "|-", *(f"  {line}" if line else "" for line in lines)]


def _below(lines: list[str], lead: str, indent: str) -> list[str]:
    """Put a nested value under its name or mark."""
    return [lead, *(f"{indent}{line}" if line else "" for line in lines)]


def _under_name(name: str, value: Value) -> list[str]:
    lead = f"{_line(name)}:"
    if isinstance(value, str):
        first, *more = _block(value) or [_line(value)]
        return [f"{lead} {first}", *more]
    if not value:
        return [f"{lead} " + ("{}" if isinstance(value, Mapping) else "[]")]
    return _below(_lines(value), lead, "  ")


def _lines(value: Value) -> list[str]:
    """Write a value as lines without indent."""
    if isinstance(value, str):
        return _block(value) or [_line(value)]
    if not value:
        return ["{}" if isinstance(value, Mapping) else "[]"]
    if isinstance(value, Mapping):
        return [line for name, item in value.items() for line in _under_name(name, item)]
    return [line for item in value for line in _item(_lines(item))]


def _item(lines: list[str]) -> list[str]:
    """Put the list's mark before an item."""
    first, *more = lines
    return _below(more, f"- {first}", "  ")


def write(value: Mapping[str, Value]) -> str:
    """Write a mapping as plain YAML.

    Parameters
    ----------
    value : mapping
        Text, mappings and tuples, as ``freeze`` gives them.

    Returns
    -------
    str
        Lines, each ended by a line feed.

    Examples
    --------
    >>> print(write({"key": "on", "value": "0.4 Ω", "at": ("plug.3a", "frame")}), end="")
    key: "on"
    value: 0.4 Ω
    at:
      - plug.3a
      - frame
    """
    return "".join(f"{line}\n" for line in _lines(value))


def _frozen_text(text: str) -> str:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise InputError(f"{text!r} cannot be kept: {text[error.start]!r} is half a character") from None
    return text


def _frozen_name(name: object) -> str:
    if not isinstance(name, str):
        raise TypeError(f"the name {name!r} is not text")
    if len(name) > _NAME_LIMIT:
        raise InputError(f"{name[:20]!r}... cannot be a name: it has more than {_NAME_LIMIT} characters")
    return _frozen_text(name)


def freeze(value: object, *, depth: int = _DEPTH_LIMIT) -> Value:
    """Copy text, lists and mappings into a value that nothing can change.

    Parameters
    ----------
    value : object
        Text, or lists, tuples and mappings of such values.
    depth : int
        How many levels it may have.

    Returns
    -------
    Value
        Text, tuples and read-only mappings.

    Raises
    ------
    InputError
        When a text cannot be kept: half a character, too long a name, too many levels.
    TypeError
        When something else than text is in it.

    Examples
    --------
    >>> freeze({"at": ["frame"]})
    mappingproxy({'at': ('frame',)})
    """
    if isinstance(value, str):
        return _frozen_text(str(value))
    if depth == 0:
        raise InputError(f"more than {_DEPTH_LIMIT} levels cannot be kept")
    if isinstance(value, list | tuple):
        return tuple(freeze(item, depth=depth - 1) for item in value)
    if isinstance(value, Mapping):
        pairs = {_frozen_name(name): freeze(item, depth=depth - 1) for name, item in value.items()}
        return MappingProxyType(pairs)
    raise TypeError(f"{value!r} is not text")


def _pairs(events: Iterator[yaml.Event], depth: int) -> Mapping[str, Value]:
    found: dict[str, Value] = {}
    while not isinstance(event := next(events), yaml.MappingEndEvent):
        if not isinstance(event, yaml.ScalarEvent):
            raise InputError("a name is not text")
        _without_tricks(event)
        if event.value in found:
            raise InputError(f"the name {event.value!r} stands twice")
        found[event.value] = _read(next(events), events, depth)
    return MappingProxyType(found)


def _items(events: Iterator[yaml.Event], depth: int) -> Iterator[Value]:
    while not isinstance(event := next(events), yaml.SequenceEndEvent):
        yield _read(event, events, depth)


def _without_tricks(event: yaml.Event) -> None:
    if getattr(event, "anchor", None) is not None or getattr(event, "tag", None) is not None:
        raise InputError("it uses an anchor, an alias or a tag")


def _read(event: yaml.Event, events: Iterator[yaml.Event], depth: int) -> Value:
    """Read one value."""
    _without_tricks(event)
    if isinstance(event, yaml.ScalarEvent):
        return str(event.value)
    if depth == 0:
        raise InputError(f"it has more than {_DEPTH_LIMIT} levels")
    if isinstance(event, yaml.SequenceStartEvent):
        return tuple(_items(events, depth - 1))
    return _pairs(events, depth - 1)


def _document(events: Iterator[yaml.Event]) -> Mapping[str, Value]:
    next(events), next(events)  # the stream and the document begin
    first = next(events)
    if not isinstance(first, yaml.MappingStartEvent):
        raise InputError("it is not a list of names and values")
    _without_tricks(first)
    found = _pairs(events, _DEPTH_LIMIT - 1)
    next(events)  # the document ends
    if not isinstance(next(events), yaml.StreamEndEvent):
        raise InputError("it is more than one document")
    return found


def parse(text: str) -> Mapping[str, Value]:
    """Read one YAML document whose top is a mapping, every scalar as text.

    Parameters
    ----------
    text : str
        The document, as ``write`` gives it.

    Returns
    -------
    mapping
        Text, tuples and read-only mappings.

    Raises
    ------
    InputError
        When it is not such a document; the sentence says what is in the way.

    Examples
    --------
    >>> parse("size: 1.10\\nkey: on\\n")
    mappingproxy({'size': '1.10', 'key': 'on'})
    """
    try:
        return _document(iter(yaml.parse(text, Loader=_LOADER)))
    except yaml.YAMLError as error:
        raise InputError("it is not plain YAML: " + " ".join(str(error).split())) from None
    except StopIteration:
        raise InputError("it is empty") from None
