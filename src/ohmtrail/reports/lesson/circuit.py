"""A machine's circuit as plain data, for the equations in the page."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from ohmtrail.circuit import Change, Network
from ohmtrail.circuit.branches import COLD_RATIO, Branch
from ohmtrail.circuit.changes import OPEN_OHM
from ohmtrail.circuit.draws import nominal
from ohmtrail.circuit.electrics import JUNCTION_V
from ohmtrail.circuit.equations import STRAY_S
from ohmtrail.circuit.laws import BEND_V, CHARGED_V, DIODE_V, LEAK_S, UPTAKE_BEND_V
from ohmtrail.circuit.needs import limits_of, load_branch, rated_volts
from ohmtrail.circuit.network import SURGE_OHM, law_values
from ohmtrail.diagnosis import PlantedFault
from ohmtrail.harness import Harness
from ohmtrail.harness.links import ENGINE_STATES
from ohmtrail.harness.parts import Module, Need, Points, Switch

__all__ = ["circuit_data", "fault_data"]

Json = dict[str, Any]

#: numbers of the laws and of the surroundings, so that the page has none of its own
_CONSTANTS = {
    "bend_v": BEND_V,
    "charged_v": CHARGED_V,
    "cold_ratio": COLD_RATIO,
    "diode_v": DIODE_V,
    "junction_v": JUNCTION_V,
    "leak_s": LEAK_S,
    "open_ohm": OPEN_OHM,
    "stray_s": STRAY_S,
    "surge_ohm": SURGE_OHM,
    "uptake_bend_v": UPTAKE_BEND_V,
}


def circuit_data(network: Network) -> Json:
    """Give nodes, branches, switches, conditions and constants of a machine.

    Parameters
    ----------
    network : Network
        Its circuit; every part at its stated value.

    Returns
    -------
    dict
        Plain values in SI units; -1 is the frame, and a number that is not finite is null.
    """
    harness = network.harness
    switches = [
        {"id": name, "rests": part.rests, "positions": list(part.positions), "worked": part.worked_by, "breaker": isinstance(part, Points)}
        for name, part in harness.parts.items()
        if isinstance(part, Switch)
    ]
    functions = [
        {"id": name, "when": _when(item.when), "needs": [_need(network, need) for need in item.needs]}
        for name, item in harness.functions.items()
    ]
    return {
        "constants": _CONSTANTS,
        "nodes": list(network.nodes),
        "branches": [_branch(network, branch, pair) for branch, pair in zip(network.branches, network.ends, strict=True)],
        "switches": switches,
        "engine": list(ENGINE_STATES) if _turns(harness) else ["still"],
        "functions": functions,
        "modules": {
            name: [_need(network, need) for need in part.needs] for name, part in harness.parts.items() if isinstance(part, Module)
        },
    }


def _turns(harness: Harness) -> bool:
    """Whether a turning engine makes a difference."""
    return any(part.kind in ("winding", "alternator", "dynamo") for part in harness.parts.values())


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _branch(network: Network, branch: Branch, ends: Iterable[int]) -> Json:
    """One branch, without what stands at its default."""
    a, b = (int(node) for node in ends)
    made: Json = {"id": branch.id, "kind": branch.kind, "owner": branch.owner, "a": a, "b": b, "ohm": _finite(branch.ohm)}
    if branch.dead_ohm != branch.ohm:
        made["dead"] = _finite(branch.dead_ohm)
    if branch.kind == "charger":
        made["top"] = _finite(branch.volts)
    elif branch.volts:
        made["volts"] = branch.volts
    more: Json = {
        "turning": dict(branch.turning),
        "hertz": dict(branch.hertz),
        "henry": branch.henry,
        "farad": branch.farad,
        "positions": sorted(branch.positions),
        "rests": branch.rests_closed,
        "factor": branch.factor,
    }
    made |= {key: value for key, value in more.items() if value}
    if branch.follows:
        made["follows"] = network.index[branch.follows]
    if branch.kind == "uptake":
        at = np.array([network.index[branch.id]])
        made["refuses"] = float(law_values(network, nominal(network.branches), at)[0][0])
    return made


def _when(when: Mapping[str, str]) -> Json:
    """Switch positions apart from engine and battery."""
    made: Json = {"positions": {name: word for name, word in when.items() if name not in ("engine", "battery")}}
    if "engine" in when:
        made["engine"] = when["engine"]
    if "battery" in when:
        made["battery"] = when["battery"] == "on"
    return made


def _need(network: Network, need: Need) -> Json:
    """One condition with its bounds as numbers."""
    good, weak, upward = limits_of(need)
    made: Json = {"kind": need.quantity, "good": good, "weak": weak, "upward": upward, "when": _when(need.when)}
    pair = need.dc or need.ac or need.pulse or need.ohms
    if pair is not None:
        return made | {"pair": [network.node_index[point] for point in pair]}
    if need.sound is not None:
        return made | {"owned": list(network.owned.get(need.sound, ()))}
    index = load_branch(network, need.lit or need.works or "")
    return made | {"kind": "share", "branch": index, "rated": rated_volts(network, index)}


def fault_data(network: Network, planted: PlantedFault) -> list[Json]:
    """Give what a fault does to the circuit.

    Parameters
    ----------
    network : Network
        The circuit.
    planted : PlantedFault
        The fault at one severity.

    Returns
    -------
    list of dict
        Its changes, in order.
    """
    return [_change(network, change) for change in planted.changes(network)]


def _change(network: Network, change: Change) -> Json:
    if change.branch:
        return {"mode": int(change.mode), "branch": network.index[change.branch], "value": _finite(change.value)}
    a, b = network.node_index[change.a], network.node_index[change.b]
    return {"mode": int(change.mode), "branch": -1, "a": a, "b": b, "value": _finite(change.value)}
