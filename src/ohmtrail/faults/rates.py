"""How much more or less often than its kind an element fails, from what the harness says about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ohmtrail.faults.tables import factor
from ohmtrail.harness.model import Harness

__all__ = ["Says", "contact_factor", "lead_factor", "part_factor"]

_SEVENTIES = range(1965, 1985)
#: rates are per lead of this length; longer ones fail more often; common practice, no source
MEAN_LENGTH_M = 0.5
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
    result *= factor("all", "altered") if says.altered is not None else 1.0
    born = max((item for item in (says.made, says.renewed) if item is not None), default=None)
    if says.renewed is not None:
        result *= factor("all", "renewed")
    if born is not None and year - born >= 40:
        result *= factor("all", "forty-years")
    return result


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
