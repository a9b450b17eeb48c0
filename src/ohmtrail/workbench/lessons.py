"""A lesson of a machine: one page in which its switches can be turned and faults put in."""

from __future__ import annotations

from os import PathLike, fspath
from pathlib import Path

from ohmtrail.errors import InputError
from ohmtrail.harness import load_harness
from ohmtrail.job import read_job
from ohmtrail.reports.lesson import Lesson, lesson_page, make_lesson
from ohmtrail.storage import write_whole
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.machine import is_job
from ohmtrail.workbench.printing import form_of

__all__ = ["lesson", "save_lesson"]


def lesson(file: str | PathLike[str], *, year: int) -> Lesson:
    """Gather what a page needs to show a machine.

    Parameters
    ----------
    file : str or path
        A harness file, or a job file: then for its machine.
    year : int
        For the age of its leads and parts.

    Returns
    -------
    Lesson
        Circuit, walks and faults; pictures are drawn when the page is.

    Raises
    ------
    InputError
        The machine has nothing it must do.
    MissingTool
        The layout engine is not installed.
    """
    name = existing(fspath(file))
    harness = read_job(name).harness if is_job(name) else load_harness(name)
    if not harness.functions:
        raise InputError(f"{name!r} names nothing that the machine must do: add functions, such as a lamp that is lit")
    return make_lesson(harness, year=year)


def save_lesson(made: Lesson, out: str | PathLike[str]) -> int:
    """Write a lesson to a file.

    Parameters
    ----------
    made : Lesson
        The lesson.
    out : str or path
        The file: ``.html``.

    Returns
    -------
    int
        Its size in bytes.

    Raises
    ------
    InputError
        The name ends in something else.
    StorageError
        It cannot be written; nothing is left behind.
    """
    form_of(fspath(out), {".html": "html", ".htm": "html"})
    write_whole(out, lesson_page(made))
    return Path(out).stat().st_size
