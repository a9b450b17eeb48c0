"""Lead lists in and out of spreadsheets on the command line."""

from __future__ import annotations

from typing import Annotated

import typer

from ohmtrail.cli.options import Json
from ohmtrail.cli.page import give, put_out

__all__ = ["attach"]


def attach(app: typer.Typer) -> None:
    """Add the commands.

    Parameters
    ----------
    app : typer.Typer
        Where to.
    """
    app.command(name="import")(import_)
    app.command()(export)


def import_(
    file: Annotated[str, typer.Argument(metavar="LIST", help="A lead list as CSV: headings from, to, colour, size, length.")],
    out: Annotated[str, typer.Option("--out", "-o", help="The harness file to make; else it goes to standard output.")] = "",
    name: Annotated[str, typer.Option(help="Of the machine.")] = "",
    as_json: Json = False,
) -> None:
    """Make a harness file from a lead list.

    Commas, semicolons or tabs; decimal points or commas. What was guessed is told.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.changes import write_imported

    made = workbench.import_leads(file, out=out, name=name)
    if as_json or out:
        give("import", made, lambda paper: write_imported(paper, made), as_json=as_json)
    else:
        put_out("".join(f"# guessed: {guess}\n" for guess in made.guesses) + made.text)


def export(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file, or a record of changes.")],
    out: Annotated[str, typer.Option("--out", "-o", help="The CSV to write; else it goes to standard output.")] = "",
    semicolons: Annotated[bool, typer.Option("--semicolons", help="Semicolons and decimal commas.")] = False,
    as_json: Json = False,
) -> None:
    """Write the lead list as CSV."""
    from ohmtrail import workbench

    made = workbench.export_leads(file, out=out, semicolons=semicolons)
    if as_json or out:
        give("export", made, lambda paper: paper.line(f"{len(made.harness.leads)} leads in {out}."), as_json=as_json)
    else:
        put_out(made.text.removeprefix("\ufeff"))
