"""The command that draws."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from ohmtrail.cli.options import Accept, Json, With
from ohmtrail.cli.page import give, put_out

__all__ = ["attach"]

_KINDS = ("phone", "whole", "book", "graph")


def draw(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file, or a job file: what is known is marked.")],
    out: Annotated[
        str, typer.Option("--out", "-o", metavar="OUT", help="File to write: .svg, .html, .png or .pdf. Else SVG to standard output.")
    ] = "",
    function: Annotated[str, typer.Option(help="Draw this function's path; of a job, the complaint's.")] = "",
    setting: With = None,
    phone: Annotated[bool, typer.Option("--phone", help="The path as a ladder, 390 px wide.")] = False,
    whole: Annotated[bool, typer.Option("--whole", help="The whole harness by place.")] = False,
    book: Annotated[bool, typer.Option("--book", help="A page for each circuit, to print.")] = False,
    graph: Annotated[bool, typer.Option("--graph", help="The bare circuit graph.")] = False,
    before: Annotated[str, typer.Option(metavar="FILE2", help="The harness before a change: both in one picture.")] = "",
    paper: Annotated[str, typer.Option(help="a4 or letter, for a book.")] = "a4",
    as_listed: Annotated[bool, typer.Option("--as-listed", help="Places in the order of the file, not of the shortest leads.")] = False,
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Draw a path, the whole harness or a job.

    A function's path as the machine is set, the whole harness, a book of circuits, or a job's marks on it.
    """
    from ohmtrail import workbench

    drawn = workbench.draw(
        file,
        kind=_kind(phone=phone, whole=whole, book=book, graph=graph),
        function=function,
        setting=setting or (),
        before=before,
        paper=paper,
        as_listed=as_listed,
        accept_changed=accept_changed,
    )
    if out:
        drawn = workbench.save_drawn(drawn, out)
    if as_json or out:
        give("draw", drawn, lambda paper: paper.line(f"Drawn in {out}."), as_json=as_json)
    else:
        put_out(drawn.svg or drawn.page)


def _kind(**asked: bool) -> Literal["ladder", "whole", "book", "graph"] | None:
    """What is to be drawn, if that is said; one thing at a time."""
    wanted = [name for name in _KINDS if asked[name]]
    if len(wanted) > 1:
        raise typer.BadParameter(f"--{wanted[0]} and --{wanted[1]} are two pictures: ask for one at a time")
    kinds: dict[str, Literal["ladder", "whole", "book", "graph"]] = {
        "phone": "ladder",
        "whole": "whole",
        "book": "book",
        "graph": "graph",
    }
    return kinds[wanted[0]] if wanted else None


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(draw)
