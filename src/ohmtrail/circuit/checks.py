"""Findings about a usable harness that need its circuit: one small function per finding."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import networkx as nx

from ohmtrail.circuit.astray import astray_of
from ohmtrail.circuit.bench import Bench
from ohmtrail.circuit.branch_kinds import SUPPLIES
from ohmtrail.circuit.branches import Branch, lead_ohm
from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.kinds import earthed, is_load
from ohmtrail.circuit.needs import BRIGHT, FAILS, RUNS, WORKS, Checked, function_setting, met
from ohmtrail.circuit.network import Network
from ohmtrail.circuit.protection import battery_poles, large_fuses, overloads, unfused_leads
from ohmtrail.circuit.steps import Route
from ohmtrail.circuit.turning import starts
from ohmtrail.circuit.unmet import what_to_check
from ohmtrail.harness.findings import Finding
from ohmtrail.harness.model import FRAME
from ohmtrail.harness.parts import Need
from ohmtrail.units import show

__all__ = ["CIRCUIT_CHECKS", "check_circuit"]

#: share of its volts that a load may lose in leads; the file's own rule for a finding
_MOST_LOST = 0.10
#: share of its rated volts beyond which a lamp does not last; common practice, no source
_MOST_FED = 1.25
#: share of the supply under which a battery under load is too small or too weak; common practice, no source
_LEAST_BATTERY = 0.70


def check_circuit(electrics: Electrics) -> tuple[Finding, ...]:
    """Run every check that needs the circuit.

    Parameters
    ----------
    electrics : Electrics
        The machine, with the healthy draws that functions are tried on.

    Returns
    -------
    tuple of Finding
        In the order of `CIRCUIT_CHECKS`.

    Notes
    -----
    Cost: each function solved on each draw, and traced once.
    """
    bench = Bench(electrics)
    return tuple(finding for check in CIRCUIT_CHECKS for finding in check(bench))


def cut_off_loads(bench: Bench) -> Iterator[Finding]:
    """Yield loads with an end that leads nowhere, or with no way to a supply, even with all closed."""
    network, metal = bench.network, earthed(bench.network)
    told: set[str] = set()
    for index, branch in enumerate(network.branches):
        if not is_load(network, branch) or branch.owner in told or branch.kind == "load":
            continue
        near = [_reached(network, point, index) for point in (branch.a, branch.b)]
        dead = [
            point
            for point, met_there in zip((branch.a, branch.b), near, strict=True)
            if not _ends_well(network, met_there)
        ]
        if dead:
            told.add(branch.owner)
            sentence = f"{branch.id} has no way from {' and '.join(dead)} to the frame or to a supply"
            yield Finding(
                "cut-off",
                ("parts", branch.owner),
                sentence,
                f"add the lead that {dead[0]} is missing",
                serious=True,
            )
        elif not (_gives(branch) or any(_feeds(network, met_there, metal, index) for met_there in near)):
            told.add(branch.owner)
            sentence = f"{branch.id} has no way to a supply, whatever the switches"
            yield Finding(
                "unfed", ("parts", branch.owner), sentence, "add the lead that feeds it", serious=True
            )


def _reached(network: Network, start: str, without: int) -> frozenset[str]:
    """Points joined to one with everything closed, without passing the machine's metal."""
    metal = earthed(network)
    graph: nx.Graph[str] = nx.Graph([(start, start)])
    for index, branch in enumerate(network.branches):
        if index != without and branch.kind not in ("insulation", "capacitor"):
            graph.add_edge(
                *(point if point not in metal else f"{FRAME}:{index}" for point in (branch.a, branch.b))
            )
    found = nx.node_connected_component(graph, start)
    return frozenset(FRAME if point.startswith(f"{FRAME}:") else point for point in found) | (
        {FRAME} if start in metal else set()
    )


def _gives(branch: Branch) -> bool:
    """Whether a branch is a source; an ignition coil's secondary is one to the plug."""
    return branch.kind in SUPPLIES or (branch.kind == "coil" and branch.id.endswith(".secondary"))


def _ends_well(network: Network, points: frozenset[str]) -> bool:
    return FRAME in points or any(
        item.kind in SUPPLIES and {item.a, item.b} & points for item in network.branches
    )


