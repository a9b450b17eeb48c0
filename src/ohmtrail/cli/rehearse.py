"""The command that rehearses a machine's faults."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from ohmtrail.cli.options import Json, this_moment
from ohmtrail.cli.page import give

if TYPE_CHECKING:
    from ohmtrail.workbench.rehearsing import Told

__all__ = ["attach"]


def rehearse(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file.")],
    function: Annotated[list[str] | None, typer.Option(help="A complaint to rehearse; all where not given.")] = None,
    count: Annotated[int, typer.Option(help="Jobs drawn by the rates, for each complaint.", min=0)] = 20,
    pairs: Annotated[int, typer.Option(help="Jobs with two faults, for each complaint.", min=0)] = 5,
    every: Annotated[bool, typer.Option("--every/--no-every", help="Plant every fault once as well.")] = True,
    reduced: Annotated[int, typer.Option(help="Small problems without doubt, for each complaint, against the least possible.", min=0)] = 40,
    seed: Annotated[int, typer.Option(help="Of every draw: machines, severities, noise, slips.", min=0)] = 1,
    jobs: Annotated[int, typer.Option(help="Jobs worked at a time, each in its own process; 0: one a core.", min=0)] = 0,
    unreachable: Annotated[list[str] | None, typer.Option(help="A place that cannot be got at.")] = None,
    as_json: Json = False,
) -> None:
    """Rehearse every fault of a machine.

    A simulated technician finds planted faults, against a printed chart and others on the same draws.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.rehearsed import write_rehearsed

    with _progress() as told:
        found = workbench.rehearse(
            file,
            functions=function or (),
            count=count,
            pairs=pairs,
            every=every,
            reduced=reduced,
            seed=seed,
            jobs=jobs or os.cpu_count() or 1,
            unreachable=unreachable or (),
            year=this_moment().year,
            told=told,
        )
    give("rehearse", found, lambda paper: write_rehearsed(paper, found), as_json=as_json)


@contextmanager
def _progress() -> Iterator[Told | None]:
    """A bar on standard error; none where that is no terminal."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("drawing faults", total=None)
        yield lambda done, total: bar.update(task, description="jobs", completed=done, total=total)


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(rehearse)
