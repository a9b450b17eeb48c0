"""The command that reports a job."""

from __future__ import annotations

from typing import Annotated

import typer

from ohmtrail.cli.options import Accept, Job, Json
from ohmtrail.cli.page import give, put_out

__all__ = ["attach"]


def report(
    job: Job,
    out: Annotated[str, typer.Option("--out", "-o", metavar="OUT", help="File to write: .html, .pdf or .txt. Else standard output.")] = "",
    form: Annotated[str, typer.Option("--format", help="html or text, where the file does not say it.")] = "",
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Report a job for the customer and the file.

    What was measured and what it showed, the picture, the mend, its proof, the minutes. One HTML file.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.paper import Paper
    from ohmtrail.reports.report import report_html, write_report

    if form not in ("", "html", "text"):
        raise typer.BadParameter(f"{form!r} is no format: html or text")
    made = workbench.report(job, accept_changed=accept_changed)
    if out:
        workbench.save_report(made, out, form=form, paper=paper)

    def write(page: Paper) -> None:
        if out:
            page.line(f"Report in {out}.")
        else:
            write_report(page, made)

    if as_json or out or form == "text":
        give("report", made, write, as_json=as_json)
    else:
        put_out(report_html(made, paper=paper))


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(report)
