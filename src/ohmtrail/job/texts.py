"""Texts of a record taken for what they must be: words, whole numbers, amounts, lists of names."""

from __future__ import annotations

import math
from collections.abc import Mapping

from ohmtrail.errors import JobError
from ohmtrail.journal import Value

__all__ = ["Data", "amount", "names", "whole", "word"]

Data = Mapping[str, Value]
_FOREIGN = "it was not written by this program"
#: digits of the longest number that is read; a seed of 64 bits has 20
_DIGITS = 20
_SHOWN = 60


def word(data: Data, key: str, *, default: str | None = None) -> str:
    """Give one text of a record.

    Parameters
    ----------
    data : mapping
        The record.
    key : str
        Which.
    default : str, optional
        Where it is not there; without it that is an error.

    Returns
    -------
    str
        The text.

    Raises
    ------
    JobError
        It is missing or no text.
    """
    found = data.get(key, default)
    if found is None:
        raise JobError(f"{key!r} is missing: {_FOREIGN}")
    if not isinstance(found, str):
        raise JobError(f"{key!r} is no text: {_FOREIGN}")
    return found


def whole(data: Data, key: str) -> int:
    """Give one whole number of a record, from 0.

    Parameters
    ----------
    data : mapping
        The record.
    key : str
        Which.

    Returns
    -------
    int
        The number.

    Raises
    ------
    JobError
        It is missing or none.
    """
    said = word(data, key)
    if not (said.isascii() and said.isdigit() and len(said) <= _DIGITS):
        raise JobError(f"{key!r} is {_short(said)}, which is no whole number: {_FOREIGN}")
    return int(said)


def amount(said: str, key: str, *, least: float = -math.inf, above: float = -math.inf) -> float:
    """Give an amount that a record says.

    Parameters
    ----------
    said : str
        The text.
    key : str
        What it is, for the sentence.
    least, above : float
        The least it may be, and what it must be above.

    Returns
    -------
    float
        Finite.

    Raises
    ------
    JobError
        It is none, or out of range.
    """
    try:
        value = float(said)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value >= least and value > above):
        raise JobError(f"{key!r} is {_short(said)}, which cannot be: {_FOREIGN}")
    return value


def names(data: Data, key: str) -> frozenset[str]:
    """Give a list of names in a record; empty where it is not there.

    Parameters
    ----------
    data : mapping
        The record.
    key : str
        Which.

    Returns
    -------
    frozenset of str
        The names.

    Raises
    ------
    JobError
        It is no list of texts.
    """
    found = data.get(key, ())
    if not (isinstance(found, tuple) and all(isinstance(item, str) for item in found)):
        raise JobError(f"{key!r} is no list of names: {_FOREIGN}")
    return frozenset(item for item in found if isinstance(item, str))


def _short(said: str) -> str:
    return repr(said if len(said) <= _SHOWN else f"{said[:_SHOWN]}...")
