"""What every lead carries in a setting: live, dead or floating, volts and amps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import networkx as nx

from ohmtrail.circuit import Electrics, Setting
from ohmtrail.circuit.branches import lead_ohm
from ohmtrail.circuit.network import Regime
from ohmtrail.harness import FRAME, Harness
from ohmtrail.units import show

__all__ = ["DEAD", "FLOATING", "LIVE", "States", "lead_states", "passes", "pulled_contacts"]

LIVE, DEAD, FLOATING = "live", "dead", "floating"
#: least volts against frame that count as live; pulses lift their earth lead by more; own choice
LIVE_V = {"dc": 0.2, "ac": 0.2, "pulse": 5.0}
#: least current that is printed, ampere; own choice
SHOWN_A = 0.02
#: parts that only pass a current on: no amps beside them
_PASSING = frozenset({"connector", "fuse", "switch", "earth", "metal", "frame"})


@dataclass(frozen=True)
class States:
    """What the leads of a picture carry.

    Attributes
    ----------
    kind : dict of str to str
        Lead -> `LIVE`, `DEAD` or `FLOATING`; empty where no setting was worked out.
    volts : dict of str to (str, str)
        Lead -> volts against frame at its ``from`` and ``to`` ends, in words; empty where not live.
    amps : dict of str to str
        Lead -> current, in words, where it matters.
    """

    kind: dict[str, str]
    volts: dict[str, tuple[str, str]]
    amps: dict[str, str]

    def words(self, lead: str) -> str:
        """One phrase for a lead's title."""
        kind = self.kind.get(lead, "")
        volts = self.volts.get(lead, ("", ""))[0]
        return ", ".join(word for word in (kind, volts, self.amps.get(lead, "")) if word)


def pulled_contacts(electrics: Electrics, setting: Setting) -> frozenset[str]:
    """Give the relay contacts that conduct in a setting, by branch id.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    setting : Setting
        State of the machine.

    Returns
    -------
    frozenset of str
        Ids of branches.
    """
    branches = electrics.network.branches
    if not any(branch.kind == "relay-contact" for branch in branches):
        return frozenset()
    pulled = electrics.pulled(setting, electrics.sound, 0)[0]
    return frozenset(branch.id for branch, on in zip(branches, pulled, strict=True) if branch.kind == "relay-contact" and on)


def lead_states(electrics: Electrics, setting: Setting, leads: Iterable[str], pulled: frozenset[str] = frozenset()) -> States:
    """Work out what leads carry on the sound machine.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    setting : Setting
        Its state.
    leads : iterable of str
        Which leads.
    pulled : frozenset of str
        Relay contacts that conduct.

    Returns
    -------
    States
        Direct volts, or alternating and pulse volts marked so, whichever is most.
    """
    leads = sorted(leads)
    joined = _earthed(electrics, setting, pulled)
    found = {regime: _read(electrics, setting, leads, regime) for regime in _regimes(electrics, setting)}
    kind: dict[str, str] = {}
    volts: dict[str, tuple[str, str]] = {}
    amps: dict[str, str] = {}
    for lead in leads:
        if f"{lead}.from" not in joined:
            kind[lead] = FLOATING
            continue
        regime = max(found, key=lambda name: max(abs(value) for value in found[name][lead][:2]) / LIVE_V[name])
        start, end, _ = found[regime][lead]
        kind[lead] = LIVE if max(abs(start), abs(end)) >= LIVE_V[regime] else DEAD
        if kind[lead] == LIVE:
            volts[lead] = (_volts(start, regime), _volts(end, regime))
        current = max((abs(row[lead][2]) for name, row in found.items() if name != "pulse"), default=0.0)
        ohm = lead_ohm(electrics.harness.leads[lead])
        if current / ohm >= SHOWN_A and not passes(electrics.harness, lead):
            amps[lead] = show(current / ohm, "ampere", digits=2)
    return States(kind, volts, amps)


def _regimes(electrics: Electrics, setting: Setting) -> tuple[Regime, ...]:
    if setting.engine == "still":
        return ("dc",)
    kinds = {branch.kind for branch in electrics.network.branches}
    more: tuple[Regime, ...] = ("ac",) if "winding" in kinds else ()
    return ("dc", *more, "pulse") if "delivers" in kinds else ("dc", *more)


def _read(electrics: Electrics, setting: Setting, leads: Sequence[str], regime: Regime) -> dict[str, tuple[float, float, float]]:
    """Lead -> volts at its two ends and along it."""
    pairs = [pair for lead in leads for pair in ((f"{lead}.from", FRAME), (f"{lead}.to", FRAME), (f"{lead}.from", f"{lead}.to"))]
    if not pairs:
        return {}
    values = electrics.read(regime, setting, pairs).value[0, 0]
    return {lead: (float(values[3 * i]), float(values[3 * i + 1]), float(values[3 * i + 2])) for i, lead in enumerate(leads)}


def _earthed(electrics: Electrics, setting: Setting, pulled: frozenset[str]) -> set[str]:
    """Points that something joins to the frame."""
    graph = electrics.network.graph(setting)
    for branch in electrics.network.branches:
        if branch.id in pulled or branch.kind == "load":
            graph.add_edge(branch.a, branch.b)
    return set(nx.node_connected_component(graph, FRAME))


def _volts(value: float, regime: Regime) -> str:
    mark = {"dc": "", "ac": " ~", "pulse": " pk"}[regime]
    return show(value, "volt", digits=3 if abs(value) >= 10.0 else 2).replace("-", "−") + mark


def passes(harness: Harness, lead: str) -> bool:
    """Whether both ends of a lead are on parts that only hand the current on.

    Parameters
    ----------
    harness : Harness
        The machine.
    lead : str
        Its id.

    Returns
    -------
    bool
        Whether they are.
    """
    ends = (harness.leads[lead].from_, harness.leads[lead].to)
    kinds = {"frame" if (part := harness.terminals[end][0]) == FRAME else harness.parts[part].kind for end in ends}
    return kinds <= _PASSING
