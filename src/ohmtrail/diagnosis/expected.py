"""Readings worth having of a sound machine: every part across itself, every live terminal against the frame."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import networkx as nx

from ohmtrail.circuit import Electrics, Setting, function_setting, put
from ohmtrail.circuit.branch_kinds import EARTHING
from ohmtrail.circuit.meter import Meter, Quantity, measure
from ohmtrail.circuit.sound import Sound, sound_readings
from ohmtrail.circuit.turning import may_turn
from ohmtrail.diagnosis.candidates import shunned
from ohmtrail.diagnosis.steps import Step, hands_in_the_way
from ohmtrail.harness import FRAME, Harness
from ohmtrail.harness import parts as P

__all__ = ["dead_steps", "live_steps"]

Pair = tuple[str, str]

DEAD = Setting(battery=False)
#: a lead is lifted where what lies beside an element makes its band this many times as wide, or moves it by
#: as much; own choice
BESIDE = 1.1
#: an open contact that reads less than this has something beside it, ohm; own choice, below any insulation
OPEN_OHM = 1e6
#: volts that are half direct, half alternating read differently on every meter: left out above this share
MIXED = 0.2
#: a point fed through more than this hangs free, ohm; own choice, one hundredth of a meter's 10 MΩ
FREE_OHM = 1e5
#: least volts worth writing down; own choice: below it nothing tells a live point from a dead one
LEAST_V: dict[Quantity, float] = {"volts": 1.0, "ac": 0.3}


@dataclass(frozen=True)
class _Across:
    """An element to be measured across itself."""

    quantity: Quantity
    red: str
    black: str
    closed: Setting | None = None
    open: Setting | None = None


def dead_steps(electrics: Electrics, meter: Meter, points: frozenset[str]) -> tuple[Step, ...]:
    """Give the readings with the battery off and the engine still.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    meter : Meter
        What is used.
    points : frozenset of str
        Terminals in question.

    Returns
    -------
    tuple of Step
        Elements across themselves, with a lead lifted where something beside them would be measured
        instead; contacts closed and open; what must be at the frame.
    """
    harness = electrics.harness
    found: list[Step] = []
    for part_id in harness.parts:
        for item in _elements(harness, part_id):
            if {item.red, item.black} <= points | {FRAME}:
                found += _across(electrics, meter, item)
    earthed, dead = _earthed(electrics), put(harness, DEAD)
    found += [
        Step("measure", dead, "ohms", point, FRAME)
        for point in harness.terminals
        if point in points & earthed and _to_frame(harness, point)
    ]
    return tuple(found)


def _earthed(electrics: Electrics) -> frozenset[str]:
    """Points that leads, plugs and bolts alone join to the frame."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_node(FRAME)
    graph.add_edges_from((branch.a, branch.b) for branch in electrics.network.branches if branch.kind in EARTHING)
    return frozenset(nx.node_connected_component(graph, FRAME))


def _to_frame(harness: Harness, point: str) -> bool:
    """Whether a point is one where an earth is looked for: earth points, metal, and one side of a plug."""
    part = harness.parts.get(harness.terminals[point][0])
    if isinstance(part, P.Connector):
        return point.endswith("a") and bool(harness.leads_at.get(point))
    return isinstance(part, P.Earth | P.Metal)


def _elements(harness: Harness, part_id: str) -> Iterator[_Across]:
    """What of a part can be measured across itself."""
    part = harness.parts[part_id]
    match part:
        case P.Coil():
            yield _ohms(part_id, part.primary.between)
            yield _ohms(part_id, part.secondary.between)
        case P.Lamp():
            for filament in part.all_filaments().values():
                yield _ohms(part_id, filament.between)
        case P.Relay():
            yield _ohms(part_id, part.coil)
        case P.Fuse():
            yield _ohms(part_id, ("1", "2"))
        case P.Diode():
            yield replace(_ohms(part_id, part.between), quantity="diode")
        case P.Switch():
            yield from _contacts(harness, part_id, part)
        case P.Winding() | P.Horn() | P.Resistor() | P.Motor():
            yield _ohms(part_id, part.between)


def _ohms(part_id: str, pair: Pair) -> _Across:
    return _Across("ohms", f"{part_id}.{pair[0]}", f"{part_id}.{pair[1]}")


def _contacts(harness: Harness, part_id: str, part: P.Switch) -> Iterator[_Across]:
    """Every contact, in the first position that closes it and the first that opens it."""
    for pair in dict.fromkeys(tuple(sorted(pair)) for pairs in part.positions.values() for pair in pairs):
        joined = {position: any(set(pair) == set(other) for other in pairs) for position, pairs in part.positions.items()}
        closed = next((position for position, on in joined.items() if on), None)
        open_ = next((position for position, on in joined.items() if not on), None)
        settings = [put(harness, DEAD, positions={part_id: name}) if name else None for name in (closed, open_)]
        yield _Across("ohms", f"{part_id}.{pair[0]}", f"{part_id}.{pair[1]}", settings[0], settings[1])


def _across(electrics: Electrics, meter: Meter, item: _Across) -> Iterator[Step]:
    """The steps for one element: as it stands, or with its leads lifted off one side."""
    pair, lifted, dead = (item.red, item.black), _lifted(electrics.harness, item), put(electrics.harness, DEAD)
    if item.closed is not None:
        yield Step("measure", item.closed, item.quantity, *pair)
    if item.open is not None:
        beside = _shown(electrics, meter, item.quantity, [pair], item.open)[0] < OPEN_OHM
        yield Step("measure", replace(item.open, lifted=lifted) if beside else item.open, item.quantity, *pair)
    if item.closed is item.open is None:
        apart = replace(dead, lifted=lifted)
        here, alone = (sound_readings(electrics, meter, item.quantity, [pair], setting)[0] for setting in (dead, apart))
        yield Step("measure", apart if _clearer(alone, here) else dead, item.quantity, *pair)


