"""Routes between two rows: every run gets a track, no two leads ever lie on each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Run", "Tracks", "assign_tracks"]

#: upright stretches nearer than this may not stand side by side, px
BESIDE = 16.0
#: most rounds of swapping neighbours
_ROUNDS = 12


@dataclass(frozen=True)
class Run:
    """One lead's way through a channel: from an abscissa above to one below.

    Attributes
    ----------
    lead : str
        Its id.
    start, end : float
        Abscissas at the upper and the lower row, px.
    """

    lead: str
    start: float
    end: float


@dataclass(frozen=True)
class Tracks:
    """Where the runs of a channel lie.

    Attributes
    ----------
    count : int
        Number of tracks.
    way : dict of str to tuple of (float, int)
        Lead -> pairs (abscissa to run to, track); empty for one that goes straight down.
    """

    count: int
    way: dict[str, tuple[tuple[float, int], ...]]


@dataclass(frozen=True)
class _Piece:
    lead: str
    part: int
    start: float
    end: float

    @property
    def low(self) -> float:
        return min(self.start, self.end)

    @property
    def high(self) -> float:
        return max(self.start, self.end)


def assign_tracks(runs: Sequence[Run], *, width: float) -> Tracks:
    """Give every run its track or tracks.

    Parameters
    ----------
    runs : sequence of Run
        All leads that pass the channel, the straight ones too.
    width : float
        Right edge that a detour may use, px.

    Returns
    -------
    Tracks
        A run whose upright ends would lie on another's in a ring is bent in two, which always
        resolves the ring.

    Notes
    -----
    Order by pairwise crossings: neighbours swap while that saves crossings and no upright end is
    passed. n runs cost O(n^2).
    """
    bent = [run for run in runs if run.start != run.end]
    whole = [_Piece(run.lead, 0, run.start, run.end) for run in bent]
    ring = _in_rings(whole)
    pieces: list[_Piece] = []
    taken = [x for run in runs for x in (run.start, run.end)]
    for piece in whole:
        if piece.lead in ring:
            middle = _free(piece, taken, width)
            taken.append(middle)
            pieces += [_Piece(piece.lead, 1, piece.start, middle), _Piece(piece.lead, 2, middle, piece.end)]
        else:
            pieces.append(piece)
    order = _ordered(pieces)
    tracks = _packed(order, _above(pieces))
    way: dict[str, list[tuple[float, int]]] = {run.lead: [] for run in runs}
    for piece in sorted(pieces, key=lambda item: (item.lead, item.part)):
        way[piece.lead].append((piece.end, tracks[piece]))
    return Tracks(max(tracks.values(), default=-1) + 1, {lead: tuple(steps) for lead, steps in way.items()})


def _above(pieces: Sequence[_Piece]) -> dict[_Piece, set[_Piece]]:
    """Piece -> pieces that must lie below it."""
    found: dict[_Piece, set[_Piece]] = {piece: set() for piece in pieces}
    for one in pieces:
        for two in pieces:
            if one is two:
                continue
            if one.lead == two.lead:
                if one.part < two.part:
                    found[one].add(two)
            elif one.part in (0, 1) and two.part in (0, 2) and abs(one.start - two.end) < BESIDE:
                found[one].add(two)
    return found


def _in_rings(pieces: Sequence[_Piece]) -> set[str]:
    """Leads that stand in a ring of 'must lie above'."""
    below = _above(pieces)
    left = dict(below)
    while True:
        free = [piece for piece in left if not any(piece in after for other, after in left.items() if other is not piece)]
        ends = [piece for piece in left if not any(other in left for other in below[piece])]
        gone = {*free, *ends}
        if not gone:
            return {piece.lead for piece in left}
        left = {piece: after for piece, after in left.items() if piece not in gone}
        if not left:
            return set()


def _free(piece: _Piece, taken: Sequence[float], width: float) -> float:
    """The nearest abscissa to the run's middle that keeps clear of every upright stretch."""
    middle = round((piece.start + piece.end) / 2.0)
    for step in range(0, int(width) + 400, 2):
        for x in (middle + step, middle - step):
            if 8 <= x <= width - 8 and all(abs(x - other) >= BESIDE for other in taken):
                return float(x)
    return float(width + BESIDE)


def _cost(upper: _Piece, lower: _Piece) -> int:
    """Crossings of two runs when the first lies above the second."""
    if upper.lead == lower.lead:
        return 0
    down = lower.low < upper.end < lower.high
    up = upper.low < lower.start < upper.high
    return int(down) + int(up)


def _ordered(pieces: Sequence[_Piece]) -> list[_Piece]:
    """An order from top to bottom with few crossings that keeps every 'must lie above'."""
    below = _above(pieces)
    order: list[_Piece] = []
    left = sorted(pieces, key=lambda item: (item.low, item.high, item.lead, item.part))
    while left:
        free = [piece for piece in left if not any(piece in below[other] for other in left if other is not piece)]
        best = min(free or left, key=lambda piece: sum(_cost(piece, other) - _cost(other, piece) for other in left if other is not piece))
        order.append(best)
        left.remove(best)
    for _ in range(_ROUNDS):
        moved = False
        for index in range(len(order) - 1):
            one, two = order[index], order[index + 1]
            if two not in below[one] and _cost(two, one) < _cost(one, two):
                order[index], order[index + 1] = two, one
                moved = True
        if not moved:
            break
    return order


def _packed(order: Sequence[_Piece], below: dict[_Piece, set[_Piece]]) -> dict[_Piece, int]:
    """Highest free track of each, in order."""
    tracks: dict[_Piece, int] = {}
    for piece in order:
        least = 0
        for other, track in tracks.items():
            meets = piece.low - BESIDE < other.high and other.low - BESIDE < piece.high
            if meets or piece in below[other]:
                least = max(least, track + 1)
        tracks[piece] = least
    return tracks
