"""Every reading that a survey may ask for, and which faults it would notice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import networkx as nx
import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.special import ndtr

from ohmtrail.circuit import WORKS, Electrics, Setting, function_level, function_setting, put
from ohmtrail.circuit.meter import FLICKERS_BY, Meter, Quantity, measure, noise, scale
from ohmtrail.diagnosis import Step, needed_places, with_outer
from ohmtrail.diagnosis.candidates import load_side
from ohmtrail.diagnosis.likelihood import FLICKER, OUT_AT_REST
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Battery, Connector, Fuse, Splice
from ohmtrail.survey.bands import bands_of
from ohmtrail.survey.effects import Effects
from ohmtrail.survey.settings import apart, dead_settings, still_settings, turning_settings
from ohmtrail.survey.stages import Safety, conducting

__all__ = ["Candidate", "Pool", "pool_of", "required"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Pair = tuple[str, str]

#: chances below this are not worth keeping
LEAST_CHANCE = 0.02
#: most ends of one joined piece of wiring that are tried against each other
MOST_ENDS = 14
#: kinds of branch that are measured across themselves
_ACROSS = frozenset({"switch", "fuse", "filament", "coil", "winding", "resistor", "contact", "diode", "clamp"})
#: current through the battery beyond which no small fuse holds, ampere; common practice, no source
MOST_A = 15.0


@dataclass(frozen=True)
class Candidate:
    """One reading that could be in the plan.

    Attributes
    ----------
    stage : int
        1 to 4.
    step : Step
        What to do.
    places : frozenset of str
        Places that must be open for it, with those they lie inside of.
    """

    stage: int
    step: Step
    places: frozenset[str]


@dataclass(frozen=True)
class Pool:
    """Candidates and the chance that each notices each fault.

    Attributes
    ----------
    candidates : tuple of Candidate
        In a fixed order.
    chance : sparse array, (n_candidates, n_rows)
        Chance that the reading, taken again where it is outside, notices the row of `Effects`.
    feeds : frozenset of Step
        Readings that find every feed free of the frame before its fuse goes in, and every fuse whole.
    could : array of bool, (n_rows,)
        Rows under which some candidate lies outside its band, noise aside, on the machine as described.
    """

    candidates: tuple[Candidate, ...]
    chance: sparse.csr_array
    feeds: frozenset[Step]
    could: Bools


def required(pool: Pool, *, everything: bool) -> tuple[int, ...]:
    """Give the candidates that every survey has: what makes the next stage safe.

    Parameters
    ----------
    pool : Pool
        What there is to choose from.
    everything : bool
        Whether every switch position under the current limit and every function is wanted too.

    Returns
    -------
    tuple of int
        Places in the pool.
    """
    found = []
    for index, item in enumerate(pool.candidates):
        step = item.step
        if step.setting.moved:
            continue
        first = step.quantity == "amps" and not step.setting.positions
        if step in pool.feeds or (step.kind == "measure" and first) or (everything and (step.kind == "watch" or step.quantity == "amps")):
            found.append(index)
    return tuple(found)


def twice(chance: Floats) -> Floats:
    """Chance that two of at most three readings lie outside, the first of them one: what is believed."""
    result: Floats = chance * chance * (2.0 - chance)
    return result


class _Maker:
    def __init__(self, electrics: Electrics, meter: Meter, effects: Effects, machines: Sequence[int], barred: frozenset[str]) -> None:
        self.electrics, self.meter, self.effects, self.machines = electrics, meter, effects, machines
        self.harness: Harness = electrics.harness
        self.barred = barred
        self.feeds: set[Step] = set()
        self.known: set[Step] = set()
        self.safety = Safety(electrics.network, meter)
        self.could: Bools = np.zeros(len(effects.weight), dtype=bool)
        self.moving = np.array([bool(place) for place in effects.moves_at])
        self.flex = tuple(dict.fromkeys(place for place in effects.moves_at if place))
        self.at = {place: np.array([item == place for item in effects.moves_at]) for place in self.flex}
        self.found: list[Candidate] = []
        self.rows: list[sparse.csr_array] = []
        self.alike: dict[bytes, list[tuple[frozenset[str], int]]] = {}

    def places(self, step: Step) -> frozenset[str]:
        rest = Setting(battery=step.setting.battery)
        return with_outer(self.harness, needed_places(self.harness, step, rest))

    def add(self, stage: int, step: Step, shift: Floats, jump: Bools, outside: Bools) -> None:
        """Keep a step, and the same while wiring is moved, with what each notices.

        ``shift`` is the chance that one touch lies outside, ``jump`` whether the display would jump, ``outside``
        whether it lies outside, noise aside; all by the rows of the cases.
        """
        if not self.safety.allows(stage, step):
            return
        places = self.places(step)
        if places & self.barred:
            return
        self.could |= outside[self.effects.electric]
        p = shift[self.effects.electric]
        seen = twice(np.where(self.moving, OUT_AT_REST * p, p))
        self._keep(stage, step, places, seen)
        jumps = jump[self.effects.electric]
        for place in self.flex:
            hit = self.at[place] & jumps
            if not hit.any():
                continue
            moved = replace(step, setting=replace(step.setting, moved=place))
            around = with_outer(self.harness, [*places, place])
            if self.safety.allows(stage, moved) and not around & self.barred:
                self.could |= hit
                self._keep(stage, moved, around, np.where(hit, FLICKER * (2.0 * FLICKER - FLICKER**2), seen))

    def _keep(self, stage: int, step: Step, places: frozenset[str], seen: Floats) -> None:
        seen = np.where(seen >= LEAST_CHANCE, seen, 0.0)
        if step in self.known or (not seen.any() and step not in self.feeds):
            return
        # what a plainer setting tells as well needs no second candidate
        handled = len(step.setting.positions) + 5 * len(step.setting.parted | step.setting.lifted | step.setting.out)
        key = np.round(seen * 20.0).astype(np.int8).tobytes()
        known = self.alike.setdefault(key, [])
        wanted = step in self.feeds or step.quantity == "amps" or step.kind == "watch"
        if wanted or not any(other <= places and hands <= handled for other, hands in known):
            known.append((places, handled))
            self.known.add(step)
            self.found.append(Candidate(stage, step, places))
            self.rows.append(sparse.csr_array(seen[None].astype(np.float32)))

    def measured(self, stage: int, quantity: Quantity, setting: Setting, pairs: Sequence[Pair]) -> None:
        pairs = [pair for pair in pairs if self.safety.allows(stage, Step("measure", setting, quantity, *pair))]
        if not pairs:
            return
        bands = bands_of(self.electrics, self.meter, quantity, pairs, setting, machines=self.machines)
        shown, source = measure(self.electrics, self.meter, quantity, pairs, setting, self.effects.cases)
        value = scale(quantity, shown, self.meter)[0]
        own = noise(quantity, shown, source, self.meter)[0]
        gap = np.abs(value - bands.middle)
        if quantity == "amps" and abs(float(value[0, 0])) > MOST_A:
            return
        # what a machine's own tolerance hides, it hides from every reading: the same sigma is taken off each time
        shift = ndtr((gap - bands.half - bands.tolerance) / own)
        jump = np.abs(value - value[0]) > FLICKERS_BY
        for index, pair in enumerate(pairs):
            self.add(stage, Step("measure", setting, quantity, *pair), shift[:, index], jump[:, index], gap[:, index] > bands.half[index])

    def watched(self, stage: int, name: str) -> None:
        function = self.harness.functions[name]
        setting = function_setting(self.harness, function)
        sound = function_level(self.electrics, function, setting, machines=tuple(self.machines))
        if int(sound.min()) < WORKS:
            return
        level = function_level(self.electrics, function, setting, self.effects.cases)[0]
        hit = level < WORKS
        self.add(stage, Step("watch", setting, function=name), hit.astype(float), hit, hit)


def pool_of(
    electrics: Electrics, meter: Meter, effects: Effects, *, machines: Sequence[int], barred: Iterable[str] = ()
) -> Pool:
    """Gather every reading that is safe in its stage, and what each would notice.

    Parameters
    ----------
    electrics : Electrics
        The machine with its healthy draws.
    meter : Meter
        What is used.
    effects : Effects
        Every single fault.
    machines : sequence of int
        Healthy draws for the bands.
    barred : iterable of str
        Places that cannot be reached.

    Returns
    -------
    Pool
        The same for the same machine.
    """
    maker = _Maker(electrics, meter, effects, machines, frozenset(barred))
    harness = electrics.harness
    for setting, pairs in _feeds(electrics, maker.safety):
        maker.feeds |= {step for pair in pairs if maker.safety.allows(1, step := Step("measure", setting, "ohms", *pair))}
        maker.measured(1, "ohms", setting, pairs)
    for setting, ends in dead_settings(electrics.network):
        maker.measured(1, "ohms", setting, _dead_pairs(electrics, setting, maker.safety, ends=ends))
    for setting in still_settings(harness):
        maker.measured(2, "amps", setting, _battery_leads(harness))
        maker.measured(3, "volts", setting, [harness.volts_to_frame(point) for point in _points(electrics, setting, ends=True)])
    for setting in turning_settings(harness):
        points = _points(electrics, setting, ends=True)
        maker.measured(4, "volts", setting, [harness.volts_to_frame(point) for point in points])
        maker.measured(4, "ac", setting, [(point, FRAME) for point in points])
    for name, function in harness.functions.items():
        maker.watched(3 if function_setting(harness, function).engine == "still" else 4, name)
    if not maker.rows:
        return Pool((), sparse.csr_array((0, len(effects.weight))), frozenset(), maker.could)
    kept = frozenset(item.step for item in maker.found) & maker.feeds
    return Pool(tuple(maker.found), sparse.csr_array(sparse.vstack(maker.rows)), kept, maker.could)


def _feeds(electrics: Electrics, safety: Safety) -> Iterator[tuple[Setting, list[Pair]]]:
    """Every fuse's load side to the frame with all fuses out, modules parted where they hang on it; then each fuse."""
    harness = electrics.harness
    fuses = [name for name, part in harness.parts.items() if isinstance(part, Fuse)]
    dead = put(harness, Setting(battery=False), out=fuses)
    near = {name: load_side(electrics.network, name, replace(dead, battery=True)) for name in fuses}
    plain = [name for name in fuses if near[name] not in safety.feeding(dead)]
    yield dead, [(near[name], FRAME) for name in plain]
    yield replace(apart(harness), out=dead.out), [(near[name], FRAME) for name in fuses if name not in plain]
    yield put(harness, Setting(battery=False)), [(f"{name}.1", f"{name}.2") for name in fuses]


