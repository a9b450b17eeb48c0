"""Ohmtrail: fault finding in a machine's wiring, with a meter, a harness file and real electricity.

The names below are what other programs use; they are loaded when they are first asked for.

>>> from datetime import UTC, datetime
>>> import ohmtrail
>>> job = ohmtrail.open_job("bike.job")  # nothing is read yet
>>> # ohmtrail.start("bike.job", harness="bike.yaml", complaint="spark absent", now=datetime.now(UTC))
>>> # ohmtrail.read(job, "spark works with stop-1.from lifted", now=datetime.now(UTC))
>>> # ohmtrail.suspects(job).posterior.answers[0].mends
>>> # ohmtrail.next_step(job, now=datetime.now(UTC)).proposal.step
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from ohmtrail._version import __version__

if TYPE_CHECKING:
    from ohmtrail.harness import Harness, load_harness
    from ohmtrail.workbench import (
        OpenJob,
        check,
        draw,
        mend,
        next_step,
        open_job,
        read,
        report,
        save_drawn,
        save_report,
        save_sheet,
        sheet,
        simulate,
        start,
        strike,
        suspects,
        trace,
        why,
    )

__all__ = [
    "Harness",
    "OpenJob",
    "__version__",
    "check",
    "draw",
    "load_harness",
    "mend",
    "next_step",
    "open_job",
    "read",
    "report",
    "save_drawn",
    "save_report",
    "save_sheet",
    "sheet",
    "simulate",
    "start",
    "strike",
    "suspects",
    "trace",
    "why",
]

_HOMES = {"Harness": "ohmtrail.harness", "load_harness": "ohmtrail.harness"}


def __getattr__(name: str) -> object:
    """Load a public name when it is first asked for."""
    if name not in __all__:
        raise AttributeError(f"module 'ohmtrail' has no attribute {name!r}")
    return getattr(import_module(_HOMES.get(name, "ohmtrail.workbench")), name)


def __dir__() -> list[str]:
    return sorted(__all__)
