"""From symbols and leads to coordinates: rows of current, columns of places, channels between the rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ohmtrail.drawing.cells import Cell, Look, lay_cell
from ohmtrail.drawing.channels import Run, assign_tracks
from ohmtrail.drawing.choose import Chosen
from ohmtrail.drawing.columns import column_order, packed_rows
from ohmtrail.drawing.elements import BOXES, NODES, Element
from ohmtrail.drawing.heights import heights
from ohmtrail.drawing.items import Item, Wire, bare, build, wires
from ohmtrail.drawing.jogs import unjogged
from ohmtrail.drawing.order import Rows, count_crossings, ordered
from ohmtrail.drawing.ranks import rows_and_order
from ohmtrail.drawing.text import measured, wrapped
from ohmtrail.harness import Harness

__all__ = ["Column", "Layout", "lay_out"]

Point = tuple[float, float]

PITCH, PAD, COLUMN_GAP = 18.0, 10.0, 8.0
_CHANNEL, _STRAIGHT = 14.0, 6.0
_LANE = (9.0, 9.0)
#: most rounds of swapping neighbouring columns
_SWAP_ROUNDS = 3
HEAD_SIZE, HOW_SIZE = 13.0, 10.5


@dataclass(frozen=True)
class Column:
    """One place.

    Attributes
    ----------
    place : str
        Its id.
    left, right : float
        Edges, px.
    how : tuple of str
        Lines under its name.
    """

    place: str
    left: float
    right: float
    how: tuple[str, ...]


@dataclass(frozen=True)
class Layout:
    """A picture's coordinates; the origin is the top left corner of its columns.

    Attributes
    ----------
    columns : tuple of Column
        Left to right.
    cells : dict of str to Cell
        By item id.
    at : dict of str to Point
        Origin of each cell: its first slot at the top of the body, px.
    routes : dict of str to tuple of Point
        Lead -> corners from its upper to its lower end.
    wires : tuple of Wire
        Which end is which.
    head, width, height : float
        Height of the columns' heads, size of the whole, px.
    """

    columns: tuple[Column, ...]
    cells: dict[str, Cell]
    at: dict[str, Point]
    routes: dict[str, tuple[Point, ...]]
    wires: tuple[Wire, ...]
    head: float
    width: float
    height: float


@dataclass
class _Grid:
    """What is known about rows and columns on the way to coordinates."""

    items: dict[str, Item]
    wires: list[Wire]
    row: dict[str, int]
    place: dict[str, str]
    chain: dict[str, list[str]]
    places: tuple[str, ...]
    rows: Rows


def lay_out(
    harness: Harness,
    chosen: Chosen,
    look: Look,
    inside: Callable[[str], tuple[Element, ...]],
    *,
    declared: bool = False,
    pitch: float = PITCH,
) -> Layout:
    """Lay out a part of a harness.

    Parameters
    ----------
    harness : Harness
        The machine.
    chosen : Chosen
        What is drawn.
    look : Look
        Words that take room.
    inside : callable
        Item id -> elements of its symbol.
    declared : bool
        Whether the places keep the order of the file.
    pitch : float
        Distance of two tracks, px.

    Returns
    -------
    Layout
        Coordinates of everything; the same for the same input.
    """
    grid = _grid(harness, chosen, declared)
    cells = _cells(grid, look, inside)
    links = [(lead, a, b) for lead, chain in grid.chain.items() for a, b in pairwise(chain)]
    cells, at_x, columns = unjogged(links, cells, lambda cells, room: _abscissas(harness, grid, cells, room))
    return _down(grid, cells, at_x, columns, pitch)


def _grid(harness: Harness, chosen: Chosen, declared: bool) -> _Grid:
    height = heights(harness, chosen)
    first = bare(harness, chosen)
    links = [(wire.upper, wire.lower) for wire in wires(harness, chosen, height)]
    row, order = rows_and_order(tuple(first), links)
    found = wires(harness, chosen, height, row)
    items = build(harness, chosen, height, row)
    place = {name: item.place for name, item in items.items()}
    used = [name for name in harness.places if name in set(place.values())]
    count: dict[tuple[str, str], int] = {}
    for wire in found:
        pair = (place[wire.upper], place[wire.lower])
        count[pair] = count.get(pair, 0) + 1
    places = tuple(used) if declared else _facing(column_order(used, count), row, place)
    grid = _Grid(items, found, row, place, {}, places, [{} for _ in range(max(row.values(), default=0) + 1)])
    _lanes(grid, order)
    for name in sorted(grid.row, key=lambda name: (grid.row[name], order[name])):
        grid.rows[grid.row[name]].setdefault(grid.place[name], []).append(name)
    grid.rows = ordered(grid.rows, places, _gaps(grid))
    if not declared:
        _neighbours_swapped(grid)
    return grid


def _neighbours_swapped(grid: _Grid) -> None:
    """Swap neighbouring columns while that saves crossings; each swap is weighed with its own order of rows."""
    gaps = _gaps(grid)
    least = count_crossings(grid.rows, grid.places, gaps)
    for _ in range(_SWAP_ROUNDS):
        before = least
        for index in range(len(grid.places) - 1):
            if not least:
                return
            tried = (*grid.places[:index], grid.places[index + 1], grid.places[index], *grid.places[index + 2 :])
            rows = ordered(grid.rows, tried, gaps)
            crossings = count_crossings(rows, tried, gaps)
            if crossings < least:
                grid.places, grid.rows, least = tried, rows, crossings
        if least == before:
            return


def _facing(places: tuple[str, ...], row: Mapping[str, int], place: Mapping[str, str]) -> tuple[str, ...]:
    """Turn the columns so that what comes first in the current stands to the left."""
    weight = {name: index for index, name in enumerate(places)}
    rows = [(row[name], weight[place[name]]) for name in row]
    middle = (len(places) - 1) / 2.0
    mean = sum(rows_[0] for rows_ in rows) / max(len(rows), 1)
    lean = sum((number - mean) * (index - middle) for number, index in rows)
    return places if lean >= 0 else places[::-1]


def _lanes(grid: _Grid, order: dict[str, float]) -> None:
    """Give leads over several rows a lane through the rows between, in the emptier of their two columns."""
    load = {(grid.row[name], grid.place[name]): 0 for name in grid.row}
    for name in grid.items:
        load[grid.row[name], grid.place[name]] += 1
    for wire in grid.wires:
        first, last = grid.row[wire.upper], grid.row[wire.lower]
        between = range(first + 1, last)
        ends = (grid.place[wire.lower], grid.place[wire.upper])
        place = min(ends, key=lambda end: sum(load.get((number, end), 0) for number in between))
        chain = [wire.upper]
        for number in between:
            lane = f"~{wire.lead}~{number}"
            share = (number - first) / (last - first)
            grid.row[lane], grid.place[lane] = number, place
            order[lane] = order[wire.upper] * (1 - share) + order[wire.lower] * share
            load[number, place] = load.get((number, place), 0) + 1
            chain.append(lane)
        grid.chain[wire.lead] = [*chain, wire.lower]


def _gaps(grid: _Grid) -> list[list[tuple[str, str]]]:
    gaps: list[list[tuple[str, str]]] = [[] for _ in grid.rows[1:]]
    for chain in grid.chain.values():
        for a, b in pairwise(chain):
            gaps[grid.row[a]].append((a, b))
    return gaps


def _cells(grid: _Grid, look: Look, inside: Callable[[str], tuple[Element, ...]]) -> dict[str, Cell]:
    """Sort each symbol's stubs by where their leads go, then give it its room."""
    position = {
        name: (index, number)
        for row in grid.rows
        for index, place in enumerate(grid.places)
        for number, name in enumerate(row.get(place, ()))
    }
    lead_number = {wire.lead: index for index, wire in enumerate(grid.wires)}
    cells = {}
    for name, item in grid.items.items():
        key = {
            stub.lead: (*position[grid.chain[stub.lead][1 if below else -2]], lead_number[stub.lead])
            for below, stubs in ((False, item.tops), (True, item.bottoms))
            for stub in stubs
            if stub.lead
        }
        last = (len(grid.places), 0, 0)
        tops = tuple(sorted(item.tops, key=lambda stub: key.get(stub.lead, last)))
        bottoms = tuple(sorted(item.bottoms, key=lambda stub: key.get(stub.lead, last)))
        sorted_item = replace(item, tops=tops, bottoms=bottoms)
        plain = item.kind in BOXES or item.kind in NODES
        cells[name] = lay_cell(sorted_item, () if plain else _by_stub(sorted_item, inside(item.id)), look)
    return cells


