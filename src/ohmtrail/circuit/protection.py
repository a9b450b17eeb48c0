"""Checks on fuses: what stands behind none, what is too thin for its fuse, what carries too much."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from ohmtrail.circuit.bench import Bench
from ohmtrail.circuit.branches import Branch
from ohmtrail.circuit.kinds import earthed, passes
from ohmtrail.circuit.network import Network
from ohmtrail.harness.findings import Finding
from ohmtrail.harness.fuses import fuse_kinds, standard_fuse_ratings_a
from ohmtrail.harness.model import Harness, Lead
from ohmtrail.harness.parts import Fuse
from ohmtrail.harness.standards import guide_current_a

__all__ = ["battery_poles", "behind_fuse", "large_fuses", "overloads", "unfused_leads"]

#: leads of this size and more are taken for starter leads, which are not fused; common practice, no source
STARTER_MM2 = 10.0
#: a lead may run so far from the battery to its fuse; common practice, no source
TO_FUSE_M = 0.3


def unfused_leads(bench: Bench) -> Iterator[Finding]:
    """Yield leads that the battery feeds with no fuse between; starter leads and short feeds are passed.

    Parameters
    ----------
    bench : Bench
        The machine under check.

    Yields
    ------
    Finding
        One a lead; sizes in mm², fuse in ampere.
    """
    reached = _walk(bench.network, battery_poles(bench.harness), lambda branch: branch.kind == "fuse")
    sizes = {lead_id: bench.harness.leads[lead_id].size_mm2 for lead_id, far_m in reached.items() if far_m > TO_FUSE_M}
    bare = {lead_id: size for lead_id, size in sizes.items() if size < STARTER_MM2}
    for lead_id, size in bare.items():
        # one fuse at the battery has the thinnest of them behind it
        carries = guide_current_a(min(bare.values()))
        remedy = f"put a fuse of at most {carries:.0f} A within {TO_FUSE_M:g} m of the battery, or mind that a short to the frame burns this lead"
        sentence = f"lead {lead_id} ({size:g} mm²) is fed by the battery with no fuse between"
        yield Finding("unfused", ("leads", lead_id), sentence, remedy, shared="battery")


def battery_poles(harness: Harness) -> list[str]:
    """Give the poles of the batteries that are not earthed.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    list of str
        Terminals.
    """
    pole, _ = harness.supply.posts
    return [f"{name}.{pole}" for name, part in harness.parts.items() if part.kind == "battery"]


def large_fuses(bench: Bench) -> Iterator[Finding]:
    """Yield leads behind a fuse that lets more through than the lead can carry.

    Parameters
    ----------
    bench : Bench
        The machine under check.

    Yields
    ------
    Finding
        One a fuse and lead; serious where the lead's size is known.
    """
    for name, part in bench.harness.parts.items():
        if isinstance(part, Fuse):
            behind = {lead_id: bench.harness.leads[lead_id] for lead_id in behind_fuse(bench.network, name)}
            yield from _too_large(name, part, {lead_id: lead for lead_id, lead in behind.items() if lead.size is not None or lead.resistance is None})


def _too_large(name: str, part: Fuse, behind: Mapping[str, Lead]) -> Iterator[Finding]:
    """Findings about one fuse; what is said to do holds for the thinnest lead behind it."""
    carry = {lead_id: guide_current_a(lead.size_mm2) for lead_id, lead in behind.items()}
    kind = part.body if part.body in fuse_kinds() else "glass"
    fits = [rating for rating in standard_fuse_ratings_a(kind) if rating <= min(carry.values(), default=0.0)]
    remedy = f"fit a fuse of {max(fits):g} A or less, if its loads allow, or a thicker lead" if fits else "thicker lead"
    for lead_id, lead in behind.items():
        if part.rating > carry[lead_id]:
            assumed = "" if lead.size is not None else " (size not given, assumed)"
            sentence = f"fuse {name} is {part.rating:g} A; lead {lead_id} behind it, {lead.size_mm2:g} mm²{assumed}, carries {carry[lead_id]:.0f} A"
            yield Finding("large-fuse", ("leads", lead_id, "size"), sentence, remedy, serious=lead.size is not None, shared=name)


def behind_fuse(network: Network, fuse: str) -> list[str]:
    """Give the leads from a fuse's side away from the battery, or else the generator, to the next fuse, load or metal.

    Parameters
    ----------
    network : Network
        The circuit.
    fuse : str
        The fuse.

    Returns
    -------
    list of str
        Leads; empty where the fuse is fed from both sides or from none.
    """
    mine, any_fuse = (lambda branch: branch.id == fuse), (lambda branch: branch.kind == "fuse")
    for starts in (battery_poles(network.harness), _generators(network)):
        met = _points(network, [point for point in starts if point in network.node_index], mine)
        sides = [side for side in (f"{fuse}.1", f"{fuse}.2") if side not in met]
        if len(sides) == 1:
            return list(_walk(network, sides, any_fuse))
    return []


def _generators(network: Network) -> list[str]:
    """Live terminals of what makes current beside the battery."""
    found = [item for item in network.branches if item.kind in ("winding", "charger")]
    metal = earthed(network)
    return [point for item in found for point in (item.a, item.b) if point not in metal]


def _walk(network: Network, starts: list[str], stops: Callable[[Branch], bool]) -> dict[str, float]:
    """Leads met on the way from some points, every switch closed -> metres to the lead's far end."""
    owners: dict[str, float] = {}
    for _, branch, far_m in _spread(network, starts, stops):
        if branch.kind == "lead":
            owners.setdefault(branch.owner, far_m)
    return owners


