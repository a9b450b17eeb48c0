"""What a journal looks like on disk: a heading, then records that each end with a sum of their own lines.

Here the text is taken apart and its soundness judged; what a record says is the journal's business.
"""

from __future__ import annotations

import re
import zlib
from dataclasses import dataclass

from ohmtrail.errors import JobError

__all__ = ["Piece", "Scan", "heading", "scan", "sealed"]

_HEADING = """\
ohmtrail: {kind}
version: {version}
# This file only grows. Each record ends with its number and a sum of its lines, which shows damage.
# To correct a record, add another one with the program; do not change it here.
"""
_HEAD = re.compile(
    rb"ohmtrail: ([a-z][a-z0-9-]*)\nversion: ([1-9][0-9]{0,8})(?:\n|\Z)(?:(?:#[^\n]*)?\n)*(?:#[^\n]*\Z)?"
)
_MARK = b"---\n"
_SUM = re.compile(rb"\nsum: ([0-9]{1,9}) ([0-9a-f]{8})(?:\n|\Z)")
_ANY_SUM = re.compile(rb"\nsum: [^\n]*\n")


@dataclass(frozen=True)
class Piece:
    """One sound record: its number, the line it begins on, and its lines without the sum."""

    number: int
    line: int
    text: str


@dataclass(frozen=True)
class Scan:
    """The sound part of a journal.

    Attributes
    ----------
    pieces : tuple of Piece
        Its records in order.
    size_bytes : int
        Where the sound part ends; what follows is a record that was never finished.
    next_line : int
        The line on which another record would begin.
    ended : bool
        Whether the sound part ends with a line feed, as it was written.
    """

    pieces: tuple[Piece, ...]
    size_bytes: int
    next_line: int
    ended: bool


def heading(kind: str, version: int) -> str:
    """Give the first block of a journal.

    Parameters
    ----------
    kind : str
        What it is, such as ``job``.
    version : int
        The version of what its records say, from 1.

    Returns
    -------
    str
        Lines, each ended by a line feed.

    Examples
    --------
    >>> heading("job", 1).splitlines()[:2]
    ['ohmtrail: job', 'version: 1']
    """
    return _HEADING.format(kind=kind, version=version)


def sealed(number: int, text: str) -> str:
    """Make a record of some YAML lines: a mark before them, number and sum after them.

    Parameters
    ----------
    number : int
        Its place in the journal, from 1.
    text : str
        The lines, none of which may begin with ``sum:`` or be ``---``.

    Returns
    -------
    str
        The record as it stands in the file.

    Examples
    --------
    >>> print(sealed(1, "kind: note\\n"), end="")
    ---
    kind: note
    sum: 1 bcbb298e
    """
    body = f"---\n{text}"
    return f"{body}sum: {number} {zlib.crc32(body.encode()):08x}\n"


def _not_text(name: str, data: bytes, line: int) -> str:
    """Say where bytes are no UTF-8; empty when they are."""
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        line += data.count(b"\n", 0, error.start)
        return f"{name}:{line}: not UTF-8 text; another program may have saved it in another coding"
    return ""


def _no_heading(name: str, data: bytes, kind: str) -> JobError:
    """Say what is wrong with a file that does not begin as it should."""
    if not data:
        return JobError(f"{name}: empty, so not a {kind} file")
    if data.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")) or b"\r" in data[:80]:
        return JobError(
            f"{name}: an editor changed its coding or line ends; save it as UTF-8 with LF line ends"
        )
    return JobError(
        _not_text(name, data, 1)
        or f"{name}:1: does not begin with 'ohmtrail: {kind}' and a version, so it is not a {kind} file"
    )


def _after_heading(name: str, data: bytes, kind: str, version: int, exact: bool) -> int:
    """Check what the file says it is, and give the offset at which its records begin."""
    found = _HEAD.match(data)
    if found is None:
        raise _no_heading(name, data, kind)
    named, written = found[1].decode(), int(found[2])
    if named != kind:
        raise JobError(f"{name}:1: this is a {named} file, not a {kind} file")
    if written > version:
        raise JobError(
            f"{name}:2: written by a newer Ohmtrail (version {written}, this one knows up to {version}); update it"
        )
    if exact and written < version:
        raise JobError(f"{name}:2: of the older version {written}; it can be read but not added to")
    return found.end()


def _sound_end(data: bytes, start: int, number: int) -> tuple[int, int] | None:
    """Find where the lines and the seal of a sound record end; None when it is not sound."""
    seal = _SUM.search(data, start)
    if seal is None or not data.startswith(_MARK, start):
        return None
    stop = seal.start() + 1
    right = int(seal[1]) == number and int(seal[2], 16) == zlib.crc32(data[start:stop])
    return (stop, seal.end()) if right and not _not_text("", data[start:stop], 0) else None


def _unfinished(tail: bytes) -> bool:
    """Tell a record that was never finished, which can only be the last, from damage."""
    if b"\n---\n" in tail:
        return False
    if b"\0" in tail or not tail.strip():
        return True  # a power cut leaves zeros where the data did not arrive; an editor leaves empty lines
    if _ANY_SUM.search(tail) or _SUM.search(tail):
        return False
    return tail.startswith(_MARK) or _MARK.startswith(tail)


def _damage(name: str, data: bytes, start: int, line: int, number: int) -> JobError:
    """Say which record is damaged; nothing is changed."""
    if said := _not_text(name, data[start:].split(b"\n---\n")[0], line):
        return JobError(said)
    seal = _SUM.search(data, start)
    if seal and int(seal[1]) != number and int(seal[2], 16) == zlib.crc32(data[start : seal.start() + 1]):
        return JobError(
            f"{name}:{line}: record {number} is missing: number {int(seal[1])} stands in its place; "
            "the file is left as it is: copy it aside, then fetch a saved copy"
        )
    return JobError(
        f"{name}:{line}: record {number} is damaged or was changed by hand: its sum does not fit its lines; "
        "the file is left as it is: copy it aside, then undo the change or fetch a saved copy"
    )


def scan(name: str, data: bytes, *, kind: str, version: int, exact: bool = False) -> Scan:
    """Take a journal apart and check every record's number and sum.

    Parameters
    ----------
    name : str
        The file, as the user named it.
    data : bytes
        Its content.
    kind : str
        What it must be, such as ``job``.
    version : int
        The newest version the caller can follow.
    exact : bool
        Refuse older versions too.

    Returns
    -------
    Scan
        Its sound part; a record at the end that was never finished is left out.

    Raises
    ------
    JobError
        When it is no such journal, too new, or damaged before its end.

    Examples
    --------
    >>> text = heading("job", 1) + sealed(1, "kind: note\\n") + "---\\nkind: no"
    >>> [piece.line for piece in scan("bike.job", text.encode(), kind="job", version=1).pieces]
    [5]
    """
    start = _after_heading(name, data, kind, version, exact)
    line = 1 + data.count(b"\n", 0, start)
    pieces: list[Piece] = []
    while start < len(data):
        number = len(pieces) + 1
        ends = _sound_end(data, start, number)
        if ends is None:
            if _unfinished(data[start:]):
                break
            raise _damage(name, data, start, line, number)
        pieces.append(Piece(number, line, data[start : ends[0]].decode()))
        line += data.count(b"\n", start, ends[1])
        start = ends[1]
    ended = data.endswith(b"\n", 0, start)
    return Scan(tuple(pieces), start, line if ended else line + 1, ended)
