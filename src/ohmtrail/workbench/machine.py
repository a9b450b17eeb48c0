"""A machine without a job: check its file, follow a function's path, write the schema."""

from __future__ import annotations

import json
from collections.abc import Sequence
from os import PathLike, fspath
from pathlib import Path

from ohmtrail.circuit import Electrics, function_setting
from ohmtrail.circuit.checks import check_circuit
from ohmtrail.circuit.draws import draws, nominal
from ohmtrail.circuit.trace import trace_function
from ohmtrail.errors import InputError, UnknownName
from ohmtrail.grammar import read_settings
from ohmtrail.grammar.names import Names
from ohmtrail.harness import Harness, load_harness, parse_harness
from ohmtrail.harness.checks import check_harness
from ohmtrail.harness.schema import blank_harness, harness_schema
from ohmtrail.harness.text import MAX_BYTES, load_text, read_tree
from ohmtrail.job import read_job
from ohmtrail.reports.results import Blank, Checked, SchemaOf, Traced
from ohmtrail.storage import write_new
from ohmtrail.workbench.files import begins_with, existing

__all__ = ["blank", "check", "is_job", "schema", "shipped", "shipped_machines", "trace"]

#: healthy machines within tolerance that functions are tried on
_DRAWS = 16
_JOB_MARK = b"ohmtrail: job"


def check(file: str | PathLike[str], *, text: str | None = None) -> Checked:
    """Check a harness file.

    Parameters
    ----------
    file : str or path
        The file, or a name for the text.
    text : str, optional
        The harness itself, where it is not in a file.

    Returns
    -------
    Checked
        Findings, the serious ones first.

    Raises
    ------
    HarnessError
        The file cannot be used; all its mistakes are carried.
    InputError
        The text is larger than what is read.
    """
    name = fspath(file)
    if text is None:
        text = load_text(Path(existing(name)))
    elif len(text.encode()) > MAX_BYTES:
        raise InputError(f"{name} is larger than {MAX_BYTES // 1_000_000} MB, the most that is read")
    tree = read_tree(text, file=name)
    harness = parse_harness(tree)
    found = [*check_harness(harness), *check_circuit(_electrics(harness))]
    placed = [(item, tree.where(item.path).line, tree.where(item.path).column) for item in found]
    return Checked(name, harness, tuple(sorted(placed, key=lambda item: (not item[0].serious, item[1], item[2]))))


def _electrics(harness: Harness) -> Electrics:
    plain = Electrics(harness)
    branches = plain.network.branches
    return Electrics(harness, machines=(nominal(branches), *draws(branches, _DRAWS)))


def trace(file: str | PathLike[str], function: str, *, setting: Sequence[str] = ()) -> Traced:
    """Follow a function's current in a setting, terminal by terminal.

    Parameters
    ----------
    file : str or path
        A harness file, or a job file.
    function : str
        What the machine must do.
    setting : sequence of str
        What differs from the function's own setting, as in the ``with`` part of a reading.

    Returns
    -------
    Traced
        Routes with volts, amps and what conducts.

    Raises
    ------
    UnknownName, SettingError
        A function or setting that does not exist.
    """
    name = fspath(file)
    harness = read_job(name).harness if is_job(existing(name)) else load_harness(name)
    chosen = Names(harness).function(function.split())
    then = read_settings(harness, function_setting(harness, harness.functions[chosen]), setting)
    return Traced(harness, chosen, then, trace_function(Electrics(harness), chosen, then))


def is_job(name: str) -> bool:
    """Say whether a file is a job.

    Parameters
    ----------
    name : str
        The file.

    Returns
    -------
    bool
        By its first words.
    """
    return begins_with(name, _JOB_MARK)


def schema() -> SchemaOf:
    """Give the JSON Schema of harness files.

    Returns
    -------
    SchemaOf
        For editors.
    """
    return SchemaOf(harness_schema())


def blank(out: str | PathLike[str] = "", *, name: str = "") -> Blank:
    """Give a harness file to begin with.

    Parameters
    ----------
    out : str or path
        The file to make; nothing is overwritten. Empty where it is only wanted as text.
    name : str
        Name of the machine; empty for "my machine".

    Returns
    -------
    Blank
        The text, and where it was written.

    Raises
    ------
    InputError
        Something has the file's name already, or the name is not one line.
    StorageError
        It cannot be written.
    """
    if name and (not name.isprintable() or not name.strip()):
        raise InputError(f"{name!r} is no name for a machine: one line of letters and digits, such as 'blue bike'")
    text = blank_harness()
    if name:
        text = text.replace("harness: my machine  ", f"harness: {json.dumps(name.strip(), ensure_ascii=False)}  ", 1)
    where = fspath(out)
    if where:
        try:
            write_new(where, text)
        except FileExistsError:
            raise InputError(f"{where!r} is there already; choose another name, or delete it first") from None
    return Blank(text, where)


def shipped(name: str) -> str:
    """Give the file of a machine that comes with Ohmtrail.

    Parameters
    ----------
    name : str
        Such as ``trail-motorcycle``.

    Returns
    -------
    str
        Its path.

    Raises
    ------
    UnknownName
        No such machine comes with it.
    """
    found = {Path(item).stem: item for item in shipped_machines()}
    if name not in found:
        raise UnknownName("machine", name, found)
    return found[name]


def shipped_machines() -> tuple[str, ...]:
    """Give the harness files of all machines that come with Ohmtrail.

    Returns
    -------
    tuple of str
        Their paths, by name.
    """
    package = Path(__file__).resolve().parents[1] / "circuits"
    folder = package if package.is_dir() else Path(__file__).resolve().parents[3] / "circuits"
    return tuple(str(item) for item in sorted(folder.glob("*.yaml")))