def _points(network: Network, starts: list[str], stops: Callable[[Branch], bool]) -> set[str]:
    """Points met on the way from some points, every switch closed."""
    return set(starts) | {point for point, _, _ in _spread(network, starts, stops)}


def _spread(
    network: Network, starts: list[str], stops: Callable[[Branch], bool]
) -> Iterator[tuple[str, Branch, float]]:
    """Yield each point when it is first met, the branch that led there, and the metres of lead to it."""
    at: dict[str, list[Branch]] = {}
    for branch in network.branches:
        if passes(network, branch) and not stops(branch):
            at.setdefault(branch.a, []).append(branch)
            at.setdefault(branch.b, []).append(branch)
    met, queue = earthed(network) | set(starts), [(point, 0.0) for point in starts]
    while queue:
        here, far_m = queue.pop(0)
        for branch in at.get(here, ()):
            there = branch.b if branch.a == here else branch.a
            if there not in met:
                met |= {there}
                length_m = network.harness.leads[branch.owner].length_m if branch.kind == "lead" else 0.0
                yield there, branch, far_m + length_m
                queue.append((there, far_m + length_m))


def overloads(bench: Bench) -> Iterator[Finding]:
    """Yield fuses, switches, relays and leads that carry more than they may in one of the functions.

    Parameters
    ----------
    bench : Bench
        The machine under check.

    Yields
    ------
    Finding
        One a part or lead, at its greatest current in ampere; serious for a fuse.
    """
    worst: dict[str, tuple[float, str, Branch]] = {}
    for name, flow in bench.flows:
        for branch in bench.network.branches:
            if branch.kind in ("fuse", "switch", "relay-contact", "lead"):
                amps = flow.through(branch.id)
                cranking = branch.kind == "lead" and flow.setting.engine == "cranking"
                if not cranking and amps > worst.get(branch.id, (0.0,))[0]:
                    worst[branch.id] = (amps, name, branch)
    for amps, name, branch in worst.values():
        most = _most_a(bench.harness, branch)
        if most is not None and amps > most:
            yield _overload(branch, amps, most, name)


def _most_a(harness: Harness, branch: Branch) -> float | None:
    """Amps that a lead or part is made for; None where nobody says."""
    if branch.kind == "lead":
        return guide_current_a(harness.leads[branch.owner].size_mm2)
    return getattr(harness.parts[branch.owner], "rating", None)


def _overload(branch: Branch, amps: float, most: float, function: str) -> Finding:
    section = "leads" if branch.kind == "lead" else "parts"
    words = {"lead": "lead", "fuse": "fuse", "switch": "switch", "relay-contact": "relay"}[branch.kind]
    sentence = (
        f"{words} {branch.owner} carries {amps:.3g} A in function {function} and is good for {most:.3g} A"
    )
    remedy = "check the watts and ohms of what it feeds, and its own size or rating"
    return Finding("overload", (section, branch.owner), sentence, remedy, serious=branch.kind == "fuse")
