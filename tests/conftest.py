"""For all tests: many small matrices, on which threads cost more than they bring."""

import math
import os
import signal
from collections.abc import Callable

import pytest
from tests.pace import slowness

from ohmtrail.diagnosis import Looked, Measured, Seen, Step
from ohmtrail.harness import load_harness
from ohmtrail.workbench import simulate

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# What a script starts in the background ignores an interrupt, and so would whatever these tests start and interrupt.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


def said_of(planted: object, step: Step) -> str:
    """What somebody types who takes a step on a planted machine."""
    if step.kind == "mend":
        assert step.mend is not None
        planted.mend(step.mend.id)  # type: ignore[attr-defined]
        return "done"
    found = planted.take(step)  # type: ignore[attr-defined]
    if isinstance(found, Looked):
        return "damaged" if found.damaged else "sound"
    if isinstance(found, Seen):
        return "sometimes" if found.sometimes else ("absent", "weak", "works")[found.level]
    assert isinstance(found, Measured)
    if found.flickers:
        return "flickers"
    if found.quantity == "beep":
        return "beeps" if found.value > 0.5 else "silent"
    if found.quantity == "lamp":
        return "bright" if found.value > 0.75 else "out" if found.value < 0.25 else "dim"
    return "ol" if math.isinf(found.value) else f"{found.value:g}"


@pytest.fixture
def paced() -> Callable[[float], float]:
    """A limit in seconds, stretched where this machine is slower just now than the one it was set for."""
    return lambda seconds: seconds * slowness()


@pytest.fixture
def at_the_machine() -> Callable[..., Callable[[Step], str]]:
    """A machine with a planted fault, and a technician who types what its meter shows."""

    def stand(file: str, fault: str, *, severity: float | None = None, seed: int = 1) -> Callable[[Step], str]:
        planted = simulate(load_harness(file), fault, year=2026, severity=severity, seed=seed)
        return lambda step: said_of(planted, step)

    return stand
