"""Which steps come into question: readings near the suspects in useful settings, functions to watch,
elements to look at, wiring to move.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations

import networkx as nx
import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from ohmtrail.circuit import Electrics, Network, Setting, function_setting, put
from ohmtrail.circuit.branch_kinds import HIDDEN
from ohmtrail.circuit.meter import FEEDS, Meter, Quantity
from ohmtrail.diagnosis.cautions import battery_posts, surges
from ohmtrail.diagnosis.steps import Step
from ohmtrail.diagnosis.table import Row
from ohmtrail.harness.model import FRAME, Function, Harness
from ohmtrail.harness.parts import Connector, Switch

__all__ = ["Surroundings", "dangerous", "measurements", "settings_to_measure", "watches"]

Pair = tuple[str, str]

#: other functions that are thought of; more only on machines larger than a car
MOST_WATCHED = 48
#: volts below which a sign says nothing; own choice
TOLD_V = 1e-4
#: with so few points left, connectors that lie between two of them are worth parting as well; own choice
FEW_POINTS = 8


class Surroundings:
    """What lies around a set of suspects.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    rows : sequence of Row
        The suspects.
    """

    def __init__(self, electrics: Electrics, rows: Sequence[Row]) -> None:
        self.electrics, self.harness = electrics, electrics.harness
        network = electrics.network
        nodes: dict[str, None] = {}
        owners: dict[str, None] = {}
        for row in rows:
            for fault in row.faults:
                for change in fault.changes:
                    branch = network.branches[network.index[change.branch]] if change.branch else None
                    for node in (branch.a, branch.b) if branch else (change.a, change.b):
                        nodes.setdefault(node)
                    owners.setdefault(branch.owner if branch else change.a.rpartition(".")[0] or change.a)
        nodes.pop(FRAME, None)
        self.nodes, self.owners = tuple(nodes), tuple(owners)
        self.terminals = tuple(dict.fromkeys(self.harness.lead_ends[n][1] if n in self.harness.lead_ends else n for n in nodes))
        between = self._between()
        self.terminals = tuple(dict.fromkeys((*(name for name in self.terminals if name != FRAME), *between)))
        self.leads = tuple(name for name in owners if name in self.harness.leads)
        self.ends = tuple(end for name in self.leads for end in (f"{name}.from", f"{name}.to"))
        touched = dict.fromkeys((*self._touched(), *(self.harness.terminals[terminal][0] for terminal in between)))
        self.connectors = tuple(name for name in touched if isinstance(self.harness.parts[name], Connector))
        self.switches = tuple(name for name in self._touched() if isinstance(self.harness.parts[name], Switch))

    def _between(self) -> tuple[str, ...]:
        """Terminals of connectors on the wire from the first point to each other one, where few are left."""
        wiring, here = self.electrics.network.wiring, [node for node in self.nodes if node in self.electrics.network.wiring]
        found: dict[str, None] = {}
        if len(self.nodes) > FEW_POINTS:
            return ()
        for start, end in combinations(here, 2):
            if nx.has_path(wiring, start, end):
                on = nx.shortest_path(wiring, start, end)
                found |= dict.fromkeys(node for node in on if node in self.harness.terminals)
        return tuple(node for node in found if isinstance(self.harness.parts[self.harness.terminals[node][0]], Connector))

    def _touched(self) -> tuple[str, ...]:
        """Parts that own a node, or hold the end of a lead, among the suspects."""
        found: dict[str, None] = {}
        for node in self.nodes:
            terminal = self.harness.lead_ends[node][1] if node in self.harness.lead_ends else node
            found.setdefault(self.harness.terminals[terminal][0])
        found.pop(FRAME, None)
        return tuple(found)


def settings_to_measure(around: Surroundings, complaint: Setting) -> Iterator[Setting]:
    """Yield dead settings for the ohms range: as the complaint has it, with one thing changed.

    Parameters
    ----------
    around : Surroundings
        Of the suspects.
    complaint : Setting
        The setting in which the complaint shows.

    Yields
    ------
    Setting
        Battery off, engine still.
    """
    harness = around.harness
    dead = put(harness, complaint, battery=False, engine="still", moved="")
    yield dead
    for name in around.connectors:
        yield put(harness, dead, parted=[*dead.parted, name])
    for end in around.ends:
        if end.rpartition(".")[0] not in harness.high_tension:
            yield put(harness, dead, lifted=[*dead.lifted, end])
    for name in around.switches:
        part = harness.parts[name]
        assert isinstance(part, Switch)
        for position in () if part.worked_by else part.positions:
            if dict(dead.positions).get(name, part.rests) != position:
                yield put(harness, dead, positions={name: position})


def measurements(
    around: Surroundings, setting: Setting, quantity: Quantity, meter: Meter, *, close: bool = False
) -> tuple[Pair, ...]:
    """Probe pairs worth a look in a setting: each point against the frame, and across each element.

    Parameters
    ----------
    around : Surroundings
        Of the suspects.
    setting : Setting
        State of the machine.
    quantity : str
        What is read.
    meter : Meter
        What it is read with; a point with more volts than it is rated for is left out.
    close : bool
        Whether to probe the crimps of fixed leads too, to tell a lead from its joints.

    Returns
    -------
    tuple of (red, black)
        Probe pairs.
    """
    harness = around.harness
    live = quantity not in FEEDS
    hot = shunned(around.electrics.network, meter, setting) if live else frozenset()
    points = [*around.terminals, *sorted(setting.lifted & set(around.ends)), *(around.nodes if close else ())]
    near = [point for point in points if point not in hot]
    pairs = dict.fromkeys(harness.volts_to_frame(point) if quantity == "volts" else (point, FRAME) for point in near)
    for a, b in _across(around, setting, close):
        if a not in hot and b not in hot and (b, a) not in pairs:
            pairs.setdefault((a, b))
    posts = () if live else battery_posts(harness)
    if quantity == "volts":
        return _above_nought(around.electrics, setting, tuple(pairs))
    if quantity == "lamp":
        # behind a load a test lamp is in series with it, and what it shows says little
        return tuple((red, black) for red, black in pairs if black == FRAME and red in around.electrics.fed_straight)
    return tuple(pair for pair in pairs if frozenset(pair) not in posts)


def _above_nought(electrics: Electrics, setting: Setting, pairs: tuple[Pair, ...]) -> tuple[Pair, ...]:
    """The pairs with their probes so that the meter shows no minus on the sound machine."""
    if not pairs:
        return ()
    sound = electrics.read("dc", replace(setting, moved=None), pairs).value[0, 0]
    return tuple((b, a) if volts < -TOLD_V else (a, b) for (a, b), volts in zip(pairs, sound, strict=True))


def _across(around: Surroundings, setting: Setting, close: bool) -> Iterator[Pair]:
    network = around.electrics.network
    for owner in around.owners:
        for index in network.owned.get(owner, ()):
            branch = network.branches[index]
            if branch.kind in HIDDEN or branch.kind == "delivers" or FRAME in (branch.a, branch.b):
                continue
            if close or branch.kind not in ("lead", "joint"):
                yield branch.a, branch.b
        if owner in around.harness.leads and owner not in setting.lifted:
            lead = around.harness.leads[owner]
            yield lead.from_, lead.to


def dangerous(harness: Harness, meter: Meter, *, live: bool) -> frozenset[str]:
    """Give points that no ordinary meter may touch while the engine turns: high tension and pulses.

    Parameters
    ----------
    harness : Harness
        The machine.
    meter : Meter
        What is used.
    live : bool
        Whether anything drives the circuit; of a dead one every point may be touched.

    Returns
    -------
    frozenset of str
        Terminals and lead ends.
    """
    if not live:
        return frozenset()
    found: set[str] = set()
    for name in harness.high_tension:
        found |= {harness.leads[name].from_, harness.leads[name].to}
    for name, part in harness.parts.items():
        if part.kind == "coil":
            found.add(f"{name}.{part.secondary.between[0]}")
        if part.kind == "module" and part.delivers is not None:
            found.add(f"{name}.{part.delivers.between[0]}")
            if part.delivers.volts > meter.rated_v:
                found |= {f"{name}.{terminal}" for terminal in part.terminals()}
    return frozenset(found | {end for end, (lead_id, _) in harness.lead_ends.items() if lead_id in harness.high_tension})


def shunned(network: Network, meter: Meter, setting: Setting) -> frozenset[str]:
    """Give points that no volts are read at in a setting.

    Parameters
    ----------
    network : Network
        The machine.
    meter : Meter
        What is used.
    setting : Setting
        State of the machine.

    Returns
    -------
    frozenset of str
        What `dangerous` gives, and, while the engine turns, the wire that a contact breaker opens and closes.
    """
    return dangerous(network.harness, meter, live=True) | (network.chopped if setting.engine != "still" else frozenset())


def watches(around: Surroundings, complaint: str, base: Setting, works: Callable[[str, Setting], bool]) -> Iterator[Step]:
    """Yield functions worth watching: the complaint with something lifted or parted that it can do
    without, and other functions as they are.

    Parameters
    ----------
    around : Surroundings
        Of the suspects.
    complaint : str
        Function that fails; "" where a reading is outside its band instead.
    base : Setting
        State of the machine for it.
    works : callable
        Whether a function works in a setting with everything sound.

    Yields
    ------
    Step
        Watch steps.
    """
    harness = around.harness
    if complaint:
        yield Step("watch", base, function=complaint)
        for setting in _changed(around, base):
            if not surges(harness, setting) and works(complaint, setting):
                yield Step("watch", setting, function=complaint)
    rest = replace(base, positions=(), engine="still", battery=True)
    for name in _nearest(around, [name for name in harness.functions if name != complaint]):
        yield Step("watch", function_setting(harness, harness.functions[name], rest), function=name)


def _nearest(around: Surroundings, functions: Sequence[str]) -> list[str]:
    """The functions that share most with the suspects: few branches from them, in the order of the file."""
    if len(functions) <= MOST_WATCHED:
        return list(functions)
    network, harness = around.electrics.network, around.harness
    ends = network.ends[(network.kinds != "insulation") & (network.ends >= 0).all(axis=1)]
    size = len(network.nodes)
    links = coo_array((np.ones(len(ends)), (ends[:, 0], ends[:, 1])), shape=(size, size)).tocsr()
    start = [network.node_index[node] for node in around.nodes]
    far = np.append(dijkstra(links, directed=False, indices=start, unweighted=True, min_only=True), np.inf)
    away = {name: float(far[_loads(network, harness.functions[name])].min(initial=np.inf)) for name in functions}
    kept = set(sorted(functions, key=lambda name: away[name])[:MOST_WATCHED])
    return [name for name in functions if name in kept]


def _loads(network: Network, function: Function) -> list[int]:
    """Nodes at which a function is seen, and those of what it lights or drives."""
    found: list[int] = []
    for name in (function.seen_at, *(need.lit or need.works for need in function.needs)):
        if name in network.node_index:
            found.append(network.node_index[name])
        elif name is not None:
            found += [int(node) for index in network.owned.get(name, ()) for node in network.ends[index]]
    return found


def _changed(around: Surroundings, base: Setting) -> Iterator[Setting]:
    harness = around.harness
    for end in around.ends:
        if end.rpartition(".")[0] not in harness.high_tension and end not in base.lifted:
            yield put(harness, base, lifted=[*base.lifted, end])
    for name in around.connectors:
        if name not in base.parted:
            yield put(harness, base, parted=[*base.parted, name])


def load_side(network: Network, fuse: str, setting: Setting) -> str:
    """Give the terminal of a fuse that leads away from the battery.

    Parameters
    ----------
    network : Network
        The circuit.
    fuse : str
        Id of the fuse, which is out.
    setting : Setting
        State of the machine.

    Returns
    -------
    str
        ``fuse.1`` or ``fuse.2``.
    """
    graph = network.graph(setting)
    graph.remove_node(FRAME)
    feeds = [f"{name}.+" for name, part in network.harness.parts.items() if part.kind == "battery"]
    for near, far in (("1", "2"), ("2", "1")):
        if any(nx.has_path(graph, feed, f"{fuse}.{near}") for feed in feeds):
            return f"{fuse}.{far}"
    return f"{fuse}.2"


def flexing(rows: Iterable[Row]) -> tuple[str, ...]:
    """Places where moving the wiring may bring a suspect out."""
    return tuple(dict.fromkeys(row.moves_at for row in rows if row.moves_at))
