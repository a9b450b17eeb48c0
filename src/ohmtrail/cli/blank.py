"""Beginning a harness file: a blank one to write over, and the schema for an editor."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ohmtrail.cli.options import Json
from ohmtrail.cli.page import give, give_document, put_out

__all__ = ["attach"]


def blank(
    out: Annotated[str, typer.Option("--out", "-o", metavar="OUT", help="The file to make; nothing is overwritten.")] = "",
    name: Annotated[str, typer.Option(help="Name of the machine.")] = "",
    as_json: Json = False,
) -> None:
    """Write a harness file to begin with.

    A whole small machine, every section explained; write your own over it, and run check after every few lines.
    """
    from ohmtrail import workbench

    made = workbench.blank(out, name=name)
    if as_json:
        give("blank", made, lambda paper: None, as_json=True)
    else:
        put_out(f"In {out}. Write your machine over it; then: ohmtrail check {out}\n" if out else made.text)


def schema(
    out: Annotated[Path | None, typer.Option("--out", "-o", metavar="OUT", help="The file to make; nothing is overwritten.")] = None,
    as_json: Json = False,
) -> None:
    """Write the JSON Schema of harness files.

    Editors complete keys and underline mistakes with it; the blank harness says how.
    """
    import json

    from ohmtrail import workbench
    from ohmtrail.errors import InputError
    from ohmtrail.storage import write_new

    made = workbench.schema()
    if out is not None:
        try:
            write_new(out, json.dumps(made.schema, ensure_ascii=False, indent=1) + "\n")
        except FileExistsError:
            raise InputError(f"'{out}' is there already; delete it if it is an old schema, or choose another name") from None
    if as_json:
        give("schema", made, lambda paper: None, as_json=True)
    elif out is None:
        give_document(made.schema)
    else:
        put_out(f"Written to {out}.\n")


def attach(app: typer.Typer) -> None:
    """Add the commands.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(blank)
    app.command()(schema)
