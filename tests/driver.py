"""Runs commands one after another in one process and reports what each said, took (CPU seconds) and needed.

    python driver.py < orders.json
    python driver.py ORDERS        leaves standard input to the commands

An order is {"name": ..., "words": [...]}, perhaps with the "folder" to be in and what is "typed" into it; the report is one JSON list on standard output.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
import time
from pathlib import Path

from ohmtrail.cli.app import app
from ohmtrail.cli.door import run
from pace import slowness  # this file's neighbour: it is run by itself


class _Terminal(io.StringIO):
    """Output that shows more than ASCII."""

    encoding = "utf-8"  # type: ignore[assignment]


def _peak_mb() -> float:
    """Most memory since the last reset, MB; 0 where the system does not tell."""
    with contextlib.suppress(OSError):
        for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1024
    return 0.0


def _reset_peak() -> None:
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")


def _one(order: dict[str, object]) -> dict[str, object]:
    words = order["words"]
    assert isinstance(words, list)
    sys.argv = ["ohmtrail", *words]
    if "folder" in order:
        os.chdir(str(order["folder"]))
    out, err = io.StringIO(), io.StringIO()
    if "typed" in order:
        sys.stdin, out = io.StringIO(str(order["typed"])), _Terminal()
    _reset_peak()
    start = time.process_time()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            status = run(app)
        except SystemExit as stop:
            status = stop.code if isinstance(stop.code, int) else 1
    seconds = time.process_time() - start
    if seconds > 1.0:
        seconds /= slowness()
    return {
        "name": order["name"],
        "status": status,
        "out": out.getvalue(),
        "err": err.getvalue(),
        "seconds": seconds,
        "peak_mb": _peak_mb(),
    }


if __name__ == "__main__":
    orders = json.loads(sys.argv[1]) if len(sys.argv) > 1 else json.load(sys.stdin)
    # the first command pays for loading the numerical libraries; the limits are for what comes after
    _one({"name": "warm-up", "words": ["schema"]})
    if orders and orders[0].get("warm"):
        _one({**orders[0], "words": orders[0]["warm"]})
    json.dump([_one(order) for order in orders], sys.stdout)
