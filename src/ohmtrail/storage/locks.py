"""Locks that leave nothing beside the user's file.

Where the system can lock a file itself (``fcntl``), the file that is written is also the lock. Elsewhere a
lock file among the system's temporary files stands in, named after the path; it needs no home folder.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import io
import os
import tempfile
import time
from collections.abc import Iterator

from ohmtrail.errors import BusyError

try:
    import fcntl
except ImportError:  # a system without POSIX locks
    LOCKS_FILES = False
else:
    LOCKS_FILES = True

__all__ = ["LOCKS_FILES", "LOCK_TIMEOUT_S", "StrPath", "open_held"]

StrPath = str | os.PathLike[str]

LOCK_TIMEOUT_S = 5.0
_POLL_S = 0.01
_BARE = getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


def _take(descriptor: int, path: str, shared: bool, timeout_s: float) -> None:
    """Lock an open file, asking again until the time is up."""
    how = (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB
    end_s = time.monotonic() + timeout_s
    while True:
        try:
            return fcntl.flock(descriptor, how)
        except OSError as error:
            if error.errno not in (errno.EAGAIN, errno.EACCES):
                raise
            if time.monotonic() >= end_s:
                raise _busy(path) from None
        time.sleep(_POLL_S)


def _busy(path: str) -> BusyError:
    return BusyError(f"{path!r} is in use by another program; try again when that is done")


@contextlib.contextmanager
def _lock_elsewhere(path: str, timeout_s: float) -> Iterator[None]:
    """Lock a path by a file among the temporary ones, where files cannot be locked themselves."""
    import filelock

    key = hashlib.sha256(os.fsencode(os.path.realpath(path))).hexdigest()[:32]
    lock = filelock.FileLock(os.path.join(tempfile.gettempdir(), f"ohmtrail-{key}.lock"))
    try:
        lock.acquire(timeout=timeout_s, poll_interval=_POLL_S)
    except filelock.Timeout:
        raise _busy(path) from None
    try:
        yield
    finally:
        lock.release()


@contextlib.contextmanager
def _lock_itself(descriptor: int, path: str, shared: bool, timeout_s: float) -> Iterator[None]:
    """Lock an open file; let go of expressly, as a forked child may have it open too."""
    _take(descriptor, path, shared, timeout_s)
    try:
        yield
    finally:
        fcntl.flock(descriptor, fcntl.LOCK_UN)


def _still(descriptor: int, path: str) -> bool:
    """Tell whether the open file is still the one that stands at the path."""
    try:
        return os.path.samestat(os.fstat(descriptor), os.stat(path))
    except FileNotFoundError:
        return False


@contextlib.contextmanager
def _locked(path: str, flags: int, mode: int, shared: bool, timeout_s: float) -> Iterator[io.FileIO]:
    """Open and lock a path in the order that the system needs."""
    with contextlib.ExitStack() as stack:
        if not LOCKS_FILES:
            stack.enter_context(_lock_elsewhere(path, timeout_s))
        file = stack.enter_context(io.FileIO(os.open(path, flags | _BARE, mode), "r+"))
        if LOCKS_FILES:
            stack.enter_context(_lock_itself(file.fileno(), path, shared, timeout_s))
        yield file


@contextlib.contextmanager
def open_held(
    path: StrPath, flags: int, *, mode: int = 0o666, shared: bool = False, timeout_s: float = LOCK_TIMEOUT_S
) -> Iterator[io.FileIO]:
    """Open a file and hold it, sure that it still stands at its path once it is held.

    Parameters
    ----------
    path : str or path
        The file.
    flags : int
        As for ``os.open``.
    mode : int
        Permission bits if the file is made.
    shared : bool
        Let others read it at the same time.
    timeout_s : float
        How long to wait for it, second.

    Yields
    ------
    io.FileIO
        The open file; closed and let go at the end of the block.

    Raises
    ------
    BusyError
        When another program holds it for longer than that.
    OSError
        When it cannot be opened.

    Examples
    --------
    >>> path = os.path.join(tempfile.mkdtemp(), "bike.job")
    >>> with open_held(path, os.O_RDWR | os.O_CREAT) as file:
    ...     with open_held(path, os.O_RDWR, timeout_s=0):  # doctest: +ELLIPSIS
    ...         pass
    Traceback (most recent call last):
    ohmtrail.errors.BusyError: '...bike.job' is in use by another program; try again when that is done
    """
    name = os.fspath(path)
    while True:
        with _locked(name, flags, mode, shared, timeout_s) as file:
            if _still(file.fileno(), name):
                yield file
                return
