"""One record of a journal: what it says, apart from how it stands in the file."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from ohmtrail.errors import Bug, InputError, JobError
from ohmtrail.journal import yamltext
from ohmtrail.journal.sealing import Piece
from ohmtrail.journal.yamltext import Value
from ohmtrail.storage import StrPath

__all__ = ["Entry", "content_of", "entry_of", "word"]

_KIND = re.compile(r"[a-z][a-z0-9-]{0,39}")


@dataclass(frozen=True)
class Entry:
    """One record of a journal.

    Attributes
    ----------
    number : int
        Its place in the journal, from 1.
    at : str
        When it was added: ISO 8601, UTC, to the second.
    kind : str
        What it records, such as ``reading``.
    data : mapping
        What was recorded: text, tuples and mappings, read-only.
    line : int
        The line of the file on which it begins, from 1.
    token : str
        The mark of the request that added it; empty when there was none.
    """

    number: int
    at: str
    kind: str
    data: Mapping[str, Value]
    line: int
    token: str = ""


def word(kind: str) -> str:
    """Give the word back if it can name a kind of file or record.

    Parameters
    ----------
    kind : str
        Small letters, digits and hyphens.

    Returns
    -------
    str
        The same word.

    Raises
    ------
    Bug
        When it is no such word.
    """
    if not _KIND.fullmatch(kind):
        raise Bug(f"{kind!r} cannot name a kind of file or record")
    return kind


def content_of(
    path: StrPath, record: str, data: Mapping[str, object], now: datetime, token: str
) -> Mapping[str, Value]:
    """Put together what a record says, apart from its number.

    Parameters
    ----------
    path : str or path
        The journal, for the sentence.
    record : str
        The kind of record.
    data : mapping
        What to record: text, lists and mappings of text.
    now : datetime
        The time, with its zone.
    token : str
        The mark of the request; empty for none.

    Returns
    -------
    mapping
        Read-only, in the order in which it is written.

    Raises
    ------
    JobError
        When a text cannot be kept.
    Bug
        When the time has no zone, or something else than text is in the data.
    """
    if now.tzinfo is None:
        raise Bug(f"the time {now} has no zone")
    try:
        at = now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        mark = {"token": token} if token else {}
        frozen = yamltext.freeze({"record": word(record), "at": at, **mark, "data": data})
    except InputError as error:
        raise JobError(f"cannot add to {os.fspath(path)!r}: {error}") from None
    except TypeError as error:
        raise Bug(f"a {record} record: {error}") from None
    if not isinstance(frozen, Mapping):
        raise Bug("a record is no mapping")
    return frozen


def entry_of(path: StrPath, piece: Piece) -> Entry:
    """Read what a sound record says.

    Parameters
    ----------
    path : str or path
        The journal, for the sentence.
    piece : Piece
        The record as it stands in the file.

    Returns
    -------
    Entry
        The record.

    Raises
    ------
    JobError
        When its sum is right but it is none of ours.
    """
    try:
        said = yamltext.parse(piece.text)
    except InputError as error:
        raise JobError(_foreign(path, piece, str(error))) from None
    kind, at, token, data = said.get("record"), said.get("at"), said.get("token", ""), said.get("data")
    if not (isinstance(kind, str) and isinstance(at, str) and isinstance(token, str)):
        raise JobError(_foreign(path, piece, "its kind or time is missing"))
    if not isinstance(data, Mapping):
        raise JobError(_foreign(path, piece, "its data are missing"))
    return Entry(piece.number, at, kind, data, piece.line, token)


def _foreign(path: StrPath, piece: Piece, reason: str) -> str:
    return f"{os.fspath(path)}:{piece.line}: record {piece.number} was not written by Ohmtrail: {reason}"
