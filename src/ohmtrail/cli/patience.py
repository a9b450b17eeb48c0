"""A word to somebody who waits at a terminal."""

from __future__ import annotations

import contextlib
import sys

__all__ = ["ask_patience"]


def ask_patience(what: str) -> None:
    """Say what takes its time, where somebody sees it; nothing is said to a file or a program.

    Parameters
    ----------
    what : str
        What is being done, and how long it may take.
    """
    if sys.stderr is not None and sys.stderr.isatty():
        with contextlib.suppress(OSError, ValueError):
            sys.stderr.write(f"{what}\n")
            sys.stderr.flush()
