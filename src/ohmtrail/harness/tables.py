"""Reading the data files of standard tables, and drawing lines through their points.

Every file in ``data`` maps a table's name to its rows; every row names its source and says how sure it is.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from importlib import resources
from types import MappingProxyType

import yaml

from ohmtrail.errors import QuantityError

__all__ = ["CONFIDENCE", "FILES", "Points", "Row", "line", "loglog", "positive", "rows"]

Row = Mapping[str, str]
Points = tuple[tuple[float, float], ...]

#: How sure a row can be, from best to worst.
CONFIDENCE = (
    "standard, table",
    "document seen",
    "secondary reproduction",
    "own calculation",
    "from memory",
    "common practice, no source",
)

#: reads every scalar as text
_LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
#: The data files, without their ending.
FILES = ("battery", "colours", "conductors", "drops", "fuses", "lamps", "meters", "terminals")


@functools.cache
def _file(name: str) -> Mapping[str, tuple[Row, ...]]:
    """All tables of one file, every scalar as text."""
    text = resources.files("ohmtrail.harness").joinpath("data", f"{name}.yaml").read_text(encoding="utf-8")
    loader = _LOADER(text)
    try:
        tables: dict[str, list[dict[str, str]]] = loader.get_single_data()
    finally:
        loader.dispose()
    return MappingProxyType(
        {table: tuple(MappingProxyType(row) for row in found) for table, found in tables.items()}
    )


def rows(file: str, table: str | None = None) -> tuple[Row, ...]:
    """Give the rows of a table, as text.

    Parameters
    ----------
    file : str
        One of `FILES`.
    table : str, optional
        The table's name; all tables of the file, one after the other, if not given.

    Returns
    -------
    tuple of mapping
        Read only, in the file's order; each has ``source`` and ``confidence`` (one of `CONFIDENCE`).

    Examples
    --------
    >>> rows("conductors", "materials")[0]["material"]
    'copper'
    """
    tables = _file(file)
    return tables[table] if table else tuple(row for found in tables.values() for row in found)


def positive(value: float, wanted: str) -> float:
    """Give the value back if it is finite and above zero.

    Parameters
    ----------
    value : float
        In any unit.
    wanted : str
        What it should be, in words, for the error.

    Returns
    -------
    float
        The same value.

    Raises
    ------
    QuantityError
        It is zero, negative, infinite or no number.

    Examples
    --------
    >>> positive(0.75, "a size in mm2 above zero")
    0.75
    """
    if not 0.0 < value < math.inf:
        raise QuantityError(f"{value:g}", wanted)
    return value


def _piece(x: float, points: Points) -> Points:
    """Two neighbouring points: those around x, or the outermost two on its side."""
    inner = sum(1 for left, _ in points[1:-1] if left <= x)
    return points[inner : inner + 2]


def line(x: float, points: Points) -> float:
    """Read a line through points; the end pieces are continued beyond the ends.

    Parameters
    ----------
    x : float
        Where to read, in the unit of the points' first members.
    points : tuple of (float, float)
        At least two, with rising first members.

    Returns
    -------
    float
        In the unit of the points' second members.

    Examples
    --------
    >>> line(1.5, ((0.0, 0.0), (1.0, 10.0), (2.0, 30.0)))
    20.0
    """
    (x0, y0), (x1, y1) = _piece(x, points)
    share = (x - x0) / (x1 - x0)
    return y0 * (1.0 - share) + y1 * share


def loglog(x: float, points: Points) -> float:
    """Read a line through points on paper with two logarithmic scales, continued beyond the ends.

    Parameters
    ----------
    x : float
        Where to read, above zero, in the unit of the points' first members.
    points : tuple of (float, float)
        At least two, all above zero, with rising first members.

    Returns
    -------
    float
        In the unit of the points' second members.

    Examples
    --------
    >>> round(loglog(2.0, ((1.0, 1.0), (4.0, 16.0))), 9)
    4.0
    """
    (x0, y0), (x1, y1) = _piece(x, points)
    return y0 * math.pow(x / x0, math.log(y1 / y0) / math.log(x1 / x0))