def _clearer(alone: Sound, here: Sound) -> bool:
    """Whether a reading with a lead lifted tells more than the one as it stands."""
    if math.isinf(alone.high):
        return False
    moved = here.value / max(alone.value, 1e-9)
    wider = (here.high - here.low) / max(alone.high - alone.low, 1e-9)
    return not (moved < BESIDE and moved > 1.0 / BESIDE and wider < BESIDE)


def _lifted(harness: Harness, item: _Across) -> frozenset[str]:
    """Lead ends that part an element from the rest: those of its side with fewer leads; never a plug lead's."""
    sides: list[tuple[str, ...]] = [harness.leads_at.get(point, ()) for point in (item.red, item.black)]
    loose = [side for side in sides if side and not any(harness.lead_ends[end][0] in harness.high_tension for end in side)]
    fewest = min(loose, key=len, default=())
    return frozenset(fewest)


def live_steps(electrics: Electrics, meter: Meter, points: frozenset[str], functions: Iterable[str]) -> tuple[Step, ...]:
    """Give the volts of every terminal that some function makes live, each once.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    meter : Meter
        What is used; points with more volts than it is rated for are left out.
    points : frozenset of str
        Terminals in question.
    functions : iterable of str
        Functions whose settings the machine may be put in.

    Returns
    -------
    tuple of Step
        In as few settings as will do.
    """
    harness = electrics.harness
    pairs = [pair for point in harness.terminals if point in points for pair in _against(harness, point)]
    settings = dict.fromkeys([Setting(), *(function_setting(harness, harness.functions[name]) for name in functions)])
    hot = {setting: shunned(electrics.network, meter, setting) for setting in settings}
    near = {
        setting: [pair for pair in pairs if pair[0] not in hot[setting] and not hands_in_the_way(harness, setting, pair)]
        for setting in settings
    }
    live = {setting: _live(electrics, meter, near[setting], setting) for setting in settings}
    calm = {setting for setting in settings if not may_turn(harness, setting)}
    found: list[Step] = []
    left = dict.fromkeys(pairs)
    while left:
        # an engine that stands harms nobody: what can be read so is
        setting = max(live, key=lambda item: (any(pair in live[item] for pair in left) and item in calm, sum(pair in live[item] for pair in left)))
        taken = [pair for pair in left if pair in live[setting]]
        if not taken:
            break
        found += [Step("measure", setting, live[setting][pair], *pair) for pair in taken]
        for pair in taken:
            del left[pair]
    charged = [pair for pair in pairs if isinstance(harness.parts.get(harness.terminals[pair[0]][0]), P.Battery)]
    running = [setting for setting in settings if setting.engine == "running"][-1:]
    found += [Step("measure", setting, "volts", *pair) for setting in running for pair in charged if live[setting].get(pair) == "volts"]
    return tuple(dict.fromkeys(_reads_above(harness, step) for step in found))


def _reads_above(harness: Harness, step: Step) -> Step:
    """Volts to the frame, with the probes so that what is live reads above nought."""
    if step.quantity != "volts" or step.black != FRAME:
        return step
    red, black = harness.volts_to_frame(step.red)
    return replace(step, red=red, black=black)


def _against(harness: Harness, point: str) -> Iterator[Pair]:
    """What a terminal is measured against: the frame; a battery's own other terminal."""
    part_id, name = harness.terminals[point]
    part = harness.parts.get(part_id)
    if isinstance(part, P.Battery):
        if name == "+":
            yield point, f"{part_id}.-"
    elif isinstance(part, P.Connector):
        if name.endswith("a") and harness.leads_at.get(point):
            yield point, FRAME
    elif isinstance(part, P.Winding) and not part.mounts:
        if name == part.between[0]:
            yield point, f"{part_id}.{part.between[1]}"
    elif part is not None and not isinstance(part, P.Earth | P.Metal | P.Splice | P.SparkPlug):
        yield point, FRAME


def _live(electrics: Electrics, meter: Meter, pairs: Sequence[Pair], setting: Setting) -> dict[Pair, Quantity]:
    """Pairs with volts worth writing down in a setting, and on which range."""
    turning = setting.engine != "still"
    direct = _held(electrics, meter, "volts", pairs, setting)
    alternating = _held(electrics, meter, "ac", pairs, setting) if turning else [0.0] * len(pairs)
    found: dict[Pair, Quantity] = {}
    for pair, dc, ac in zip(pairs, direct, alternating, strict=True):
        if min(dc, ac) > MIXED * max(dc, ac):
            continue
        if dc >= LEAST_V["volts"]:
            found[pair] = "volts"
        elif ac >= LEAST_V["ac"]:
            found[pair] = "ac"
    return found


def _held(electrics: Electrics, meter: Meter, quantity: Quantity, pairs: Sequence[Pair], setting: Setting) -> list[float]:
    """Volts that something holds up; nought where a point hangs free and the meter shows what it picks up."""
    if not pairs:
        return []
    shown, source = measure(electrics, meter, quantity, pairs, setting)
    return [abs(float(volts)) if ohm < FREE_OHM else 0.0 for volts, ohm in zip(shown[0, 0], source[0, 0], strict=True)]


def _shown(electrics: Electrics, meter: Meter, quantity: Quantity, pairs: Sequence[Pair], setting: Setting) -> list[float]:
    """What the meter shows on the machine as described."""
    if not pairs:
        return []
    return [float(value) for value in measure(electrics, meter, quantity, pairs, setting)[0][0, 0]]
