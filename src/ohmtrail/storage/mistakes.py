"""Details of our own mistakes, kept where whoever reports one can find them."""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
import traceback
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from ohmtrail._version import __version__

__all__ = ["keep_details", "mistake_sentence"]

_PLEASE = "Please report it where you got Ohmtrail, with what you did and that file."


def mistake_sentence(error: BaseException, doing: Sequence[str]) -> str:
    """Say in one sentence that a mistake is ours, and keep its details in a file.

    Parameters
    ----------
    error : BaseException
        What went wrong.
    doing : sequence of str
        What was asked for, as words of a command line or an address.

    Returns
    -------
    str
        With the file's name, where it could be kept.
    """
    kept = keep_details(error, doing)
    where = f"the details are in {kept}" if kept else "the details could not be kept"
    return f"a mistake of ours ({type(error).__name__}: {error}); {where}. {_PLEASE}"


def keep_details(error: BaseException, doing: Sequence[str]) -> str:
    """Keep a traceback among the user's cached files.

    Parameters
    ----------
    error : BaseException
        What went wrong.
    doing : sequence of str
        What was asked for.

    Returns
    -------
    str
        The file; "" where there is nowhere to keep it.
    """
    text = "".join(traceback.format_exception(error))
    told = f"ohmtrail {__version__}, Python {sys.version.split()[0]}, {sys.platform}\n{list(doing)!r}\n\n{text}"
    name = f"mistake-{datetime.now(UTC):%Y%m%dT%H%M%S}-{os.getpid()}.txt"
    for folder in (_cache(), Path(tempfile.gettempdir()) / "ohmtrail"):
        with contextlib.suppress(OSError):
            folder.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(told, encoding="utf-8", errors="backslashreplace")
            return str(folder / name)
    return ""


def _cache() -> Path:
    given = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    if given:
        return Path(given) / "ohmtrail"
    return Path(os.path.expanduser("~")) / ".cache" / "ohmtrail"
