"""The plan of a route: which source, which way to the load, which way back, what hangs on it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import takewhile

from ohmtrail.circuit.branches import Branch
from ohmtrail.circuit.kinds import SOURCES
from ohmtrail.circuit.ways import Cost, Hop, Ways
from ohmtrail.harness.model import FRAME

__all__ = ["Pick", "Plan", "live_points", "plan"]

#: ohms that an open contact counts where the way is found by ohms
_OPEN_OHM = 1e6
_FAR = float("inf")
#: a source gives if it gives more than this, watt
_LEAST_W = 1e-9
#: a load that gets less than this share of the supply is not fed
_SNEAK = 0.02


@dataclass(frozen=True)
class Pick:
    """What a route must pass: a load by branch id, or two points where ``load`` is ""."""

    load: str
    a: str
    b: str


@dataclass(frozen=True)
class Plan:
    """A main route in pieces.

    Attributes
    ----------
    source, load : str
        Branch ids, or "".
    feed, middle, rest, back : tuple of (str, int)
        From the source to the load, through it, on to the frame, and from the frame to the source's
        other pole; points with the branch that leads on, -1 at the end of a piece.
    cost : float
        Smaller is the likelier path.
    """

    source: str
    load: str
    feed: tuple[Hop, ...]
    middle: tuple[Hop, ...]
    rest: tuple[Hop, ...]
    back: tuple[Hop, ...]
    cost: float

    @property
    def main(self) -> tuple[Hop, ...]:
        """From the source through the load to the frame."""
        pieces = [piece for piece in (self.feed, self.middle, self.rest) if piece and piece[0][1] >= 0]
        pieces = pieces or [self.middle]
        return tuple(hop for piece in pieces[:-1] for hop in piece[:-1]) + pieces[-1]


def plan(ways: Ways, pick: Pick, *, fed: bool = True) -> Plan:
    """Find the main route through a load or a pair of points.

    Parameters
    ----------
    ways : Ways
        The solved machine.
    pick : Pick
        What the route must pass.
    fed : bool
        Whether a source is wanted, or only the way between the two points.

    Returns
    -------
    Plan
        Without a source where none can be reached.
    """
    direct = _direct(ways, pick)
    if not fed:
        return Plan(
            "", _load(ways, direct), (), _middle(ways, pick, direct, ways.by_ohms(_OPEN_OHM)), (), (), _FAR
        )
    cost = ways.by_current(_amps(ways, direct))
    best = Plan("", _load(ways, direct), (), _middle(ways, pick, direct, cost), (), (), _FAR)
    for source in _sources(ways, direct):
        tried = _from(ways, source, pick, direct, cost)
        best = tried if tried is not None and tried.cost < best.cost else best
    return best


def _amps(ways: Ways, direct: int) -> float:
    """Current of the load; nought where all it gets is what the earths of others lose."""
    flow = ways.flow
    if direct < 0:
        return 0.0
    fed = (
        flow.regime != "dc"
        or flow.across(flow.network.branches[direct].id) > _SNEAK * flow.network.harness.supply.nominal
    )
    return float(abs(flow.amps[direct])) if fed else 0.0


def _sources(ways: Ways, direct: int) -> list[Branch]:
    """The sources that give current; where none does, all of the regime."""
    flow = ways.flow
    branches = flow.network.branches
    found = [i for i, item in enumerate(branches) if item.kind in SOURCES[flow.regime] and i != direct]
    a, b = flow.network.ends.T
    watts = ((flow.volts[a] - flow.volts[b]) * flow.amps.conj()).real
    giving = [i for i in found if watts[i] < -_LEAST_W]
    return [branches[i] for i in giving or found]


def _direct(ways: Ways, pick: Pick) -> int:
    """Index of the branch right between the two points, -1 if there is none."""
    network = ways.flow.network
    if pick.load:
        return network.index[pick.load]
    wanted = {pick.a, pick.b}
    kinds = ("insulation", "charger", "uptake", "capacitor", "delivers")
    found = (
        i for i, item in enumerate(network.branches) if {item.a, item.b} == wanted and item.kind not in kinds
    )
    return next(found, -1)


def _load(ways: Ways, direct: int) -> str:
    return ways.flow.network.branches[direct].id if direct >= 0 else ""


def _middle(ways: Ways, pick: Pick, direct: int, cost: Cost) -> tuple[Hop, ...]:
    """From the pick's first point to its second; just the two of them where no way joins them."""
    if direct >= 0:
        return ((pick.a, direct), (pick.b, -1))
    _, paths = ways.reach(pick.a, cost)
    return tuple(ways.hops(paths[pick.b], cost)) if pick.b in paths else ((pick.a, -1),)


def _from(ways: Ways, source: Branch, pick: Pick, direct: int, cost: Cost) -> Plan | None:
    """The plan fed by one source; None where it cannot reach the load."""
    home, _ = ways.reach(FRAME, cost, without=direct)
    live, other = (
        (source.a, source.b) if home.get(source.a, _FAR) >= home.get(source.b, _FAR) else (source.b, source.a)
    )
    avoid = ways.earthed | {other}
    reached, paths = ways.reach(live, cost, avoid=avoid - {pick.a, pick.b}, without=direct)
    ends = [(pick.a, pick.b), (pick.b, pick.a)]
    costs = [reached.get(near, _FAR) + min(home.get(far, _FAR), 1e6) for near, far in ends]
    near, far = ends[costs.index(min(costs))]
    if near not in paths:
        return None
    feed = tuple(ways.hops(paths[near], cost, without=direct))
    middle = _middle(ways, Pick(pick.load, near, far), direct, cost)
    rest, back = _rest(ways, (*feed, *middle), far, other, direct, cost)
    return Plan(source.id, _load(ways, direct), feed, middle, rest, back, min(costs))


def _rest(
    ways: Ways, done: tuple[Hop, ...], far: str, other: str, direct: int, cost: Cost
) -> tuple[tuple[Hop, ...], tuple[Hop, ...]]:
    """From the load on to the frame and from there to the source's other pole."""
    passed = frozenset(live_points(ways, done)) - {far, other}
    if far == other or done[-1][0] != far:
        return (), ()
    way = _piece(ways, far, other, passed, direct, cost)
    places = [place for place, (point, _) in enumerate(way) if point == FRAME]
    if not places:
        return way or _piece(ways, far, FRAME, passed, direct, cost), ()
    return (*way[: places[0]], (FRAME, -1)), way[places[0] :]


def _piece(
    ways: Ways, start: str, goal: str, avoid: frozenset[str], direct: int, cost: Cost
) -> tuple[Hop, ...]:
    _, paths = ways.reach(start, cost, avoid=avoid - {start, goal}, without=direct)
    return tuple(ways.hops(paths[goal], cost, without=direct)) if goal in paths else ()


def live_points(ways: Ways, hops: tuple[Hop, ...]) -> list[str]:
    """Give the points of a way before it comes to the machine's metal.

    Parameters
    ----------
    ways : Ways
        The solved machine.
    hops : tuple of (str, int)
        A way.

    Returns
    -------
    list of str
        In order.
    """
    return [point for point, _ in takewhile(lambda hop: hop[0] not in ways.earthed, hops)]
