"""Where output goes: text for the terminal or one JSON document, written whole or reported."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import typer

from ohmtrail.errors import StorageError

if TYPE_CHECKING:
    from ohmtrail.reports.paper import Paper

__all__ = ["OutputLost", "ReaderGone", "give", "give_document", "help_width", "new_paper", "put_out"]


class OutputLost(StorageError):
    """The output cannot be written."""


class ReaderGone(Exception):
    """Whoever read the output has stopped reading."""


def put_out(text: str) -> None:
    """Write to standard output and be sure that it arrived.

    Parameters
    ----------
    text : str
        What to write.

    Raises
    ------
    OutputLost
        It cannot be written.
    ReaderGone
        Nobody reads it any more.
    """
    stream = sys.stdout
    if stream is None or stream.closed:
        raise OutputLost("cannot write the output: standard output is closed")
    try:
        stream.write(text)
        stream.flush()
    except BrokenPipeError:
        raise ReaderGone from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise OutputLost(f"cannot write the output: {reason}") from None


def new_paper() -> Paper:
    """Give paper for this terminal.

    Returns
    -------
    Paper
        As wide as the terminal, 80 columns where there is none; in ASCII where it shows nothing else.
    """
    from ohmtrail.reports.paper import Paper

    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    try:
        "Ω·█▌²→".encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return Paper(shutil.get_terminal_size().columns, plain=True)
    return Paper(shutil.get_terminal_size().columns)


def help_width() -> int:
    """Give the columns that help may take here.

    Returns
    -------
    int
        At most 78.
    """
    return max(min(shutil.get_terminal_size().columns, 80) - 2, 30)


def give(command: str, result: object, write: Callable[[Paper], None], *, as_json: bool, code: int = 0) -> None:
    """Write a result and end with its exit status.

    Parameters
    ----------
    command : str
        The verb.
    result : object
        What it gave.
    write : callable
        Writes it on paper.
    as_json : bool
        Whether JSON is wanted instead.
    code : int
        Exit status.

    Raises
    ------
    typer.Exit
        Where the status is not nought.
    """
    try:
        _give(command, result, write, as_json, code)
    except OutputLost as error:
        kept = "record" if command in ("changes add", "changes undo") else "job"
        if kept == "job" and command not in ("start", "read", "strike", "mend"):
            raise
        raise OutputLost(f"{error}; what was to be recorded is in the {kept} file") from None
    if code:
        raise typer.Exit(code)


def _give(command: str, result: object, write: Callable[[Paper], None], as_json: bool, code: int) -> None:
    if as_json:
        from ohmtrail.reports.as_json import document

        give_document(document(command, result, exit_code=code))
        return
    paper = new_paper()
    write(paper)
    put_out(str(paper))


def give_document(made: dict[str, Any]) -> None:
    """Write one JSON document.

    Parameters
    ----------
    made : dict
        Plain, finite values.
    """
    plain = os.environ.get("PYTHONIOENCODING", "").casefold().startswith("ascii")
    encoding = (getattr(sys.stdout, "encoding", None) or "ascii").casefold().replace("-", "")
    put_out(json.dumps(made, indent=1, allow_nan=False, ensure_ascii=plain or encoding != "utf8") + "\n")
