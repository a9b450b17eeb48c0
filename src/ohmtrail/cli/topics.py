"""What `ohmtrail help` explains: how a reading is typed, what --json writes, and every command."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import typer

from ohmtrail.cli.page import new_paper
from ohmtrail.cli.texts import GRAMMAR
from ohmtrail.errors import UnknownName, nearest

__all__ = ["explain"]


def explain(context: typer.Context, topic: Sequence[str]) -> str:
    """Give the help on a topic.

    Parameters
    ----------
    context : typer.Context
        Of the command that asks; it leads to all the others.
    topic : sequence of str
        ``reading``, ``json``, or the words of a command.

    Returns
    -------
    str
        As it is printed.

    Raises
    ------
    UnknownName
        No such topic and no such command.
    """
    if list(topic) == ["json"]:
        from ohmtrail.reports import as_json

        return f"{(as_json.__doc__ or '').strip()}\n"
    return _reading() if list(topic) == ["reading"] else _command(context, topic)


def _reading() -> str:
    paper = new_paper()
    for block in GRAMMAR.split("\n\n"):
        if block.startswith("\b\n"):
            paper.lines += block.removeprefix("\b\n").rstrip().splitlines()
        else:
            paper.line(" ".join(block.split()))
        paper.blank()
    return str(paper)


def _command(context: typer.Context, words: Sequence[str]) -> str:
    """The help of a command, found word by word."""
    here: Any = context.find_root()
    for word in words:
        group = here.command
        known = tuple(group.list_commands(here)) if hasattr(group, "list_commands") else ()
        found = group.get_command(here, word) if word in known else None
        if found is None:
            if here.parent is not None:
                raise UnknownName(f"command of {here.info_name}", word, known)
            topics = (*known, "json", "reading")
            hint = "" if nearest(word, topics) else "'ohmtrail help' alone lists the commands; besides them there are json and reading"
            raise UnknownName("topic", word, topics, hint=hint)
        here = found.make_context(word, [], parent=here, resilient_parsing=True)
    return f"{here.get_help()}\n"
