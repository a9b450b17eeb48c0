"""The verbs of a journal: begin one, read it, add to it."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping
from datetime import datetime
from itertools import islice

from ohmtrail import storage
from ohmtrail.errors import BusyError, JobError, nearest
from ohmtrail.journal import yamltext
from ohmtrail.journal.entry import Entry, content_of, entry_of, word
from ohmtrail.journal.sealing import Piece, Scan, heading, scan, sealed
from ohmtrail.journal.yamltext import Value
from ohmtrail.storage import LOCK_TIMEOUT_S, StrPath

__all__ = ["SIZE_LIMIT_BYTES", "append", "create", "load"]

SIZE_LIMIT_BYTES = 50_000_000

_FOLDER_LOOK = 1000


def create(path: StrPath, *, kind: str, version: int) -> None:
    """Begin a journal; it is written whole or not at all, and nothing is overwritten.

    Parameters
    ----------
    path : str or path
        The file to make.
    kind : str
        What it is, such as ``job``; stands in its first line.
    version : int
        The version of what its records say, from 1.

    Raises
    ------
    JobError
        When something has that name already.
    StorageError
        When it cannot be written; then nothing is left behind.

    Examples
    --------
    >>> import tempfile
    >>> path = os.path.join(tempfile.mkdtemp(), "bike.job")
    >>> create(path, kind="job", version=1)
    >>> load(path, kind="job", version=1)
    ()
    """
    word(kind)
    try:
        storage.write_new(path, heading(kind, version))
    except FileExistsError:
        raise JobError(f"{os.fspath(path)!r} is there already; choose another name") from None


def load(path: StrPath, *, kind: str, version: int) -> tuple[Entry, ...]:
    """Read all records of a journal; the file is left as it is.

    Parameters
    ----------
    path : str or path
        The file.
    kind : str
        What it must be, such as ``job``.
    version : int
        The newest version the caller can follow; older ones are read too.

    Returns
    -------
    tuple of Entry
        In the order in which they were added. A last record that was never finished is left out.

    Raises
    ------
    JobError
        When the file is no such journal, is too new, too large, or damaged before its end.
    BusyError
        When another program holds it for too long.
    """
    try:
        _look(path, kind)
        with storage.open_held(path, os.O_RDONLY, shared=True) as file:
            found = _scan(path, file.fileno(), kind, version)
    except OSError as error:
        raise _unread(path, error) from None
    return tuple(entry_of(path, piece) for piece in found.pieces)


def append(
    path: StrPath,
    *,
    kind: str,
    version: int,
    record: str,
    data: Mapping[str, object],
    now: datetime,
    expect: int | None = None,
    token: str = "",
    timeout_s: float = LOCK_TIMEOUT_S,
) -> Entry:
    """Add one record and return once it is safe on the disk.

    Parameters
    ----------
    path : str or path
        The journal.
    kind : str
        What it must be, such as ``job``.
    version : int
        The version the record is written in; the file's must be the same.
    record : str
        The kind of record, such as ``reading``.
    data : mapping
        What to record: text, lists and mappings of text.
    now : datetime
        The time, with its zone.
    expect : int, optional
        How many records the caller had seen; with any other number nothing is added.
    token : str
        A mark of this request: when a record with it is there, that one is returned and nothing is added.
    timeout_s : float
        How long to wait for another program, second.

    Returns
    -------
    Entry
        The record, as ``load`` will give it.

    Raises
    ------
    JobError
        When the file is no such journal, damaged or too large, or the data cannot be kept.
    BusyError
        When another program holds the file, or has added to it.
    StorageError
        When the system refuses; then nothing was added.

    Examples
    --------
    >>> import tempfile
    >>> from datetime import UTC
    >>> path = os.path.join(tempfile.mkdtemp(), "bike.job")
    >>> create(path, kind="job", version=1)
    >>> now = datetime(2031, 5, 4, 9, 12, tzinfo=UTC)
    >>> append(path, kind="job", version=1, record="reading", data={"value": "OL"}, now=now).number
    1
    """
    content = content_of(path, record, data, now, token)
    try:
        _look(path, kind)
    except OSError as error:
        raise _unread(path, error) from None
    try:
        with storage.open_held(path, os.O_RDWR | os.O_APPEND, timeout_s=timeout_s) as file:
            found = _scan(path, file.fileno(), kind, version, exact=True)
            if twin := _twin(path, found, token):
                return twin
            _as_expected(path, found, expect)
            return _add(path, file.fileno(), found, content)
    except OSError as error:
        raise storage.refusal(path, error) from None


def _look(path: StrPath, kind: str) -> None:
    """Refuse what cannot be a journal before it is opened."""
    name = os.fspath(path)
    try:
        odd, size = storage.oddity(path), os.stat(path).st_size
    except FileNotFoundError:
        raise _missing(name, kind) from None
    except ValueError as error:
        raise JobError(f"{name!r} cannot be the name of a file: {error}") from None
    if odd:
        raise JobError(f"{name!r} is {odd}, not a {kind} file")
    if size > SIZE_LIMIT_BYTES:
        raise JobError(f"{name!r} is too large for a {kind} file: over {SIZE_LIMIT_BYTES // 1_000_000} MB")


def _missing(name: str, kind: str) -> JobError:
    """Say that there is no such file, and which ones look like it."""
    folder, last = os.path.split(name)
    near: tuple[str, ...] = ()
    with contextlib.suppress(OSError), os.scandir(folder or os.curdir) as items:
        near = nearest(last, [item.name for item in islice(items, _FOLDER_LOOK)])
    meant = f"; did you mean {' or '.join(map(repr, near))}?" if near else ""
    return JobError(f"there is no {kind} file {name!r}{meant}")


def _unread(path: StrPath, error: OSError) -> JobError:
    return JobError(f"cannot read {os.fspath(path)!r}: {error.strerror or error}")


def _scan(path: StrPath, descriptor: int, kind: str, version: int, *, exact: bool = False) -> Scan:
    """Read a journal that is held."""
    parts = []
    while part := os.read(descriptor, SIZE_LIMIT_BYTES):
        parts.append(part)
    return scan(os.fspath(path), b"".join(parts), kind=kind, version=version, exact=exact)


def _twin(path: StrPath, found: Scan, token: str) -> Entry | None:
    """Find the record that the same request has already added."""
    if not token:
        return None
    line = yamltext.write({"token": token})
    likely = (entry_of(path, piece) for piece in found.pieces if line in piece.text)
    return next((entry for entry in likely if entry.token == token), None)


def _as_expected(path: StrPath, found: Scan, expect: int | None) -> None:
    if expect is not None and expect != len(found.pieces):
        raise BusyError(
            f"{os.fspath(path)!r} has {len(found.pieces)} records where {expect} were seen: "
            "it was added to elsewhere; look again, then add"
        )


def _add(path: StrPath, descriptor: int, found: Scan, content: Mapping[str, Value]) -> Entry:
    """Add a record after the sound part of a journal that is held."""
    number = len(found.pieces) + 1
    text = yamltext.write({"number": str(number), **content})
    data = (("" if found.ended else "\n") + sealed(number, text)).encode()
    if found.size_bytes + len(data) > SIZE_LIMIT_BYTES:
        raise JobError(f"{os.fspath(path)!r} is full ({SIZE_LIMIT_BYTES // 1_000_000} MB); begin another")
    entry = entry_of(path, Piece(number, found.next_line, text))
    _write_after(descriptor, found.size_bytes, data)
    return entry


def _write_after(descriptor: int, size_bytes: int, data: bytes) -> None:
    """Cut what was never finished, add the data and wait for the disk; or leave the sound part alone."""
    os.ftruncate(descriptor, size_bytes)
    try:
        storage.write_all(descriptor, data)
        os.fsync(descriptor)
    except BaseException:
        with contextlib.suppress(OSError):
            os.ftruncate(descriptor, size_bytes)
        raise
