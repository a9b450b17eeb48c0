"""Files that a person names."""

from __future__ import annotations

import contextlib
import os
from itertools import islice

from ohmtrail.errors import InputError, nearest

__all__ = ["existing"]

#: so many names of a folder are looked at
_LOOK = 1000


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
