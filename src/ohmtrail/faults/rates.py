"""How much more or less often than its kind an element fails, from what the harness says about it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from ohmtrail.faults.tables import factor
from ohmtrail.harness.model import Harness

__all__ = ["LATELY_YEARS", "Says", "Weighed", "contact_factor", "lead_factor", "part_factor", "weighed"]

_SEVENTIES = range(1965, 1985)
#: rates are per lead of this length; longer ones fail more often; common practice, no source
MEAN_LENGTH_M = 0.5
#: what was altered so many years ago or less is suspect first; common practice, no source
LATELY_YEARS = 3
_LEAKS = ("leak", "leak-at-volts", "neighbour", "moving-leak")


@dataclass(frozen=True)
class Says:
    """What the harness says about any lead or part that bears on its odds."""

    odds: float
    known_good: bool
    made: int | None
    renewed: int | None
    altered: int | None

    @classmethod
    def of(cls, item: Any) -> Says:
        """Read it off a lead or a part."""
        return cls(item.odds, item.known_good, item.made, item.renewed, item.altered)


def part_factor(says: Says, year: int) -> float:
    """Give the factor on a part's rates.

    Parameters
    ----------
    says : Says
        What the harness says of it.
    year : int
        The year it stands on the bench.

    Returns
    -------
    float
        Without unit.
    """
    result = says.odds
    result *= factor("all", "known-good") if says.known_good else 1.0
    result *= _altered(says, year)
    born = max((item for item in (says.made, says.renewed) if item is not None), default=None)
    if says.renewed is not None:
        result *= factor("all", "renewed")
    if born is not None and year - born >= 40:
        result *= factor("all", "forty-years")
    return result


def _altered(says: Says, year: int) -> float:
    """What work by hand does to the rates, less after some years."""
    if says.altered is None:
        return 1.0
    return factor("all", "altered" if year - says.altered <= LATELY_YEARS else "altered-long-ago")


@dataclass(frozen=True)
class Weighed:
    """Leads and parts that weigh otherwise because a hand has been at them.

    Attributes
    ----------
    how : str
        ``altered`` or ``renewed``.
    year : int
        When.
    factor : float
        On their rates, without unit.
    elements : tuple of str
        Leads and parts.
    """

    how: str
    year: int
    factor: float
    elements: tuple[str, ...]


def weighed(harness: Harness, year: int, *, among: Collection[str] | None = None) -> tuple[Weighed, ...]:
    """Give the leads and parts that weigh more or less because of what was done to them.

    Parameters
    ----------
    harness : Harness
        The machine.
    year : int
        The year it stands on the bench.
    among : collection of str, optional
        Only these leads and parts; all where not given.

    Returns
    -------
    tuple of Weighed
        What was altered last comes first, what was renewed last after it.
    """
    found: dict[tuple[str, int], list[str]] = {}
    for name, item in (*harness.leads.items(), *harness.parts.items()):
        for how in ("altered", "renewed"):
            when = getattr(item, how)
            if when is not None and (among is None or name in among):
                found.setdefault((how, when), []).append(name)
    made = []
    for (how, when), names in sorted(found.items(), key=lambda pair: (pair[0][0], -pair[0][1])):
        says = Says(1.0, known_good=False, made=None, renewed=None, altered=when)
        made.append(Weighed(how, when, _altered(says, year) if how == "altered" else factor("all", "renewed"), tuple(names)))
    return tuple(made)


def lead_factor(harness: Harness, lead_id: str, kind: str, year: int) -> float:
    """Give the factor on a lead's rate of one kind of fault.

    Parameters
    ----------
    harness : Harness
        The machine.
    lead_id, kind : str
        The lead, and the kind of fault.
    year : int
        The year it stands on the bench.

    Returns
    -------
    float
        Without unit.
    """
    lead = harness.leads[lead_id]
    loom = harness.looms.get(lead.loom or "")
    result = part_factor(Says.of(lead), year) * min(max(lead.length_m / MEAN_LENGTH_M, 0.3), 3.0)
    if loom is not None and loom.flexes_at:
        result *= factor("lead", "flexes")
    if kind not in _LEAKS:
        return result
    places = {harness.place_of(f"{lead_id}.from"), harness.place_of(f"{lead_id}.to"), *(loom.passes if loom else ())}
    if any(harness.places[place].hot for place in places if place is not None):
        result *= factor("lead-leak", "hot")
    made = lead.renewed or lead.made or harness.made
    if lead.ignition_stop and made in _SEVENTIES and kind != "neighbour":
        # the trade's observation has the period's rubber in it already
        return result * factor("lead-leak", "ignition-stop-of-the-seventies")
    covering = lead.covering or (loom.covering if loom else None)
    return result * (factor("lead-leak", covering or "unknown") if kind != "neighbour" else 1.0)


def contact_factor(harness: Harness, says: Says, place: str | None, year: int) -> float:
    """Give the factor on the rates of a joint, contact or earth at a place.

    Parameters
    ----------
    harness : Harness
        The machine.
    says : Says
        What the harness says of the part or lead it belongs to.
    place : str or None
        Where it is.
    year : int
        The year it stands on the bench.

    Returns
    -------
    float
        Without unit.
    """
    wet = place is not None and harness.places[place].wet
    return part_factor(says, year) * (factor("contact", "wet") if wet else 1.0)
