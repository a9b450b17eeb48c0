"""Plain sentences for what the system refuses."""

from __future__ import annotations

import errno
import os
import stat

from ohmtrail.errors import StorageError
from ohmtrail.storage.locks import StrPath

__all__ = ["oddity", "refusal"]

_ADVICE = {
    errno.ENOSPC: "make room on the disk and try again",
    errno.EDQUOT: "your share of the disk is used up: make room and try again",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "the file or its folder is read-only for you",
    errno.EPERM: "the file or its folder is read-only for you",
    errno.ENOENT: "its folder does not exist",
    errno.ENOTDIR: "its folder is a file",
}


def refusal(path: StrPath, error: OSError | ValueError) -> StorageError:
    """Say in one sentence why a file could not be written.

    Parameters
    ----------
    path : str or path
        The file, as the user named it.
    error : OSError or ValueError
        What the system answered; ValueError is its answer to a name that cannot be one.

    Returns
    -------
    StorageError
        To be raised by the caller.

    Examples
    --------
    >>> print(refusal("bike.job", OSError(errno.ENOSPC, "No space left on device")))
    cannot write 'bike.job': No space left on device; make room on the disk and try again
    """
    reason = getattr(error, "strerror", None) or str(error)
    advice = _ADVICE.get(getattr(error, "errno", 0), "")
    return StorageError(f"cannot write {os.fspath(path)!r}: {reason}" + (f"; {advice}" if advice else ""))


def oddity(path: StrPath) -> str:
    """Name what stands at a path when it is no ordinary file.

    Parameters
    ----------
    path : str or path
        Where to look; links are followed.

    Returns
    -------
    str
        Empty for an ordinary file, else ``"a folder"`` or ``"a device or pipe"``.

    Raises
    ------
    OSError, ValueError
        When nothing can be seen there.

    Examples
    --------
    >>> oddity(os.curdir)
    'a folder'
    """
    mode = os.stat(path).st_mode
    if stat.S_ISREG(mode):
        return ""
    return "a folder" if stat.S_ISDIR(mode) else "a device or pipe"