def _feeds(network: Network, points: frozenset[str], metal: frozenset[str], without: int) -> bool:
    """Whether a source's live terminal is among points."""
    return any(
        _gives(item) and index != without and ({item.a, item.b} - metal) & points
        for index, item in enumerate(network.branches)
    )


def unmet_functions(bench: Bench) -> Iterator[Finding]:
    """Yield conditions that are not met although everything is sound."""
    for name, error in bench.failures.items():
        remedy = "check the switches and relays that the function needs"
        yield Finding(
            "unsolved",
            ("functions", name),
            f"function {name} cannot be solved: {error}",
            remedy,
            serious=True,
        )
    for name, trace in bench.traces.items():
        for index, checked in enumerate(trace.checked):
            path = ("functions", name, "needs", index)
            if checked.level < WORKS:
                sentence = f"function {name} is not met with everything sound: {_comes_to(checked)}"
                remedy = what_to_check(bench.harness, trace, index)
                yield Finding("unmet", path, sentence, remedy, serious=True)
            else:
                yield from _on_draws(bench.electrics, name, checked, path)


def astray_leads(bench: Bench) -> Iterator[Finding]:
    """Yield the single changes to the file by which all of its functions would work, where some do not."""
    astray = astray_of(bench.electrics)
    if astray is not None and astray.amendments:
        first = astray.amendments[0]
        path = ("leads", first.leads[0]) if first.leads else ("parts", bench.harness.terminals[first.ends[0]][0])
        sentence = f"one change to the file would do for {' and '.join(astray.functions)}: {astray.words()}"
        yield Finding("astray", path, sentence, "look there on the machine, and write what is so", serious=True)


def _on_draws(
    electrics: Electrics, name: str, checked: Checked, path: tuple[str | int, ...]
) -> Iterator[Finding]:
    """One finding if a condition is met on the nominal machine but not on all within tolerance."""
    setting = function_setting(electrics.harness, electrics.harness.functions[name])
    count = len(electrics.draws) - 1
    levels = [
        int(met(electrics, checked.need, setting, electrics.sound, draw)[0]) for draw in range(1, count + 1)
    ]
    short = sum(level < WORKS for level in levels)
    if short:
        fails = sum(level == FAILS for level in levels)
        sentence = (
            f"function {name}: {_comes_to(checked)}, but {short} of {count} sound machines within tolerance "
        )
        sentence += f"miss it, {fails} of them by far" if fails else "meet it only weakly"
        limit = "at_least" if checked.need.at_least else "at_most" if checked.need.at_most else ""
        remedy = f"widen its '{limit}:'" if limit else "check size and length of the leads on its path"
        remedy += ", or narrow the tolerances ('± 5 %') of the parts there"
        yield Finding("narrow", path, sentence, remedy, serious=fails > 0)


def _comes_to(checked: Checked) -> str:
    """A condition with the value it comes to and the limit."""
    need = checked.need
    if need.lit or need.works:
        wanted = BRIGHT if need.lit else RUNS
        return f"{need.lit or need.works} gets {checked.value * 100:.0f} % of its volts, {wanted * 100:.0f} % wanted"
    if need.sound:
        return f"{need.sound} is not sound"
    pair = need.dc or need.ac or need.pulse or need.ohms or ("", "")
    unit = "ohm" if need.quantity == "ohms" else "volt"
    limit = f"at least {need.at_least}" if need.at_least else f"at most {need.at_most}"
    return f"{need.quantity} {pair[0]} to {pair[1]} comes to {show(checked.value, unit)}, {limit} wanted"


def lost_volts(bench: Bench) -> Iterator[Finding]:
    """Yield loads that lose more than a tenth of their volts in the copper of their leads."""
    for name, trace in bench.traces.items():
        for route in trace.of("main"):
            if _is_load(trace.function.needs[route.need]) and route.regime in ("dc", "ac"):
                # a way back that several conditions share is told once
                back = [item for item in trace.of("return") if item.source == route.source]
                yield from _lost(bench, name, route, back[:1])


def _is_load(need: Need) -> bool:
    return need.lit is not None or need.works is not None


