"""The command that serves the page beside the machine."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from ohmtrail.cli.options import Accept, Json
from ohmtrail.cli.page import give_document, new_paper, put_out
from ohmtrail.errors import InputError

__all__ = ["attach"]


def page(
    where: Annotated[str, typer.Argument(metavar="JOB-OR-FOLDER", help="One job file, or a folder of jobs and harness files.")] = ".",
    share: Annotated[bool, typer.Option("--share", help="Let phones on the local network in, one for each code shown.")] = False,
    port: Annotated[int | None, typer.Option(help="0 for any free one.", min=0, max=65535)] = None,
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Serve a page for the phone beside the machine.

    From this computer alone, or to the local network with --share: whoever opens the address that is shown is let
    in, one phone or browser for each; then a new address is shown. It works without the internet. Ctrl-C ends it.
    """
    from ohmtrail import web

    file = Path(where)
    if not file.exists():
        raise InputError(f"there is no job or folder {where!r}")
    shelf = web.Shelf(file if file.is_dir() else file.parent, "" if file.is_dir() else file.name, accept_changed=accept_changed)
    if shelf.only:
        shelf.job(shelf.only).state()
    listening = web.listen(web.PORT if port is None else port, share=share)
    show = _shower(listening.hosts[0], share=share, as_json=as_json)
    keeper = web.Doorkeeper(web.make_app(shelf), listening.hosts, show)
    show(keeper.key)
    web.run(keeper, listening)


def _shower(host: str, *, share: bool, as_json: bool) -> Callable[[str], None]:
    """What shows a new address each time one was used."""
    from ohmtrail import web

    shown = 0

    def show(key: str) -> None:
        nonlocal shown
        shown += 1
        address = web.address(host, key)
        if as_json:
            if shown == 1:
                give_document({"schema": 1, "command": "page", "ok": True, "exit": 0, "page": {"address": address, "shared": share}})
            return
        if shown > 1 and not share:
            put_out(f"Opened. For another browser: {address}\n")
            return
        _told(address, share=share, more=shown > 1)

    return show


def _told(address: str, *, share: bool, more: bool) -> None:
    from ohmtrail import web

    paper = new_paper()
    paper.line(f"{'For a further phone' if more else 'Open'}: {address}")
    if share and not more:
        paper.line("Anyone on this network who opens that first is let in, and what is sent is not encrypted: share on a network you trust.")
    put_out(str(paper))
    if share:
        colour = sys.stdout.isatty() and "NO_COLOR" not in os.environ and os.environ.get("TERM") not in (None, "dumb")
        put_out(web.code_lines(address, plain=paper.plain, colour=colour) + "\n")
    if not more:
        put_out("Ctrl-C ends it; every job is kept.\n")


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command()(page)