def _battery_leads(harness: Harness) -> list[Pair]:
    """The lead at each battery that carries all its current, of the earthed post first; else every one at the live post."""
    live, earthed = harness.supply.posts
    leads: list[str] = []
    for name, part in harness.parts.items():
        if isinstance(part, Battery):
            at = [[harness.lead_ends[end][0] for end in harness.leads_at.get(f"{name}.{post}", ())] for post in (earthed, live)]
            alone = next((found for found in at if len(found) == 1), None)
            leads += at[1] if alone is None else alone
    return [(lead, lead) for lead in leads]


def _points(electrics: Electrics, setting: Setting, *, ends: bool) -> list[str]:
    """Terminals worth a probe: of each joined piece of wiring one at every place, and its ends where they matter."""
    harness = electrics.harness
    joined = conducting(electrics.network, setting)
    joined.remove_node(FRAME)
    found: dict[str, None] = {}
    for piece in nx.connected_components(joined):
        first: dict[str | None, str] = {}
        for point in harness.terminals:
            if point in piece and not isinstance(harness.parts[harness.terminals[point][0]], Splice):
                kept = first.setdefault(harness.place_of(point), point)
                if kept is point or (ends and _is_end(harness, joined, point)):
                    found.setdefault(point)
    return [point for point in harness.terminals if point in found]


