"""Why a load does not get its volts although everything is sound: what is open on its way, or what takes them."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from ohmtrail.circuit.needs import turned_round
from ohmtrail.circuit.steps import Route, Trace
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Battery
from ohmtrail.units import show

__all__ = ["what_to_check"]

#: so many takers of volts are told
_TAKERS = 3
#: and only what takes this share of the supply at least; own choice
_LEAST_SHARE = 0.02
#: share of a load's volts below which nothing but what creeps through insulation gets there; own choice
_NOTHING = 0.001
_ANYTHING = "check the limit, and the switches, sizes and values of the parts on its path"
_NO_WAY = "no current gets there: check that every terminal on its way has its lead, and the positions in 'when:'"


def what_to_check(harness: Harness, trace: Trace, need: int) -> str:
    """Say where the volts of a condition stay.

    Parameters
    ----------
    harness : Harness
        The machine.
    trace : Trace
        The function, with every part sound.
    need : int
        Which of its conditions, counted from nought.

    Returns
    -------
    str
        What to look at: the gap, or the elements that take most volts with what each takes.
    """
    checked = trace.checked[need]
    if (pair := checked.need.dc) and turned_round(checked):
        return f"the two points are the wrong way round: write 'dc: [{pair[1]}, {pair[0]}]'"
    ways = [route for route in trace.routes if route.need == need and route.role in ("main", "return")]
    gap = next((gap for route in ways for gap in route.gaps), None)
    if gap is not None:
        why = f" ({gap.why})" if gap.why else ""
        return f"the way is open at {gap.owner or gap.branch}{why}: set it in 'when:', or mend the file there"
    if (checked.need.lit or checked.need.works) and checked.value < _NOTHING:
        return _NO_WAY
    taken = {**_taken(ways), **_in_battery(harness, ways)}
    told = sorted(taken, key=lambda name: -taken[name])[:_TAKERS]
    told = [name for name in told if taken[name] > _LEAST_SHARE * harness.supply.nominal]
    if not told:
        return _ANYTHING
    return f"most volts stay in {', '.join(_taker(harness, name, taken[name]) for name in told)}: check these, and what the load is said to draw"


def _taken(ways: Iterable[Route]) -> dict[str, float]:
    """Volts that stay in each element on the way, the load itself and the source's own volts left out."""
    taken: dict[str, float] = {}
    for route in ways:
        for step, after in pairwise(route.steps):
            if step.branch == route.load or step.volts is None or after.volts is None or not step.owner:
                continue
            taken[step.owner] = taken.get(step.owner, 0.0) + abs(step.volts - after.volts)
        for step in route.steps:
            if step.branch == route.load:
                taken.pop(step.owner, None)
    return taken


def _in_battery(harness: Harness, ways: Iterable[Route]) -> dict[str, float]:
    """Volts that stay inside of the battery: what it has at rest less what its poles show."""
    ends = {step.point: step.volts for route in ways for step in route.steps if step.volts is not None}
    for name, part in harness.parts.items():
        plus, minus = ends.get(f"{name}.+"), ends.get(f"{name}.-")
        if isinstance(part, Battery) and plus is not None and minus is not None:
            return {name: part.volts_at("volts", harness.supply.nominal) - (plus - minus)}
    return {}


def _taker(harness: Harness, name: str, volts: float) -> str:
    lead = harness.leads.get(name)
    facts = [show(volts, "volt")]
    if lead is not None:
        facts += [show(lead.size_mm2, "square millimetre"), show(lead.length_m, "metre")]
        facts += ["assumed"] if lead.assumed() else []
    return f"{name} ({', '.join(facts)})"
