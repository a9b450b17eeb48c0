"""Places as columns: which stands beside which, and where in its column every symbol stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

__all__ = ["Extent", "column_order", "packed_rows"]

Extent = tuple[float, float]
#: most places for which every order is weighed
_EXACT = 11
#: room between two cells of a row, px
GAP = 10.0


def column_order(places: Sequence[str], links: Mapping[tuple[str, str], int]) -> tuple[str, ...]:
    """Put places side by side so that leads run the least way across.

    Parameters
    ----------
    places : sequence of str
        In the order of the file.
    links : mapping of (str, str) to int
        Number of leads between two places.

    Returns
    -------
    tuple of str
        Exact up to 11 places; by moving one place at a time beyond that.

    Notes
    -----
    The least sum of distances is the least sum, over all prefixes, of the leads a prefix cuts.
    """
    weight = {(a, b): count for (a, b), count in links.items() if a != b}
    if len(places) > _EXACT:
        return _moved(places, weight)
    cuts: dict[int, tuple[int, tuple[int, ...]]] = {0: (0, ())}
    for mask in range(1, 1 << len(places)):
        cut = sum(count for (a, b), count in weight.items() if (mask >> places.index(a) & 1) != (mask >> places.index(b) & 1))
        cuts[mask] = min((cuts[mask ^ (1 << i)][0] + cut, (*cuts[mask ^ (1 << i)][1], i)) for i in range(len(places)) if mask >> i & 1)
    return tuple(places[i] for i in cuts[(1 << len(places)) - 1][1])


def _moved(places: Sequence[str], weight: Mapping[tuple[str, str], int]) -> tuple[str, ...]:
    """Move one place at a time while the sum of distances falls."""

    def cost(order: Sequence[str]) -> int:
        at = {place: index for index, place in enumerate(order)}
        return sum(count * abs(at[a] - at[b]) for (a, b), count in weight.items())

    best, least = list(places), cost(places)
    for _ in range(4):
        before = least
        for place in places:
            rest = [other for other in best if other != place]
            for index in range(len(places)):
                tried = [*rest[:index], place, *rest[index:]]
                value = cost(tried)
                if value < least:
                    best, least = tried, value
        if least == before:
            break
    return tuple(best)


def packed_rows(
    rows: Sequence[Sequence[str]],
    extents: Mapping[str, Extent],
    ties: Mapping[str, Sequence[tuple[str, float]]],
) -> dict[str, float]:
    """Give every symbol of a column its abscissa: upright leads where they can be, never two on each other.

    Parameters
    ----------
    rows : sequence of sequence of str
        Names in each row, left to right.
    extents : mapping of str to (float, float)
        Room left and right of each one's origin, px.
    ties : mapping of str to sequence of (str, float)
        For each: a neighbour in the row above or below, and the offset that makes their lead straight.

    Returns
    -------
    dict of str to float
        Whole pixels from the column's left edge.
    """
    row_of = {name: number for number, row in enumerate(rows) for name in row}
    x: dict[str, float] = {}
    for row in rows:
        edge = 0.0
        for name in row:
            x[name] = edge + extents[name][0]
            edge = x[name] + extents[name][1] + GAP
    for direction in (-1, 1, -1, 1, -1):
        order = range(len(rows)) if direction < 0 else range(len(rows) - 1, -1, -1)
        for number in order:
            row = rows[number]
            wanted = []
            for name in row:
                near = [x[other] + shift for other, shift in ties.get(name, ()) if row_of[other] == number + direction]
                wanted.append([(value, 1.0) for value in near] or [(x[name], 0.1)])
            x.update(_spread(row, extents, wanted))
    return _pushed(rows, extents, ties, {name: float(round(value)) for name, value in x.items()})


def _pushed(
    rows: Sequence[Sequence[str]],
    extents: Mapping[str, Extent],
    ties: Mapping[str, Sequence[tuple[str, float]]],
    x: Mapping[str, float],
) -> dict[str, float]:
    """Push what is joined by upright leads to the left as one, as far as it goes."""
    block: dict[str, str] = {name: name for name in x}
    for name in x:
        for other, shift in ties.get(name, ()):
            if x[other] + shift == x[name] and block[other] != block[name]:
                old, new = block[name], block[other]
                block = {key: new if value == old else value for key, value in block.items()}
    start = {value: min(x[name] for name in x if block[name] == value) for value in dict.fromkeys(block.values())}
    inner = {name: x[name] - start[block[name]] for name in x}
    after: dict[str, list[tuple[str, float]]] = {value: [] for value in start}
    floor = dict.fromkeys(start, 0.0)
    for row in rows:
        for index, name in enumerate(row):
            floor[block[name]] = max(floor[block[name]], extents[name][0] - inner[name])
            if index:
                other = row[index - 1]
                room = inner[other] + extents[other][1] + GAP + extents[name][0] - inner[name]
                if block[other] != block[name]:
                    after[block[other]].append((block[name], room))
    left = dict(floor)
    for _ in range(len(start)):
        moved = False
        for value, further in after.items():
            for other, room in further:
                if left[value] + room > left[other] + 1e-9:
                    left[other], moved = left[value] + room, True
        if not moved:
            return {name: float(round(left[block[name]] + inner[name])) for name in x}
    least = min((x[name] - extents[name][0] for name in x), default=0.0)
    return {name: x[name] - least for name in x}


def _spread(row: Sequence[str], extents: Mapping[str, Extent], wanted: Sequence[list[tuple[float, float]]]) -> dict[str, float]:
    """Nearest places to those wanted (least absolute sum) in order and apart: pool neighbours that collide."""
    offset, offsets = 0.0, []
    for index, name in enumerate(row):
        if index:
            offset += extents[row[index - 1]][1] + GAP + extents[name][0]
        offsets.append(offset)
    pools: list[tuple[list[tuple[float, float]], int]] = []
    for index in range(len(row)):
        pools.append(([(value - offsets[index], weight) for value, weight in wanted[index]], 1))
        while len(pools) > 1 and _median(pools[-2][0]) > _median(pools[-1][0]):
            last, count = pools.pop()
            before, more = pools.pop()
            pools.append((before + last, count + more))
    found: dict[str, float] = {}
    index = 0
    for values, count in pools:
        middle = _median(values)
        for _ in range(count):
            found[row[index]] = round(middle + offsets[index])
            index += 1
    return found


def _median(values: Sequence[tuple[float, float]]) -> float:
    """Weighted lower median."""
    ordered = sorted(values)
    half = sum(weight for _, weight in ordered) / 2.0
    for value, weight in ordered:
        half -= weight
        if half <= 1e-9:
            return value
    return ordered[-1][0]
