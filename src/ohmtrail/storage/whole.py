"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import stat

from ohmtrail.errors import BusyError, StorageError
from ohmtrail.storage import locks
from ohmtrail.storage.locks import LOCK_TIMEOUT_S, StrPath
from ohmtrail.storage.refusals import oddity, refusal

__all__ = ["write_all", "write_new", "write_whole"]

_NAME_LIMIT_BYTES = 255  # common practice: the longest file name most file systems take


def write_all(descriptor: int, data: bytes) -> None:
    """Write every byte, or raise the system's reason.

    Parameters
    ----------
    descriptor : int
        The open file.
    data : bytes
        What to write, in one call where the system takes it so.

    Raises
    ------
    OSError
        When the system refuses, for example for want of room.
    """
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(descriptor, rest) :]


def _draft(target: str) -> str:
    """Give the one name under which a file is prepared, in the same folder."""
    folder, name = os.path.split(target)
    draft = f".{name}.ohmtrail-part"
    if len(os.fsencode(draft)) > _NAME_LIMIT_BYTES:
        draft = f".{hashlib.sha256(os.fsencode(name)).hexdigest()[:32]}.ohmtrail-part"
    return os.path.join(folder, draft)


def _keep_owner_and_mode(descriptor: int, old: os.stat_result | None) -> None:
    """Give a new version of a file the permission bits, and where allowed the owner, of the old."""
    if old is None or not hasattr(os, "fchown"):
        return
    with contextlib.suppress(OSError):
        os.fchown(descriptor, old.st_uid, old.st_gid)
    os.fchmod(descriptor, stat.S_IMODE(old.st_mode))


def _settle_folder(folder: str) -> None:
    """Have the folder's list of names reach the disk too."""
    if not locks.LOCKS_FILES:
        return  # such systems do not open a folder
    descriptor = os.open(folder or os.curdir, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _fill(descriptor: int, data: bytes, old: os.stat_result | None) -> None:
    """Make the data the whole content of the open file and have it reach the disk."""
    os.ftruncate(descriptor, 0)
    write_all(descriptor, data)
    _keep_owner_and_mode(descriptor, old)
    os.fsync(descriptor)


def _put(target: str, data: bytes, old: os.stat_result | None, only_new: bool, timeout_s: float) -> None:
    """Prepare the file under its draft name and put it in place in one step."""
    draft = _draft(target)
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0)
    mode = 0o666 if old is None else 0o600
    with locks.open_held(draft, flags, mode=mode, timeout_s=timeout_s) as held:
        try:
            if only_new and os.path.lexists(target):
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), target)
            _fill(held.fileno(), data, old)
            if not locks.LOCKS_FILES:
                held.close()  # such systems do not move an open file
            os.replace(draft, target)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(draft)
            raise
    _settle_folder(os.path.dirname(target))


def _standing(target: str) -> os.stat_result | None:
    """Look at the file to be replaced; None when there is none."""
    if os.path.islink(target):  # still one after all links were followed
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), target)
    if not os.path.exists(target):
        return None
    if odd := oddity(target):
        raise StorageError(f"cannot write {target!r}: it is {odd}, not a file")
    if not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), target)
    return os.stat(target)


def _busy(path: StrPath) -> BusyError:
    """Name the file itself, where the lock was on its draft."""
    return BusyError(f"{os.fspath(path)!r} is being written by another program; try again when that is done")


def _bytes(path: StrPath, text: str) -> bytes:
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise StorageError(
            f"cannot write {os.fspath(path)!r}: {text[error.start]!r} is half a character and has no UTF-8"
        ) from None


def write_whole(path: StrPath, text: str | bytes, *, timeout_s: float = LOCK_TIMEOUT_S) -> None:
    """Write a file as a whole: after a crash there is the old one or the new one, never a piece.

    Parameters
    ----------
    path : str or path
        The file; a link is followed first, and an old file's permission bits are kept.
    text : str or bytes
        All of its new content; text is written as UTF-8, line ends as they are.
    timeout_s : float
        How long to wait for another program that writes the same file, second.

    Raises
    ------
    StorageError
        When it cannot be written; then the old file is as it was, with nothing left beside it.
    BusyError
        When another program is writing the same file for longer than that.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.mkdtemp()
    >>> write_whole(os.path.join(folder, "sheet.txt"), "stop lead: 0.4 Ω\\n")
    >>> os.listdir(folder)
    ['sheet.txt']
    """
    data = text if isinstance(text, bytes) else _bytes(path, text)
    try:
        target = os.path.realpath(path)
        _put(target, data, _standing(target), False, timeout_s)
    except BusyError:
        raise _busy(path) from None
    except (OSError, ValueError) as error:
        raise refusal(path, error) from None


def write_new(path: StrPath, text: str, *, timeout_s: float = LOCK_TIMEOUT_S) -> None:
    """Write a file that was not there, whole or not at all.

    Parameters
    ----------
    path : str or path
        The file to make.
    text : str
        Its content; written as UTF-8, line ends as they are.
    timeout_s : float
        How long to wait for another program that writes the same file, second.

    Raises
    ------
    FileExistsError
        When something has that name already: the caller knows what to advise.
    StorageError
        When it cannot be written; then nothing is left behind.
    BusyError
        When another program is writing the same file for longer than that.

    Examples
    --------
    >>> import tempfile
    >>> path = os.path.join(tempfile.mkdtemp(), "bike.job")
    >>> write_new(path, "first\\n")
    >>> write_new(path, "second\\n")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    FileExistsError: ...
    """
    data = _bytes(path, text)
    try:
        _put(os.path.realpath(path), data, None, True, timeout_s)
    except FileExistsError:
        raise
    except BusyError:
        raise _busy(path) from None
    except (OSError, ValueError) as error:
        raise refusal(path, error) from None
