"""What can be begun or gone on with: harness files, jobs, and functions that may fail."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Sequence
from itertools import islice
from os import PathLike, fspath
from pathlib import Path

from ohmtrail.errors import InputError, OhmtrailError, UnknownName
from ohmtrail.grammar.names import Names
from ohmtrail.grammar.words import LEVELS, SOMETIMES
from ohmtrail.harness import Harness, load_harness
from ohmtrail.job import read_job
from ohmtrail.reports.results import OfferedHarness, OfferedJob
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.machine import is_job, shipped_machines

__all__ = ["complaints", "functions", "harnesses", "jobs"]

#: files of a folder that are looked at, and characters of each
_MOST_FILES, _HEAD = 500, 4000
_NAME = re.compile(r"^harness:\s*(.+?)\s*$", re.MULTILINE)
_FAILS = {"1": "absent", "2": "weak", "3": "sometimes"}


def harnesses(folder: str | PathLike[str]) -> tuple[OfferedHarness, ...]:
    """List harness files: those of a folder first, then the ones that come with Ohmtrail, unless it holds the same.

    Parameters
    ----------
    folder : str or path
        Where to look; folders in it are not looked into.

    Returns
    -------
    tuple of OfferedHarness
        By name of the file.
    """
    own = (item for item in _files(folder) if item.suffix in (".yaml", ".yml"))
    found = [OfferedHarness(fspath(item), name) for item in own if (name := _machine(item))]
    known = {_content(Path(item.path)) for item in found}
    found += [OfferedHarness(path, _machine(Path(path)), example=True) for path in shipped_machines() if _content(Path(path)) not in known]
    return tuple(found)


def _content(path: Path) -> bytes:
    """A copy is the same machine."""
    return hashlib.sha256(path.read_bytes()).digest()


def jobs(folder: str | PathLike[str]) -> tuple[OfferedJob, ...]:
    """List the jobs of a folder, the latest first.

    Parameters
    ----------
    folder : str or path
        Where to look; folders in it are not looked into.

    Returns
    -------
    tuple of OfferedJob
        One that cannot be read says why.
    """
    found = [item for item in _files(folder) if is_job(fspath(item))]
    return tuple(_offered(item) for item in sorted(found, key=lambda item: -item.stat().st_mtime))


def _offered(path: Path) -> OfferedJob:
    try:
        state = read_job(fspath(path))
    except OhmtrailError as error:
        return OfferedJob(fspath(path), trouble=str(error))
    return OfferedJob(fspath(path), state.start.machine, state.start.complaint, state.start.date, len(state.events), state.minutes)


def _files(folder: str | PathLike[str]) -> Iterator[Path]:
    try:
        yield from sorted(item for item in islice(Path(folder).iterdir(), _MOST_FILES) if item.is_file())
    except OSError as error:
        raise InputError(f"the folder {fspath(folder)!r} cannot be read: {error.strerror or error}") from None


def _machine(path: Path) -> str:
    """The name of a harness file's machine; "" where it is no harness file."""
    try:
        with path.open(encoding="utf-8") as file:
            found = _NAME.search(file.read(_HEAD))
    except (OSError, UnicodeDecodeError):
        return ""
    return found[1].strip("'\"") if found else ""


def functions(file: str | PathLike[str]) -> Harness:
    """Give the machine of a harness file, for the functions that may be complained of.

    Parameters
    ----------
    file : str or path
        The harness file.

    Returns
    -------
    Harness
        With its functions in the order of the file.

    Raises
    ------
    InputError
        The file cannot be used, or says of nothing what the machine must do.
    """
    harness = load_harness(existing(fspath(file)))
    if not harness.functions:
        raise InputError(f"{fspath(file)!r} names no function that could fail: write what the machine must do under 'functions:'")
    return harness


def complaints(harness: Harness, said: str) -> tuple[str, ...]:
    """Read what the customer says: names or numbers of functions, each with how it fails.

    Parameters
    ----------
    harness : Harness
        The machine; its functions are numbered from 1 in their order.
    said : str
        Such as ``no spark``, ``2``, ``2 weak, horn sometimes``; with nothing more said, it fails altogether.

    Returns
    -------
    tuple of str
        A complaint each, as `ohmtrail.workbench.start` takes them.

    Raises
    ------
    InputError
        Nothing is said, or a number that no function has.
    UnknownName
        A function that does not exist.
    """
    found = tuple(_complaint(harness, text.split()) for text in said.split(",") if text.strip())
    if not found:
        raise InputError(f"say what fails, by name or number: {', '.join(harness.functions)}")
    return found


def _complaint(harness: Harness, words: Sequence[str]) -> str:
    named, how = list(words), "absent"
    if named[0].casefold() == "no" and len(named) > 1:
        named = named[1:]
    if len(named) > 1 and (named[-1].casefold() in LEVELS.keys() | SOMETIMES or named[-1] in _FAILS):
        last = named.pop()
        how = _FAILS.get(last, last)
    name = " ".join(named)
    if name.isascii() and name.isdigit():
        known = tuple(harness.functions)
        if not 1 <= int(name[:6]) <= len(known):
            raise UnknownName("function", name, known)
        return f"{known[int(name) - 1]} {how}"
    return f"{Names(harness).function(named)} {how}"