def _lost(bench: Bench, name: str, route: Route, back: list[Route]) -> Iterator[Finding]:
    load = bench.network.branches[bench.network.index[route.load]]
    rated = _rated(bench, load)
    drops = {
        step.owner: step.amps * lead_ohm(bench.harness.leads[step.owner])
        for part in (route, *back)
        for step in part.steps
        if step.kind == "lead" and step.amps is not None
    }
    lost = sum(drops.values())
    if lost > _MOST_LOST * rated:
        worst = max(drops, key=lambda lead: drops[lead])
        lead = bench.harness.leads[worst]
        sentence = f"the leads cost {load.id} {lost:.2f} V of {rated:g} V in function {name}, most of it "
        sentence += f"{worst} ({lead.size_mm2:g} mm², {lead.length_m:g} m: {drops[worst]:.2f} V)"
        wanted = lead.size_mm2 * lost / (_MOST_LOST * rated)
        remedy = f"check its size and length; about {wanted:.1f} mm² throughout would keep within a tenth"
        yield Finding("lost-volts", ("leads", worst, "size"), sentence, remedy)


def _rated(bench: Bench, load: Branch) -> float:
    return load.volts if load.kind == "filament" else bench.harness.supply.nominal


def overfed_lamps(bench: Bench) -> Iterator[Finding]:
    """Yield lamps that get far more than their rated volts when they are to be lit."""
    for name, trace in bench.traces.items():
        for index, checked in enumerate(trace.checked):
            if checked.need.lit and checked.value > _MOST_FED:
                sentence = f"{checked.need.lit} gets {checked.value * 100:.0f} % of its volts in function {name}"
                remedy = "check the regulator's limit and the lamp's volts; it would soon burn out"
                yield Finding("overfed", ("functions", name, "needs", index), sentence, remedy)


def unsaid_turning(bench: Bench) -> Iterator[Finding]:
    """Functions that turn the starter by a file that has the engine stand still in them."""
    for name, function in bench.harness.functions.items():
        setting = function_setting(bench.harness, function)
        if setting.engine == "still" and setting.battery and starts(bench.harness, function):
            sentence = f"function {name} works the starter, and has the engine stand still"
            yield Finding("turns", ("functions", name), sentence, "write 'engine: cranking' among its conditions, so that nobody's hands are near")


def earthed_poles(bench: Bench) -> Iterator[Finding]:
    """Yield batteries whose pole on the frame is the one that the file takes for live."""
    harness = bench.harness
    joined: nx.Graph[str] = nx.Graph()
    live, earth = harness.supply.posts
    joined.add_edges_from((lead.from_, lead.to) for lead in harness.leads.values())
    joined.add_edges_from((item.a, item.b) for item in bench.network.branches if item.kind in ("earth", "contact"))
    on_frame = nx.node_connected_component(joined, FRAME) if FRAME in joined else set()
    for name, part in harness.parts.items():
        if part.kind == "battery" and f"{name}.{live}" in on_frame and f"{name}.{earth}" not in on_frame:
            pole = {"+": "positive", "-": "negative"}[live]
            sentence = f"{name}.{live} is on the frame, and the file takes the machine for {harness.supply.earthed} earth"
            yield Finding("earthed-pole", ("leads", harness.lead_ends[harness.leads_at[f"{name}.{live}"][0]][0]), sentence, f"write 'earthed: {pole}' under 'supply:'", serious=True)


def weak_batteries(bench: Bench) -> Iterator[Finding]:
    """Yield batteries whose volts give way under a function's load."""
    least: dict[str, tuple[float, str]] = {}
    for name, flow in bench.flows:
        for pole in battery_poles(bench.harness) if flow.regime == "dc" else ():
            battery = pole.rpartition(".")[0]
            volts = flow.across(battery)
            if volts < least.get(battery, (float("inf"),))[0]:
                least[battery] = (volts, name)
    for battery, (volts, name) in least.items():
        if volts < _LEAST_BATTERY * bench.harness.supply.nominal:
            sentence = f"{battery} gives way to {volts:.1f} V in function {name}"
            remedy = "check its resistance and what it feeds there: it is too small for the load"
            yield Finding("weak-battery", ("parts", battery), sentence, remedy)


#: every check of this module, in the order in which findings are told
CIRCUIT_CHECKS: tuple[Callable[[Bench], Iterator[Finding]], ...] = (
    cut_off_loads,
    earthed_poles,
    unmet_functions,
    unsaid_turning,
    astray_leads,
    large_fuses,
    overloads,
    unfused_leads,
    lost_volts,
    overfed_lamps,
    weak_batteries,
)
