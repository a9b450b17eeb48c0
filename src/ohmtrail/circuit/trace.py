"""A function's path in a setting, point by point: volts, amps, what conducts and what is open.

For every electrical condition of the function one main route runs from a source through the load to the
frame. Beside it run the return to the source, side routes that take the volts away when they conduct
(stop leads, a shunt regulator), and shared routes: other loads on the same feed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ohmtrail.circuit.changes import Change
from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.flows import Flow, flow
from ohmtrail.circuit.kinds import SOURCES
from ohmtrail.circuit.needs import check_function, function_setting, load_branch, ohms_setting
from ohmtrail.circuit.network import Regime
from ohmtrail.circuit.routing import Pick, Plan, plan
from ohmtrail.circuit.setting import Setting, put
from ohmtrail.circuit.sides import side_ways
from ohmtrail.circuit.steps import Gap, Role, Route, State, Step, Trace
from ohmtrail.circuit.ways import Hop, Ways, why_open
from ohmtrail.errors import UnknownName
from ohmtrail.harness.model import FRAME, Function
from ohmtrail.harness.parts import Need

__all__ = ["Gap", "Route", "Step", "Trace", "trace_function"]

#: share of its source's volts from which a point counts as live
_LIVE = 0.05


def trace_function(
    electrics: Electrics,
    function: Function | str,
    setting: Setting | None = None,
    *,
    changes: Sequence[Change] = (),
) -> Trace:
    """Follow a function's current from its sources through its loads to the frame.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    function : Function or str
        What it must do, or its id.
    setting : Setting, optional
        State of the machine; the function's own where not given.
    changes : sequence of Change
        What is wrong with the machine.

    Returns
    -------
    Trace
        Data only: volts in volt, amps in ampere.

    Raises
    ------
    UnknownName
        No such function.
    """
    harness = electrics.harness
    if isinstance(function, str):
        if function not in harness.functions:
            raise UnknownName("function", function, harness.functions)
        function = harness.functions[function]
    setting = function_setting(harness, function) if setting is None else setting
    tracer = _Tracer(electrics, tuple(changes))
    found: dict[tuple[Role, Regime, tuple[str, ...]], Route] = {}
    for number, need in enumerate(function.needs):
        for route in tracer.need(need, number, setting):
            found.setdefault((route.role, route.regime, route.points), route)
    return Trace(function, setting, check_function(electrics, function, setting), tuple(found.values()))


class _Tracer:
    """One machine, solved once per setting and regime."""

    def __init__(self, electrics: Electrics, changes: tuple[Change, ...]) -> None:
        self._electrics, self._changes = electrics, changes
        self._solved: dict[tuple[Setting, Regime], Ways] = {}

    def need(self, need: Need, number: int, setting: Setting) -> list[Route]:
        """Routes of one condition."""
        if need.quantity == "sound":
            return []
        harness = self._electrics.harness
        setting = put(harness, setting, positions=need.when) if need.when else setting
        if need.ohms is not None:
            dead = ohms_setting(harness, need, setting)
            drawn = plan(self._ways(dead, "dc"), Pick("", *need.ohms), fed=False)
            return [_route(self._ways(dead, "dc"), "main", number, drawn, drawn.middle, measured=False)]
        return self._fed(need, number, setting)

    def _fed(self, need: Need, number: int, setting: Setting) -> list[Route]:
        """Main route, return, sides; for a charger the route of its winding as well."""
        drawn, ways = self._best(need, setting)
        routes = [_route(ways, "main", number, drawn, drawn.main)]
        if len(drawn.back) > 1:
            routes.append(_route(ways, "return", number, drawn, drawn.back))
        for role, hops in side_ways(ways, drawn):
            routes.append(_route(ways, role, number, drawn, hops))
        network = self._electrics.network
        source = network.branches[network.index[drawn.source]] if drawn.source else None
        if source is not None and source.follows:
            load = network.branches[network.index[source.follows]]
            turning = self._ways(setting, "ac")
            behind = plan(turning, Pick(load.id, load.a, load.b))
            routes.append(_route(turning, "main", number, behind, behind.main))
        return routes

    def _best(self, need: Need, setting: Setting) -> tuple[Plan, Ways]:
        """The plan in the regime that feeds the load most; where none does, the shortest."""
        pick = _pick(self._electrics, need)
        regimes: tuple[Regime, ...]
        if need.dc or need.ac or need.pulse:
            regimes = ("dc",) if need.dc else ("ac",) if need.ac else ("pulse",)
        else:
            regimes = ("dc",) if setting.engine == "still" else ("dc", "ac")
        tried = [(plan(ways, pick), ways) for ways in (self._ways(setting, regime) for regime in regimes)]
        fed = [item for item in tried if pick.load and item[1].flow.across(pick.load) > 0.5]
        if fed:
            return max(fed, key=lambda item: item[1].flow.across(pick.load))
        return min(tried, key=lambda item: item[0].cost)

    def _ways(self, setting: Setting, regime: Regime) -> Ways:
        key = (setting, regime)
        if key not in self._solved:
            self._solved[key] = Ways(flow(self._electrics, setting, regime, changes=self._changes))
        return self._solved[key]


def _pick(electrics: Electrics, need: Need) -> Pick:
    """The load or the pair of points a condition is about."""
    network = electrics.network
    pair = need.dc or need.ac or need.pulse
    if pair is not None:
        return Pick("", *pair)
    branch = network.branches[load_branch(network, need.lit or need.works or "")]
    return Pick(branch.id, branch.a, branch.b)


def _route(
    ways: Ways, role: Role, number: int, drawn: Plan, hops: Sequence[Hop], *, measured: bool = True
) -> Route:
    """Hops with the numbers of the solved machine."""
    solved = ways.flow
    source = solved.network.branches[solved.network.index[drawn.source]] if drawn.source else None
    full = dict(source.turning).get(solved.setting.engine, source.volts) if source else 0.0
    threshold = _LIVE * (full if 0.0 < full < 1e6 else solved.network.harness.supply.nominal)
    steps = tuple(_step(solved, point, index, threshold) for point, index in hops)
    if not measured:
        steps = tuple(replace(step, volts=None, amps=None) for step in steps)
    regime: Regime = solved.regime if measured else "ohms"
    gaps = tuple(
        _gap(solved, index, (point, hops[place + 1][0]))
        for place, (point, index) in enumerate(hops)
        if _cut(solved, index)
    )
    return Route(role, number, regime, solved.setting, drawn.source, drawn.load, steps, gaps)


def _cut(solved: Flow, index: int) -> bool:
    return (
        index >= 0
        and not solved.conducts[index]
        and solved.network.branches[index].kind not in SOURCES[solved.regime]
    )


def _step(solved: Flow, point: str, index: int, threshold: float) -> Step:
    volts = 0.0 if point == FRAME else solved.at(point)
    grounded = point == FRAME or point in solved.grounded
    state: State = "live" if abs(volts) >= threshold else "dead" if grounded else "floating"
    if index < 0:
        return Step(point, volts, state)
    branch = solved.network.branches[index]
    conducts = bool(solved.conducts[index]) or branch.kind in SOURCES[solved.regime]
    return Step(
        point, volts, state, branch.id, branch.kind, branch.owner, conducts, solved.through(branch.id)
    )


def _gap(solved: Flow, index: int, points: tuple[str, str]) -> Gap:
    branch = solved.network.branches[index]
    return Gap(branch.id, branch.kind, branch.owner, points, why_open(solved, branch))
