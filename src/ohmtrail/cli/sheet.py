"""The command that makes the test sheet."""

from __future__ import annotations

from typing import Annotated

import typer

from ohmtrail.cli.options import Json
from ohmtrail.cli.page import give

__all__ = ["attach"]


def sheet(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file, or a job file.")],
    out: Annotated[str, typer.Option("--out", "-o", metavar="OUT", help="File to write: .html, .pdf or .csv. Else text.")] = "",
    function: Annotated[str, typer.Option(help="Only what this function works through.")] = "",
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    as_json: Json = False,
) -> None:
    """Make a sheet of expected readings to fill in.

    What a sound machine shows, with its band, in an order that opens each place once.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.paper import Paper
    from ohmtrail.reports.sheet import write_sheet

    made = workbench.sheet(file, function=function)
    if out:
        workbench.save_sheet(made, out, paper=paper)

    def write(page: Paper) -> None:
        if out:
            page.line(f"{len(made.rows)} readings in {out}.")
        else:
            write_sheet(page, made)

    give("sheet", made, write, as_json=as_json)


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(sheet)
