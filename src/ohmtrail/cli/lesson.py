"""The command that makes a lesson."""

from __future__ import annotations

from typing import Annotated

import typer

from ohmtrail.cli.options import Json, this_moment
from ohmtrail.cli.page import give, put_out

__all__ = ["attach"]


def lesson(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file, or a job file.")],
    out: Annotated[str, typer.Option("--out", "-o", metavar="OUT", help="File to write: .html. Else standard output.")] = "",
    as_json: Json = False,
) -> None:
    """Make a page to show where current runs.

    One HTML file with the machine's own switches, faults to put in, a walk along each path and a meter.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.lesson import Saved, lesson_page

    made = workbench.lesson(file, year=this_moment().year)
    size = workbench.save_lesson(made, out) if out else 0
    if out or as_json:
        saved = Saved(made, out, size)
        give("lesson", saved, lambda paper: paper.line(saved.words), as_json=as_json)
    else:
        put_out(lesson_page(made))


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(lesson)
