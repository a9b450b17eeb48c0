"""Files that a person names."""

from __future__ import annotations

import contextlib
import os
from itertools import islice
from pathlib import Path

from ohmtrail import storage
from ohmtrail.errors import InputError, nearest

__all__ = ["begins_with", "existing"]

#: so many names of a folder are looked at
_LOOK = 1000
_BYTE_ORDER_MARK = b"\xef\xbb\xbf"


def existing(path: str) -> str:
    """Give a path back if there is something.

    Parameters
    ----------
    path : str
        As named.

    Returns
    -------
    str
        The same.

    Raises
    ------
    InputError
        There is no such file; names the nearest in its folder.
    """
    if os.path.lexists(path):
        return path
    folder, last = os.path.split(path)
    near: tuple[str, ...] = ()
    with contextlib.suppress(OSError, ValueError), os.scandir(folder or os.curdir) as items:
        near = nearest(last, [item.name for item in islice(items, _LOOK)])
    meant = f"; did you mean {' or '.join(repr(os.path.join(folder, name)) for name in near)}?" if near else ""
    raise InputError(f"there is no file {path!r}{meant}")


def begins_with(path: str, mark: bytes) -> bool:
    """Say whether a file begins with some words, a byte order mark before them or not.

    Parameters
    ----------
    path : str
        The file.
    mark : bytes
        The words.

    Returns
    -------
    bool
        False too where nothing can be read, or only waited for.
    """
    try:
        if storage.oddity(path):
            return False
        with Path(path).open("rb") as file:
            return file.read(len(_BYTE_ORDER_MARK) + len(mark)).removeprefix(_BYTE_ORDER_MARK).startswith(mark)
    except (OSError, ValueError):
        return False
