"""YAML read as text: every scalar stays the word that was written, with its line and column.

Refused with a position, by construction: duplicate keys, anchors, aliases, tags, merge keys, second
documents, control characters, deep nesting, files that are too large.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import yaml

from ohmtrail.errors import HarnessError, InputError, Mistake

__all__ = ["CONTROL", "MAX_BYTES", "Position", "Tree", "load_text", "read_tree"]

#: largest file that is read; a harness of 2 000 leads is under 0.5 MB
MAX_BYTES = 5_000_000
_MAX_DEPTH = 20
#: most values that are read; a harness of 2 000 leads has about 40 000
_MAX_VALUES = 100_000
#: the parser recurses a little per level: far deeper than any harness, far below the interpreter's limit
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
#: control characters, and those that turn the direction of what is read
CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069\ufffe\uffff]")

_BROKEN = "look here, and in the line above, for a bracket, quote or indent that is missing or one too many"
#: the first line of a file that the program alone writes
_OURS = re.compile(r"ohmtrail: ([a-z]+)\n")

Plain = str | list["Plain"] | dict[str, "Plain"] | None
Path_ = tuple[str | int, ...]


@dataclass(frozen=True)
class Position:
    """Line and column, both counted from one."""

    line: int
    column: int


@dataclass(frozen=True)
class Tree:
    """A file as plain text values, and where each of them stands."""

    file: str
    data: Plain
    positions: Mapping[Path_, Position]

    def where(self, path: Path_) -> Position:
        """Give the position of a path, or of its nearest ancestor that has one."""
        for length in range(len(path), -1, -1):
            found = self.positions.get(path[:length])
            if found is not None:
                return found
        return Position(1, 1)

    def mistake(self, path: Path_, sentence: str, *, value: str = "", remedy: str = "") -> Mistake:
        """Make a mistake that stands at a path of this file."""
        at = self.where(path)
        return Mistake(self.file, at.line, at.column, sentence, value, remedy)


class _Refused(Exception):
    def __init__(self, mark: Position, sentence: str, remedy: str = "") -> None:
        super().__init__(sentence)
        self.mark, self.sentence, self.remedy = mark, sentence, remedy


def load_text(path: Path) -> str:
    """Read a text file, refusing what cannot be one.

    Parameters
    ----------
    path : Path
        A regular file of at most `MAX_BYTES` bytes, UTF-8 with or without a byte order mark.

    Returns
    -------
    str
        Its text.

    Raises
    ------
    InputError
        With one sentence: not there, a folder, too large, not UTF-8.
    """
    try:
        if path.is_dir():
            raise InputError(f"{path} is a folder, not a file")
        if path.is_symlink() and not path.exists():
            raise InputError(f"{path} is a link that leads to no file")
        if not path.exists():
            raise InputError(f"{path}: no such file")
        if not path.is_file():
            raise InputError(f"{path} is not a regular file")
        if path.stat().st_size > MAX_BYTES:
            raise InputError(f"{path} is larger than {MAX_BYTES // 1_000_000} MB, the most that is read")
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: byte {error.start + 1} is not UTF-8; save the file as UTF-8") from error
    except (OSError, RuntimeError) as error:
        raise InputError(f"{path} cannot be read: {getattr(error, 'strerror', None) or error}") from error


def read_tree(text: str, *, file: str) -> Tree:
    """Read one YAML document as text.

    Parameters
    ----------
    text : str
        The document.
    file : str
        Its name, for messages.

    Returns
    -------
    Tree
        Plain values (text, lists, mappings) with positions.

    Raises
    ------
    HarnessError
        Broken YAML, or one of the constructs that are refused.
    """
    bad = CONTROL.search(text)
    if bad:
        line = text.count("\n", 0, bad.start()) + 1
        column = bad.start() - (text.rfind("\n", 0, bad.start()) + 1) + 1
        code = f"U+{ord(bad.group()):04X}"
        raise HarnessError([Mistake(file, line, column, f"control character {code}", code, "delete it")])
    if ours := _OURS.match(text):
        said = f"this is a {ours[1]} file, neither a harness nor a record of changes"
        raise HarnessError([Mistake(file, 1, 1, said, ours[1], "give the harness file it was begun with")])
    positions: dict[Path_, Position] = {}
    try:
        data = _Builder(positions).build(yaml.parse(text, Loader=_LOADER))
    except _Refused as refused:
        at = refused.mark
        raise HarnessError([Mistake(file, at.line, at.column, refused.sentence, "", refused.remedy)]) from None
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        at = Position(mark.line + 1, mark.column + 1) if mark else Position(1, 1)
        words = error.problem or "broken YAML"
        remedy = "indent with spaces, not tabs" if _stands(text, at) == "\t" or "'\\t'" in words else _BROKEN
        raise HarnessError([Mistake(file, at.line, at.column, f"broken YAML: {words}", "", remedy)]) from None
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        words = str(error).splitlines()[0] if str(error) else "nested too deep"
        raise HarnessError([Mistake(file, 1, 1, f"broken YAML: {words}")]) from None
    return Tree(file, data, positions)


def _stands(text: str, at: Position) -> str:
    """The character at a position, "" beyond the end."""
    lines = text.splitlines()
    return lines[at.line - 1][at.column - 1 : at.column] if at.line <= len(lines) else ""


def _mark(event: yaml.Event) -> Position:
    mark = event.start_mark
    if mark is None:
        return Position(1, 1)
    return Position(mark.line + 1, mark.column + 1)


class _Builder:
    """Turns the event stream into plain values, noting positions."""

    def __init__(self, positions: dict[Path_, Position]) -> None:
        self._positions = positions
        self._count = 0

    def build(self, events: Iterator[yaml.Event]) -> Plain:
        """Read the one document of a stream."""
        result: Plain = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise _Refused(_mark(event), "a second document in one file", "one file, one machine")
            elif isinstance(event, yaml.NodeEvent):
                result = self._node(event, events, ())
        return result

    def _node(self, event: yaml.Event, events: Iterator[yaml.Event], path: Path_) -> Plain:
        at = _mark(event)
        self._count += 1
        if self._count > _MAX_VALUES:
            raise _Refused(at, f"more than {_MAX_VALUES} values", "one file, one machine")
        self._positions.setdefault(path, at)
        if len(path) > _MAX_DEPTH:
            raise _Refused(at, f"nested deeper than {_MAX_DEPTH} levels")
        if isinstance(event, yaml.AliasEvent):
            raise _Refused(at, f"alias '*{event.anchor}'", "write the value out")
        if getattr(event, "anchor", None):
            raise _Refused(at, f"anchor '&{event.anchor}'", "write the value out where it is needed")  # type: ignore[attr-defined]  # the C loader's events carry it
        tag = getattr(event, "tag", None)
        if tag and not (isinstance(event, yaml.ScalarEvent) and tag == "!"):
            raise _Refused(at, f"tag '{tag}'", "delete it: every value is read as text")
        if isinstance(event, yaml.ScalarEvent):
            return str(event.value)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(events, path)
        return self._mapping(events, path)

    def _sequence(self, events: Iterator[yaml.Event], path: Path_) -> Plain:
        items: list[Plain] = []
        for event in events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            items.append(self._node(event, events, (*path, len(items))))
        return items

    def _mapping(self, events: Iterator[yaml.Event], path: Path_) -> Plain:
        result: dict[str, Plain] = {}
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            at = _mark(event)
            if not isinstance(event, yaml.ScalarEvent):
                raise _Refused(at, "a key that is not a word")
            key = str(self._node(event, events, (*path, "?key")))
            del self._positions[(*path, "?key")]
            if key == "<<":
                raise _Refused(at, "merge key '<<'", "write the values out")
            if key in result:
                first = self._positions[(*path, key)].line
                raise _Refused(at, f"key '{key}' stands twice (first in line {first})", "keep one of the two")
            self._positions[(*path, key)] = at
            result[key] = self._node(next(events), events, (*path, key))
        return result
