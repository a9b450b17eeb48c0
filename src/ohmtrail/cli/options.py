"""Arguments and options that several commands share."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated

import typer

__all__ = ["READING", "Accept", "Job", "Json", "With", "this_moment"]

#: a value such as -0.4 is no option
READING = {"ignore_unknown_options": True}

Job = Annotated[str, typer.Argument(metavar="JOB", help="The job file.")]
Json = Annotated[bool, typer.Option("--json", help="Write one JSON document instead; see 'ohmtrail help json'.")]
Accept = Annotated[
    bool, typer.Option("--accept-changed", help="Go on although the harness file has changed since the job began.")
]

With = Annotated[
    list[str] | None,
    typer.Option("--with", metavar="NAME STATE", help="How the machine is set otherwise, as in 'horn-button pressed', 'engine running'."),
]


def this_moment() -> datetime:
    """Give the time of now, by which what is recorded is dated.

    Returns
    -------
    datetime
        In UTC.
    """
    return datetime.now(UTC)
