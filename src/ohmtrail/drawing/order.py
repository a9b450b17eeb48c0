"""Order in the rows: the engine's order, brought into columns, then fewer crossings by sweeping and swapping."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

__all__ = ["Rows", "count_crossings", "ordered"]

#: row -> place -> names, left to right
Rows = list[dict[str, list[str]]]
Edge = tuple[str, str]


def flat(row: Mapping[str, Sequence[str]], places: Sequence[str]) -> list[str]:
    """One row's names from the first column to the last."""
    return [name for place in places for name in row.get(place, ())]


def count_crossings(rows: Rows, places: Sequence[str], edges: Sequence[Sequence[Edge]]) -> int:
    """Count crossings of leads between neighbouring rows.

    Parameters
    ----------
    rows : Rows
        Order.
    places : sequence of str
        Columns.
    edges : sequence of sequence of (upper, lower)
        For each gap between rows.

    Returns
    -------
    int
        Crossings.
    """
    total = 0
    for gap, links in enumerate(edges):
        above = {name: index for index, name in enumerate(flat(rows[gap], places))}
        below = {name: index for index, name in enumerate(flat(rows[gap + 1], places))}
        ends = sorted((above[a], below[b]) for a, b in links)
        total += sum(1 for i, one in enumerate(ends) for two in ends[i + 1 :] if one[0] < two[0] and one[1] > two[1])
    return total


def ordered(rows: Rows, places: Sequence[str], edges: Sequence[Sequence[Edge]]) -> Rows:
    """Give an order with few crossings.

    Parameters
    ----------
    rows : Rows
        The first order.
    places : sequence of str
        Columns.
    edges : sequence of sequence of (upper, lower)
        For each gap between rows.

    Returns
    -------
    Rows
        Every name keeps its row and its column.
    """
    up: dict[str, list[str]] = {}
    down: dict[str, list[str]] = {}
    for links in edges:
        for a, b in links:
            down.setdefault(a, []).append(b)
            up.setdefault(b, []).append(a)
    best = [dict(row) for row in rows]
    least = count_crossings(best, places, edges)
    now = [{place: list(names) for place, names in row.items()} for row in rows]
    for turn in range(6):
        if not least:
            break
        near, numbers = (up, range(1, len(now))) if turn % 2 == 0 else (down, range(len(now) - 2, -1, -1))
        for number in numbers:
            other = now[number - 1] if turn % 2 == 0 else now[number + 1]
            _swept(now[number], other, places, near)
        _swapped(now, places, up, down)
        crossings = count_crossings(now, places, edges)
        if crossings < least:
            best, least = [{place: list(names) for place, names in row.items()} for row in now], crossings
    return best


def _swept(row: dict[str, list[str]], other: Mapping[str, Sequence[str]], places: Sequence[str], near: Mapping[str, Sequence[str]]) -> None:
    """Sort one row by the mean of its neighbours' positions."""
    at = {name: index for index, name in enumerate(flat(other, places))}
    for names in row.values():
        own = {name: index for index, name in enumerate(names)}
        mean = {name: sum(at[n] for n in near[name]) / len(near[name]) for name in names if near.get(name)}
        fixed = [name for name in names if name in mean]
        moved = iter(sorted(fixed, key=lambda name: (mean[name], own[name])))
        names[:] = [next(moved) if name in mean else name for name in names]


def _swapped(rows: Rows, places: Sequence[str], up: Mapping[str, Sequence[str]], down: Mapping[str, Sequence[str]]) -> None:
    """Swap neighbours of a column while that saves crossings."""
    at = [{name: index for index, name in enumerate(flat(row, places))} for row in rows]
    for number, row in enumerate(rows):
        sides = [(at[number - 1], up)] if number else []
        sides += [(at[number + 1], down)] if number + 1 < len(rows) else []
        for names in row.values():
            for index, (one, two) in enumerate(pairwise(list(names))):
                one, two = names[index], names[index + 1]
                gain = sum(_between(place, near.get(one, ()), near.get(two, ())) for place, near in sides)
                if gain > 0:
                    names[index], names[index + 1] = two, one


def _between(at: Mapping[str, int], left: Sequence[str], right: Sequence[str]) -> int:
    """Crossings saved by swapping two neighbours with these ends."""
    pairs = [(at[a], at[b]) for a in left for b in right]
    return sum((a > b) - (a < b) for a, b in pairs)
