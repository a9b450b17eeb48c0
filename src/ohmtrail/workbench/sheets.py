"""The test sheet of a machine: what a sound one shows, to fill in by hand."""

from __future__ import annotations

from os import PathLike, fspath

from ohmtrail.circuit import Electrics
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis.sheet import Sheet, sheet_of
from ohmtrail.drawing.choose import choose_path
from ohmtrail.errors import InputError
from ohmtrail.grammar.names import Names
from ohmtrail.harness import load_harness
from ohmtrail.job import read_job
from ohmtrail.reports.sheet import sheet_csv, sheet_html
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.machine import is_job
from ohmtrail.workbench.printing import save_paper

__all__ = ["save_sheet", "sheet"]


def sheet(file: str | PathLike[str], *, function: str = "") -> Sheet:
    """Make the sheet of the readings that a sound machine shows.

    Parameters
    ----------
    file : str or path
        A harness file, or a job file: then for its machine and its meter.
    function : str
        Only what this function works through; everything where not given.

    Returns
    -------
    Sheet
        In an order that opens each place once.

    Raises
    ------
    UnknownName
        No such function.
    InputError
        Nothing can be measured on this machine.
    CircuitError
        The machine has no answer in a setting.
    """
    name = existing(fspath(file))
    job = read_job(name) if is_job(name) else None
    harness = job.harness if job is not None else load_harness(name)
    electrics = Electrics(harness)
    functions, points = tuple(harness.functions), frozenset(harness.terminals)
    if function:
        functions = (Names(harness).function(function.split()),)
        points = choose_path(electrics, functions[0]).terminals
    made = sheet_of(electrics, job.start.meter if job is not None else Meter(), points, functions)
    if not made.rows:
        raise InputError(f"{name!r} has no part that a meter could be put to")
    return made


def save_sheet(made: Sheet, out: str | PathLike[str], *, paper: str = "a4") -> None:
    """Write a sheet to a file of the kind that its name ends in.

    Parameters
    ----------
    made : Sheet
        The sheet.
    out : str or path
        The file: ``.html``, ``.pdf`` or ``.csv``.
    paper : str
        ``a4`` or ``letter``.

    Raises
    ------
    InputError
        The name ends in nothing known.
    UnknownName
        No such paper.
    MissingTool
        PDF, and no browser is at hand.
    StorageError
        It cannot be written; nothing is left behind.
    """
    save_paper(out, lambda: sheet_html(made, paper=paper), {"csv": lambda: sheet_csv(made)})