def _by_stub(item: Item, elements: tuple[Element, ...]) -> tuple[Element, ...]:
    """Elements in the order of the stubs they lead to."""
    rank = {stub.pin: index for stubs in (item.tops, item.bottoms) for index, stub in enumerate(stubs)}
    shared = {pin for pin in rank if sum(pin in (element.a, element.b) for element in elements) > 1}
    return tuple(
        sorted(elements, key=lambda element: min([rank.get(pin, 99) for pin in (element.a, element.b) if pin not in shared] or [99]))
    )


def _abscissas(
    harness: Harness, grid: _Grid, cells: Mapping[str, Cell], room: Mapping[str, float]
) -> tuple[dict[str, float], tuple[Column, ...]]:
    """Where everything stands from left to right, some with more room at the left."""
    extents = {name: (cells[name].left, cells[name].right) if name in cells else _LANE for name in grid.row}
    extents |= {name: (extents[name][0] + more, extents[name][1]) for name, more in room.items()}
    ties: dict[str, list[tuple[str, float]]] = {name: [] for name in grid.row}
    for lead, chain in grid.chain.items():
        for a, b in pairwise(chain):
            if grid.place[a] == grid.place[b]:
                shift = (cells[a].stub_x(lead, top=False) if a in cells else 0.0) - (cells[b].stub_x(lead, top=True) if b in cells else 0.0)
                ties[b].append((a, shift))
                ties[a].append((b, -shift))
    at: dict[str, float] = {}
    columns = []
    left = 0.0
    for place in grid.places:
        inner = packed_rows([row.get(place, []) for row in grid.rows], extents, ties)
        right = max((x + extents[name][1] for name, x in inner.items()), default=0.0)
        called = harness.places[place].called or place.replace("-", " ")
        right = max(right, round(measured(called, HEAD_SIZE, bold=True) + 2), 104.0)
        at.update({name: left + PAD + x for name, x in inner.items()})
        end = left + right + 2 * PAD
        how = f"{harness.places[place].reach:g} min" + (f" · {harness.places[place].how}" if harness.places[place].how else "")
        columns.append(Column(place, left, end, wrapped(how, HOW_SIZE, end - left - 2 * PAD)))
        left = end + COLUMN_GAP
    return at, tuple(columns)


