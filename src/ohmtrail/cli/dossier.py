"""The dossier of a machine for its next owner, on the command line."""

from __future__ import annotations

from typing import Annotated

import typer

from ohmtrail.cli.options import Accept, Json
from ohmtrail.cli.page import give

__all__ = ["attach"]


def dossier(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file, or its record of changes.")],
    jobs: Annotated[list[str] | None, typer.Argument(metavar="JOB", help="Job files on this machine, surveys among them.")] = None,
    out: Annotated[str, typer.Option("--out", "-o", metavar="OUT", help="File to write: .html.")] = "",
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Put a machine's papers into one file.

    Harness, record of changes, survey, jobs, drawings and lead list, with what was not checked, for the next owner.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.dossier import not_checked
    from ohmtrail.reports.paper import Paper

    found = workbench.dossier(file, jobs or (), accept_changed=accept_changed)
    if out:
        workbench.save_dossier(found, out, paper=paper)

    def write(page: Paper) -> None:
        for head, lines in not_checked(found):
            page.line(f"{head}:")
            for line in lines:
                page.line(line, indent=3, hang=5)
        page.blank()
        page.line(f"Everything is in {out}." if out else "Nothing was written: name a file with -o, as in -o machine.html.")

    give("dossier", found, write, as_json=as_json)


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(dossier)
