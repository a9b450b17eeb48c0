"""Plain values written as flow YAML, in the manner of the harness files: one element in braces, wrapped."""

from __future__ import annotations

import json
import re

from ohmtrail.harness.text import Plain

__all__ = ["WIDTH", "flow", "scalar", "wrapped"]

#: columns of the harness files that come with Ohmtrail
WIDTH = 120
#: what may stand bare in braces: no indicator of YAML 1.2.2 (2021), section 7.3.3, at its start or inside
_BARE = re.compile(r"[^\s\-?:,\[\]{}#&*!|>'\"%@`=<~][^,\[\]{}#:'\"\n]*|-?[0-9][^,\[\]{}#:'\"\n]*")
_ALSO_BARE = re.compile(r"[+]|-")


def scalar(text: str) -> str:
    """Write a text as one YAML scalar: bare where that is safe in braces.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        On one line.

    Examples
    --------
    >>> scalar("0.75 mm2"), scalar("two screws, then part it")
    ('0.75 mm2', '"two screws, then part it"')
    """
    bare = bool(_BARE.fullmatch(text) or _ALSO_BARE.fullmatch(text)) and text == text.strip() and text.isprintable()
    if bare and text != "-":
        return text
    return "".join(mark if mark.isprintable() else _escaped(mark) for mark in json.dumps(text, ensure_ascii=False))


def _escaped(mark: str) -> str:
    return f"\\u{ord(mark):04x}" if ord(mark) <= 0xFFFF else f"\\U{ord(mark):08x}"


def flow(value: Plain) -> str:
    """Write a value on one line.

    Parameters
    ----------
    value : Plain
        Text, list or mapping.

    Returns
    -------
    str
        Flow YAML.

    Examples
    --------
    >>> flow({"from": "battery.+", "size": "1 mm2"})
    '{from: battery.+, size: 1 mm2}'
    """
    if isinstance(value, dict):
        return "{" + ", ".join(_pair(key, item) for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    return scalar(value or "")


def _pair(key: str, value: Plain) -> str:
    return f"{scalar(key)}: {flow(value)}"


def wrapped(value: dict[str, Plain], indent: int) -> str:
    """Write a mapping in braces over as many lines as it takes.

    Parameters
    ----------
    value : dict
        What to write.
    indent : int
        Columns before each line.

    Returns
    -------
    str
        Lines with their indent, without a line end after the last.
    """
    pieces = [_pair(key, item) for key, item in value.items()]
    lines, line = [], " " * indent + "{"
    for number, piece in enumerate(pieces):
        ending = "," if number < len(pieces) - 1 else "}"
        if len(line) + len(piece) + 1 > WIDTH and line.strip(" {"):
            lines.append(line.rstrip())
            line = " " * (indent + 1)
        line += piece + ending + (" " if ending == "," else "")
    return "\n".join([*lines, line.rstrip() if pieces else line + "}"])
