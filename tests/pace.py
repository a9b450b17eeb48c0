"""How slow this machine is just now, for tests that hold a limit in seconds.

A limit is meant for the machine of the README's figures, idle. Elsewhere, or beside other work, it is stretched by as
much as a sum that takes a known time takes longer; never shortened.
"""

import time

__all__ = ["slowness"]

#: processor seconds of the sum below on the machine of the README's figures, idle: measured, best of five
USUAL_S = 0.031


def _a_sum() -> float:
    start, total = time.process_time(), 0
    for number in range(400_000):
        total += number * number % 7
    return time.process_time() - start


def slowness() -> float:
    """How many times as long a sum takes here as it is meant to, at least 1."""
    return max(1.0, min(_a_sum() for _ in range(3)) / USUAL_S)
