"""Two machines compared on the command line."""

from __future__ import annotations

from typing import Annotated

import typer

from ohmtrail.cli.options import Json
from ohmtrail.cli.page import give

__all__ = ["attach"]


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        Where to.
    """
    app.command()(compare)


def compare(
    first: Annotated[str, typer.Argument(metavar="A", help="A harness file, or a record of changes.")],
    second: Annotated[str, typer.Argument(metavar="[B]", help="Another; a record alone is compared with its base.")] = "",
    as_json: Json = False,
) -> None:
    """Compare two machines, by id and by electricity.

    A record stands for its harness with the changes that are in force. Status 1 where a check finds something
    serious that it did not find before.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.compared import write_compared

    found = workbench.compare(first, second)
    code = 1 if not found.same and any(item.serious for item in found.found_new) else 0
    give("compare", found, lambda paper: write_compared(paper, found), as_json=as_json, code=code)