def _dead_pairs(electrics: Electrics, setting: Setting, safety: Safety, *, ends: bool) -> list[Pair]:
    """Terminals to the frame, every part across itself, and the ends of each joined piece of wiring."""
    feeding = safety.feeding(setting)
    points = [point for point in _points(electrics, setting, ends=ends) if point not in feeding]
    pairs = dict.fromkeys((point, FRAME) for point in points)
    for branch in electrics.network.branches if ends else ():
        if branch.kind in _ACROSS and FRAME not in (branch.a, branch.b):
            pairs.setdefault((branch.a, branch.b))
    if ends:
        pairs |= dict.fromkeys(_joined(electrics, setting, points))
    return list(pairs)


def _joined(electrics: Electrics, setting: Setting, points: Sequence[str]) -> Iterator[Pair]:
    """Pairs of ends of what leads, plugs and closed contacts join."""
    harness = electrics.harness
    joined = conducting(electrics.network, setting)
    joined.remove_node(FRAME)
    for piece in nx.connected_components(joined):
        ends = [point for point in points if point in piece and _is_end(harness, joined, point)]
        yield from combinations(ends[:MOST_ENDS], 2)


def _is_end(harness: Harness, joined: nx.Graph[str], point: str) -> bool:
    part = harness.parts.get(harness.terminals[point][0])
    return joined.degree(point) == 1 or not isinstance(part, Connector | Splice)
