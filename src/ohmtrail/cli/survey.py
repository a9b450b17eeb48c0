"""The survey of a machine that has stood for years, on the command line."""

from __future__ import annotations

from typing import Annotated

import typer

from ohmtrail.cli.options import Json, this_moment
from ohmtrail.cli.page import give
from ohmtrail.cli.patience import ask_patience

__all__ = ["attach"]


def survey(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file, or a job that began with a survey.")],
    out: Annotated[str, typer.Option("--out", "-o", metavar="JOB", help="A job file to make, for the results.")] = "",
    minutes: Annotated[float | None, typer.Option(help="Minutes that may be spent: the best plan for that time.", min=1.0)] = None,
    unreachable: Annotated[list[str] | None, typer.Option(help="A place that cannot be got at.")] = None,
    form: Annotated[str, typer.Option(metavar="FORM", help="Write the plan with boxes to fill in: .html or .pdf.")] = "",
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    year: Annotated[int | None, typer.Option(help="Count ages to this year.", min=1900, max=2100)] = None,
    as_json: Json = False,
) -> None:
    """Plan the checks before a battery goes on.

    For a machine that has stood for years: four stages, each reading with its band, each place opened once; what
    the plan notices, counted on planted faults, and what it passes by.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.survey import write_survey

    now = this_moment()
    ask_patience("Every single fault is tried on the plan; a machine of a hundred leads takes about a minute.")
    found = workbench.survey(file, year=year or now.year, minutes=minutes, unreachable=unreachable or (), job=out, now=now)
    if form:
        workbench.save_survey(found, form, job=out, paper=paper)
    give("survey", found, lambda paper: write_survey(paper, found), as_json=as_json)


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(survey)
