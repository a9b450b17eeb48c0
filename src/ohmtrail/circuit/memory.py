"""Memory that large arrays leave behind.

Arrays of some megabytes come and go between thousands of small ones that stay. Left to itself the C library puts
both into one heap, which then cannot shrink: on a harness of 600 leads that is half of what the program takes.
"""

from __future__ import annotations

import contextlib
import ctypes

__all__ = ["give_back_memory", "keep_large_arrays_apart"]

#: bytes from which memory is taken from, and given back to, the system at once; smaller is slower. On a large circuit
#: the factors of its equations, of which only a part is ever written, come under it as well: at 2,000 leads that is
#: 850 MB instead of 1,600
_LARGE, _LARGE_OF_MANY, _MANY_BRANCHES = 4_000_000, 1_000_000, 5_000
#: number of that setting in glibc's malloc.h
_M_MMAP_THRESHOLD = -3


def keep_large_arrays_apart(branches: int) -> None:
    """Ask the C library to give large arrays memory of their own; nothing happens where it knows no such request.

    Parameters
    ----------
    branches : int
        How many the circuit has.
    """
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).mallopt(_M_MMAP_THRESHOLD, _LARGE if branches < _MANY_BRANCHES else _LARGE_OF_MANY)


def give_back_memory() -> None:
    """Ask the C library to give the system what lies free between arrays that stay; nothing happens where it cannot.

    Worth the time, some hundredths of a second, after work that made much and kept little of it.
    """
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)
