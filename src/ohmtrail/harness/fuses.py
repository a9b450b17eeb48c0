"""Fuses: how long one lasts at a current, its cold resistance, the ratings and colours that are sold."""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from types import MappingProxyType

from ohmtrail.errors import UnknownName
from ohmtrail.harness.tables import Points, loglog, positive, rows

__all__ = [
    "blade_colour",
    "blade_ratings_a",
    "fuse_kinds",
    "fuse_resistance_ohm",
    "opening_band_s",
    "standard_fuse_ratings_a",
]

_RATING = "a fuse rating in ampere above zero"


@functools.cache
def _ratings() -> Mapping[str, tuple[float, ...]]:
    return MappingProxyType(
        {row["kind"]: tuple(map(float, row["ratings_a"].split())) for row in rows("fuses", "ratings")}
    )


def fuse_kinds() -> tuple[str, ...]:
    """Give the kinds of fuse there are tables for.

    Returns
    -------
    tuple of str
        ``glass`` and ``blade``.
    """
    return tuple(_ratings())


def _known(kind: str) -> str:
    if kind not in _ratings():
        raise UnknownName("kind of fuse", kind, fuse_kinds())
    return kind


@functools.cache
def _curve(kind: str, rating_a: float) -> tuple[Points, Points]:
    """Points (times the rating, seconds) of the shortest and of the longest life."""
    found = [row for row in rows("fuses", "opening") if row["kind"] == _known(kind)]
    limits = sorted({float(row["up_to_a"]) for row in found})
    group = next((limit for limit in limits if rating_a <= limit), limits[-1])
    mine = [row for row in found if float(row["up_to_a"]) == group]
    shortest, longest = (
        tuple((float(row["times"]), float(row[name])) for row in mine) for name in ("shortest_s", "longest_s")
    )
    return shortest, longest


def _seconds(times: float, points: Points) -> float:
    """Read a curve: for ever where nothing is promised, constant heat beyond its last point."""
    (first, first_s), (last, last_s) = points[0], points[-1]
    if times <= first:
        return first_s
    if times >= last:
        return last_s * (last / times) ** 2
    right = next(index for index, point in enumerate(points) if times < point[0])
    piece = points[right - 1 : right + 1]
    return math.inf if math.isinf(piece[0][1]) else loglog(times, piece)


def opening_band_s(rating_a: float, current_a: float, kind: str) -> tuple[float, float]:
    """Give how long a fuse lasts at a steady current, from cold.

    Parameters
    ----------
    rating_a : float
        Ampere.
    current_a : float
        Through it, ampere, either way.
    kind : str
        ``glass`` (fast) or ``blade`` (standard up to 40 A, the large size above).

    Returns
    -------
    tuple of float
        Shortest and longest time to opening, second; infinite where it need not open. At its rating or
        below, both are.

    Raises
    ------
    UnknownName
        No such kind.
    QuantityError
        The rating is not above zero.

    Notes
    -----
    Straight lines on log-log paper between the published points. Below the first point that promises an
    opening the longest time is infinite; beyond the last point both times go as 1 / current squared.

    References
    ----------
    Glass: AGX data sheet 2041, UL 248-14, IEC 60127-2. Blade: ISO 8820-3 type C from memory,
    DIN 72581-3 form E. Row by row in ``data/fuses.yaml``.

    Examples
    --------
    >>> opening_band_s(10, 10, "glass"), opening_band_s(10, 20, "glass")
    ((inf, inf), (0.5, 120.0))
    """
    shortest, longest = _curve(kind, positive(rating_a, _RATING))
    times = abs(current_a) / rating_a
    if not times > 1.0:
        return math.inf, math.inf
    below = times < longest[0][0]
    return _seconds(times, shortest), math.inf if below else _seconds(times, longest)


@functools.cache
def _cold(kind: str) -> Points:
    return tuple(
        (float(row["rating_a"]), float(row["mohm"]) / 1000.0)
        for row in rows("fuses", "cold_resistance")
        if row["kind"] == _known(kind)
    )


def fuse_resistance_ohm(rating_a: float, kind: str = "glass") -> float:
    """Give the typical cold resistance of a fuse.

    Parameters
    ----------
    rating_a : float
        Ampere.
    kind : str
        ``glass`` or ``blade``.

    Returns
    -------
    float
        Ohm, of the fuse alone, without its holder.

    Raises
    ------
    UnknownName
        No such kind.
    QuantityError
        The rating is not above zero.

    Notes
    -----
    Straight lines on log-log paper between 5 and 30 A, continued beyond.

    References
    ----------
    Glass: AGX data sheet 2041. Blade: from memory.

    Examples
    --------
    >>> round(fuse_resistance_ohm(10.0) * 1000, 2)
    8.67
    """
    return loglog(positive(rating_a, _RATING), _cold(kind))


def standard_fuse_ratings_a(kind: str) -> tuple[float, ...]:
    """Give the ratings that are sold.

    Parameters
    ----------
    kind : str
        ``glass`` or ``blade``.

    Returns
    -------
    tuple of float
        Ampere, rising.

    Raises
    ------
    UnknownName
        No such kind.

    Examples
    --------
    >>> standard_fuse_ratings_a("glass")[:3]
    (1.0, 2.0, 3.0)
    """
    return _ratings()[_known(kind)]


@functools.cache
def _blades() -> Mapping[float, str]:
    return MappingProxyType({float(row["rating_a"]): row["colour"] for row in rows("fuses", "blade_colours")})


def blade_colour(rating_a: float) -> str:
    """Give the body colour of a blade fuse.

    Parameters
    ----------
    rating_a : float
        A standard rating, ampere.

    Returns
    -------
    str
        Such as ``red``.

    Raises
    ------
    UnknownName
        No blade fuse has this rating.

    Examples
    --------
    >>> blade_colour(10)
    'red'
    """
    known = _blades()
    if rating_a not in known:
        near = sorted(sorted(known, key=lambda rating: abs(rating - rating_a))[:3])
        raise UnknownName("blade fuse of", f"{rating_a:g} A", [f"{rating:g} A" for rating in near])
    return known[rating_a]


def blade_ratings_a(colour: str) -> tuple[float, ...]:
    """Give all the ratings a blade fuse of this colour may have.

    Parameters
    ----------
    colour : str
        Such as ``red``.

    Returns
    -------
    tuple of float
        Ampere, rising; more than one where a larger fuse repeats the colour of a smaller.

    Raises
    ------
    UnknownName
        No blade fuse has this colour.

    Examples
    --------
    >>> blade_ratings_a("red")
    (10.0, 50.0)
    """
    found = tuple(rating for rating, name in _blades().items() if name == colour)
    if not found:
        raise UnknownName("blade fuse colour", colour, dict.fromkeys(_blades().values()))
    return found