def _down(grid: _Grid, cells: dict[str, Cell], at_x: Mapping[str, float], columns: tuple[Column, ...], pitch: float) -> Layout:
    """Where everything stands from top to bottom, and every lead's corners."""
    head = 30.0 + 14.0 * max((len(column.how) for column in columns), default=0)
    width = columns[-1].right if columns else 0.0
    y = head + 10.0
    at: dict[str, Point] = {}
    corners: dict[str, list[Point]] = {wire.lead: [] for wire in grid.wires}
    for number, row in enumerate(grid.rows):
        names = [name for place in grid.places for name in row.get(place, ()) if name in cells]
        above = max((cells[name].above for name in names), default=0.0)
        deep = max((cells[name].body + cells[name].below for name in names), default=20.0)
        for name in names:
            at[name] = (at_x[name], y + above)
        y += above + deep
        if number + 1 < len(grid.rows):
            y = _channel(grid, cells, at_x, number, y, pitch, width, corners)
    routes = {}
    for wire in grid.wires:
        x1 = at_x[wire.upper] + cells[wire.upper].stub_x(wire.lead, top=False)
        x2 = at_x[wire.lower] + cells[wire.lower].stub_x(wire.lead, top=True)
        ends = (x1, at[wire.upper][1] + cells[wire.upper].body), (x2, at[wire.lower][1])
        routes[wire.lead] = _straightened([ends[0], *corners[wire.lead], ends[1]])
    return Layout(columns, cells, at, routes, tuple(grid.wires), head, width, y + 12.0)


def _channel(
    grid: _Grid,
    cells: Mapping[str, Cell],
    at_x: Mapping[str, float],
    number: int,
    y: float,
    pitch: float,
    width: float,
    corners: Mapping[str, list[Point]],
) -> float:
    """Route one channel; give the ordinate of its lower edge."""
    runs = []
    for lead, chain in grid.chain.items():
        for a, b in pairwise(chain):
            if grid.row[a] == number:
                start = at_x[a] + (cells[a].stub_x(lead, top=False) if a in cells else 0.0)
                end = at_x[b] + (cells[b].stub_x(lead, top=True) if b in cells else 0.0)
                runs.append(Run(lead, start, end))
    tracks = assign_tracks(runs, width=width)
    for run in runs:
        x = run.start
        for to, track in tracks.way[run.lead]:
            level = y + _CHANNEL / 2 + track * pitch
            corners[run.lead] += [(x, level), (to, level)]
            x = to
    return y + (_CHANNEL + (tracks.count - 1) * pitch if tracks.count else _STRAIGHT)


def _straightened(points: Sequence[Point]) -> tuple[Point, ...]:
    """Leave out corners that are none."""
    kept: list[Point] = []
    for point in points:
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and (kept[-2][0] == kept[-1][0] == point[0] or kept[-2][1] == kept[-1][1] == point[1]):
            kept[-1] = point
        else:
            kept.append(point)
    return tuple(kept)
