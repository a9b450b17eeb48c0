"""The restorer's record on the command line: add, list, apply, undo."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ohmtrail.cli.options import Json, this_moment
from ohmtrail.cli.page import give, put_out

if TYPE_CHECKING:
    from ohmtrail.workbench.particulars import Particulars

__all__ = ["attach"]

_STEPS = """A step is one line: what it is about, its id, what was done, and what it is now. What it was before is
looked up and kept beside it.

\b
  lead stop-2 renewed covering=crosslinked
  lead stop-2 moved to=relay.87
  lead stop-2 rerouted loom=main-loom
  lead spare removed
  lead feed added
      {from: fuse.2, to: relay.30}
  part relay added
      {kind: relay, at: headlamp}
  part horn exchanged
      {kind: horn, at: headlamp}
  part horn corrected resistance='3.6 ohm'

Without --step it is asked for, word by word. An empty value takes a key away: loom=
"""

Record = Annotated[str, typer.Argument(metavar="RECORD", help="The record file.")]
By = Annotated[str, typer.Option(help="Who did it.")]
Why = Annotated[str, typer.Option(help="The reason.")]
On = Annotated[str, typer.Option("--date", help="When, as in 2024-05-11, 2024-05 or 2024; today where not given.")]


def attach(app: typer.Typer) -> None:
    """Add the commands.

    Parameters
    ----------
    app : typer.Typer
        Where to.
    """
    room = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Keep the record of what was changed on a machine.")
    room.command(epilog=_STEPS)(add)
    room.command(name="list")(list_)
    room.command()(apply)
    room.command()(undo)
    room.command()(report)
    app.add_typer(room, name="changes")


def add(
    record: Record,
    harness: Annotated[str, typer.Option(help="The harness file, to begin a record.")] = "",
    step: Annotated[list[str] | None, typer.Option(help="What was done; several belong together.")] = None,
    by: By = "",
    why: Why = "",
    day: On = "",
    lasting: Annotated[bool, typer.Option("--cannot-be-undone", help="There is no way back.")] = False,
    kept: Annotated[str | None, typer.Option(help="The original is kept, and where.")] = None,
    not_kept: Annotated[bool, typer.Option("--not-kept", help="The original is gone.")] = False,
    file: Annotated[list[str] | None, typer.Option(help="A photo or receipt.")] = None,
    note: Annotated[str, typer.Option(help="Anything else.")] = "",
    as_json: Json = False,
) -> None:
    """Add a change, by options or by questions."""
    from ohmtrail import workbench
    from ohmtrail.cli.asking import ask_change
    from ohmtrail.reports.changes import write_noted

    if kept is not None and not_kept:
        raise typer.BadParameter("--kept and --not-kept cannot both be")
    saved = True if kept is not None else False if not_kept else None
    about = workbench.Particulars(by, why, day, not lasting, saved, kept or "", file or (), note)
    if step:
        made = workbench.note_change(record, about, step, harness=harness, now=this_moment())
    else:
        asked, steps = ask_change(record, harness, about, now=this_moment())
        made = workbench.note_change(record, asked, steps, harness=harness, now=this_moment())
    give("changes add", made, lambda paper: write_noted(paper, made), as_json=as_json)


def list_(record: Record, as_json: Json = False) -> None:
    """List all entries, and which are in force."""
    from ohmtrail import workbench
    from ohmtrail.reports.changes import write_listed

    found = workbench.list_changes(record)
    give("changes list", found, lambda paper: write_listed(paper, found), as_json=as_json)


def apply(
    record: Record,
    out: Annotated[str, typer.Option("--out", "-o", help="The harness file to write; else it goes to standard output.")] = "",
    as_of: Annotated[str, typer.Option(help="Only what was done up to this date.")] = "",
    replace: Annotated[bool, typer.Option("--replace", help="Replace the file if it is there.")] = False,
    as_json: Json = False,
) -> None:
    """Write the harness as it is now.

    The base file stays as it is; its comments are kept where their lines survive.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.changes import write_written

    made = workbench.apply_changes(record, out=out, as_of=as_of, replace=replace, now=this_moment())
    if as_json or out:
        give("changes apply", made, lambda paper: write_written(paper, made), as_json=as_json)
    else:
        put_out(made.text)


def undo(
    record: Record,
    to: Annotated[str, typer.Option(help="Back to how it was at the end of this date.")] = "",
    change: Annotated[list[int] | None, typer.Option(help="Or undo the change of this number.")] = None,
    by: By = "",
    why: Why = "",
    day: On = "",
    as_json: Json = False,
) -> None:
    """Undo changes; the history stays.

    One more entry says what no longer holds. Undo that entry to have the changes back.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.changes import write_undone

    if bool(to) == bool(change):
        raise typer.BadParameter("say how far back: --to DATE, or --change NUMBER")
    about: Particulars = workbench.Particulars(by, why, day)
    made = workbench.undo_changes(record, about, to=to, numbers=change or (), now=this_moment())
    give("changes undo", made, lambda paper: write_undone(paper, made), as_json=as_json)




def report(
    record: Record,
    out: Annotated[str, typer.Option("--out", "-o", metavar="OUT", help="File to write: .html or .pdf; .csv for the leads to cut.")] = "",
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    as_json: Json = False,
) -> None:
    """Report a record for the file: changes, circuits, pictures, lists.

    What was done, what it does to the circuits, before and after in pictures, parts to buy, leads to cut.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.change_report import change_report_html

    made = workbench.change_report(record)
    if out:
        workbench.save_change_report(made, out, paper=paper)
    if as_json or out:
        give("changes report", made, lambda page: page.line(f"Report in {out}."), as_json=as_json)
    else:
        put_out(change_report_html(made, paper=paper))
