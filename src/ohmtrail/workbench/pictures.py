"""Pictures of a machine, or of a job on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from os import PathLike, fspath

import numpy as np

from ohmtrail.circuit import WORKS, Electrics, Setting, function_level, function_setting
from ohmtrail.diagnosis import Mended, Seen
from ohmtrail.drawing import (
    Highlights,
    as_page,
    draw_book,
    draw_graph,
    draw_ladder,
    draw_path,
    draw_union,
    draw_whole,
)
from ohmtrail.drawing.paths import nominal_electrics
from ohmtrail.errors import InputError
from ohmtrail.grammar import read_settings
from ohmtrail.grammar.names import Names
from ohmtrail.harness import Harness, load_harness
from ohmtrail.reports.drawn import Drawn, Kind
from ohmtrail.reports.marked import marks_of
from ohmtrail.reports.results import Standing
from ohmtrail.workbench.asking import ahead, gone
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.machine import is_job
from ohmtrail.workbench.opened import OpenJob, open_job

__all__ = ["complained", "draw"]

#: kinds that show one function's path
_OF_ONE = frozenset({"path", "ladder"})


@dataclass(frozen=True)
class _Asked:
    """What is to be drawn."""

    harness: Harness
    kind: Kind
    function: str
    setting: Setting | None
    marks: Highlights
    paper: str
    as_listed: bool
    tappable: bool

    @property
    def title(self) -> str:
        """What the picture shows."""
        name = self.harness.harness
        if self.function:
            called = self.harness.functions[self.function].called or self.function.replace("-", " ")
            return f"{called[:1].upper()}{called[1:]}, {name}"
        return {"graph": f"Circuit of {name}", "book": f"{name}: circuits"}.get(self.kind, name)


def draw(
    file: str | PathLike[str] | OpenJob,
    *,
    kind: Kind | None = None,
    function: str = "",
    setting: Sequence[str] = (),
    before: str | PathLike[str] = "",
    paper: str = "a4",
    as_listed: bool = False,
    accept_changed: bool = False,
    tappable: bool = False,
) -> Drawn:
    """Draw a machine, or a job on it.

    Parameters
    ----------
    file : str, path or OpenJob
        A harness file, or a job file: then its readings, suspects, next reading and mends are marked.
    kind : str, optional
        path, ladder, whole, book or graph. Where not given: the path of the function, or of a job's
        complaint, else the whole harness.
    function : str
        Whose path is drawn.
    setting : sequence of str
        What differs from the function's own setting, each as the ``with`` part of a reading.
    before : str or path
        The harness file before a change: both are drawn as one picture.
    paper : str
        ``a4`` or ``letter``, for a book.
    as_listed : bool
        Whether the places stand in the order of the file, instead of the one with the shortest leads.
    accept_changed : bool
        Go on although a job's harness file is not what it was.
    tappable : bool
        Whether every terminal of a path or ladder has a disc that a finger can choose.

    Returns
    -------
    Drawn
        The picture; nothing is written.

    Raises
    ------
    InputError
        What is asked for does not go together.
    UnknownName, SettingError
        A function, switch, position or paper that does not exist.
    MissingTool
        The layout engine is not installed.
    """
    job = file if isinstance(file, OpenJob) else None
    if not isinstance(file, OpenJob) and is_job(existing(fspath(file))):
        job = open_job(file, accept_changed=accept_changed)
    standing = job.standing() if job is not None else None
    harness = standing.job.harness if standing is not None else load_harness(fspath(file))  # type: ignore[arg-type]  # no job: a path
    if before:
        return _two(harness, before, function, kind, setting, job=standing is not None)
    chosen = Names(harness).function(function.split()) if function else ""
    if not chosen and standing is not None and (kind is None or kind in _OF_ONE):
        chosen = complained(standing)
    kind = kind or ("path" if chosen else "whole")
    _fit(kind, chosen, setting, job=standing is not None)
    then = _setting(harness, chosen, kind, setting)
    marks = marks_of(standing, ahead(standing), gone(standing)) if standing is not None else Highlights()
    electrics = nominal_electrics(harness) if kind != "graph" else None
    return _drawn(_Asked(harness, kind, chosen, then, marks, paper, as_listed, tappable), electrics)


def complained(standing: Standing) -> str:
    """Give the function that a job is about.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    str
        Id of the first function that was complained of; of a survey, one that failed, or that hangs on what was
        mended or is suspected.

    Raises
    ------
    InputError
        There is no complaint in it.
    """
    seen = [event.what for event in standing.job.events if event.complaint and isinstance(event.what, Seen)]
    if not seen and standing.job.planned:
        failed = [what for what in standing.job.history if isinstance(what, Seen) and (what.level < WORKS or what.sometimes)]
        return failed[0].function if failed else _hanging(standing)
    if not seen:
        raise InputError(f"{standing.job.path!r} has no complaint: name a function with --function, or draw it --whole")
    return seen[0].function


def _hanging(standing: Standing) -> str:
    """The first function that suffers from what was mended last or is suspected most; the first of all where none does."""
    case, harness = standing.case, standing.job.harness
    mends = [item.mend for item in standing.job.history if isinstance(item, Mended)][-1:]
    if not mends and standing.posterior is not None and standing.posterior.best is not None:
        mends = list(standing.posterior.best.mends)
    rows = np.array([index for index, row in enumerate(case.table.rows) if set(row.mends) & set(mends)], dtype=np.int64)
    cases = case.table.cases.only(np.append(0, rows))
    for name, function in harness.functions.items():
        level = function_level(case.electrics, function, function_setting(harness, function), cases)[0]
        if (level[1:] < level[0]).any():
            return name
    return next(iter(harness.functions))


def _fit(kind: Kind, function: str, setting: Sequence[str], *, job: bool) -> None:
    """Refuse what does not go together."""
    if kind in _OF_ONE and not function:
        raise InputError(f"a {kind} is of one function: name it with --function")
    if kind not in _OF_ONE and function:
        raise InputError(f"--function {function} draws one path; a {kind} picture is of everything: leave one of the two out")
    if kind == "book" and setting:
        raise InputError("each page of a book is in its function's own setting: leave out --with")
    if kind in ("book", "graph") and job:
        raise InputError(f"a {kind} shows no job: give it the harness file")


def _setting(harness: Harness, function: str, kind: Kind, items: Sequence[str]) -> Setting | None:
    if function:
        return read_settings(harness, function_setting(harness, harness.functions[function]), items)
    return read_settings(harness, Setting(), items) if items and kind != "book" else None


def _drawn(asked: _Asked, electrics: Electrics | None) -> Drawn:
    harness, setting, marks = asked.harness, asked.setting, asked.marks
    narrow = ""
    if asked.kind == "book":
        svg, page = "", draw_book(harness, paper=asked.paper, electrics=electrics)
    elif asked.kind == "graph":
        svg = draw_graph(harness, setting)
    elif asked.kind == "whole":
        svg = draw_whole(harness, setting, highlights=marks, electrics=electrics, declared=asked.as_listed)
    else:
        narrow = draw_ladder(harness, asked.function, setting, highlights=marks, electrics=electrics, tappable=asked.tappable)
        svg = narrow
        if asked.kind == "path":
            svg = draw_path(
                harness,
                asked.function,
                setting,
                highlights=marks,
                electrics=electrics,
                declared=asked.as_listed,
                tappable=asked.tappable,
            )
    if svg:
        page = as_page(svg, title=asked.title, narrow=narrow if asked.kind == "path" else "")
    return Drawn(harness, asked.kind, asked.function, setting, svg, page, marks, asked.title)


def _two(
    harness: Harness, before: str | PathLike[str], function: str, kind: Kind | None, setting: Sequence[str], *, job: bool
) -> Drawn:
    """Before and after as one picture."""
    if job:
        raise InputError("--before compares two harness files, and this is a job: give the harness file after the change")
    if kind not in (None, "whole") or setting:
        raise InputError("--before draws both harnesses at rest, whole or for one --function: leave out the rest")
    old = load_harness(existing(fspath(before)))
    gone_since = function.strip() in old.functions.keys() - harness.functions.keys()
    chosen = function.strip() if gone_since else Names(harness).function(function.split()) if function else ""
    svg = draw_union(old, harness, function=chosen or None)
    title = f"Before and after, {harness.harness}"
    return Drawn(harness, "union", chosen, None, svg, as_page(svg, title=title), Highlights(), title)
