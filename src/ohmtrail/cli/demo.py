"""The demo on the terminal: each step as it is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from ohmtrail.cli.page import give_document, new_paper, put_out

if TYPE_CHECKING:
    from ohmtrail.reports.results import Demo, Played

__all__ = ["show_demo"]


def show_demo(demo: Demo, *, as_json: bool) -> None:
    """Play a planted job.

    Parameters
    ----------
    demo : Demo
        The job; its steps are used up.
    as_json : bool
        Whether one JSON document is wanted at the end instead.

    Raises
    ------
    typer.Exit
        With status 1 where the job did not end in a proof.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.as_json import demo_document
    from ohmtrail.reports.played import write_ending, write_opening, write_played

    steps: list[Played] = []
    if not as_json:
        paper = new_paper()
        write_opening(paper, demo)
        put_out(str(paper))
    for step in workbench.play(demo):
        steps.append(step)
        if not as_json:
            paper = new_paper()
            paper.line("_" * paper.width)
            write_played(paper, step)
            put_out(str(paper))
    proven = workbench.proven(steps, demo)
    code = 0 if proven else 1
    if as_json:
        give_document(demo_document(demo, steps, proven=proven, exit_code=code))
    else:
        paper = new_paper()
        paper.line("_" * paper.width)
        write_ending(paper, steps, proven=proven)
        put_out(str(paper))
    if code:
        raise typer.Exit(code)
