"""What a change asks for: parts to buy, leads to cut, and the metres of each colour and size."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ohmtrail.changes.compare import Comparison
from ohmtrail.changes.identity import Difference
from ohmtrail.harness import FRAME, Harness, Lead
from ohmtrail.harness.text import Plain

__all__ = ["Bought", "Cut", "Reel", "cut_length_m", "leads_to_cut", "parts_to_buy", "reels"]

#: what a lead is cut longer than it lies: a share for its way round corners, and a length for stripping both ends
#: and making one joint again; common practice, no source
SLACK, ENDS_M = 0.05, 0.06
#: values of a lead that cannot be changed on the old one
_MADE_NEW = frozenset(("size", "colour", "covering", "material", "renewed"))


@dataclass(frozen=True)
class Cut:
    """One lead to cut and make up.

    Attributes
    ----------
    id : str
        The lead.
    lead : Lead
        As it is to be.
    cut_m : float
        Length to cut, metre.
    ends : tuple of (str, str)
        For each end the terminal it goes to, and what it is made up with.
    reason : str
        new, renewed or longer.
    """

    id: str
    lead: Lead
    cut_m: float
    ends: tuple[tuple[str, str], tuple[str, str]]
    reason: str


@dataclass(frozen=True)
class Bought:
    """One part to buy: what it is, where it goes, and its values as they are written."""

    id: str
    kind: str
    called: str
    place: str
    values: tuple[tuple[str, Plain], ...]


@dataclass(frozen=True)
class Reel:
    """Lead of one colour, size and covering: metres to have at hand, and how many leads come off it."""

    colour: str
    size_mm2: float
    covering: str
    metres: float
    leads: int


def cut_length_m(length_m: float) -> float:
    """Give the length to cut for a lead that lies over some length.

    Parameters
    ----------
    length_m : float
        As it lies, metre.

    Returns
    -------
    float
        Metre, rounded up to a centimetre.

    Examples
    --------
    >>> cut_length_m(1.0)
    1.11
    """
    return math.ceil(round((length_m * (1.0 + SLACK) + ENDS_M) * 100.0, 6)) / 100.0


def leads_to_cut(found: Comparison) -> tuple[Cut, ...]:
    """Give the leads that must be made: new ones, renewed ones, and those that have become too short.

    Parameters
    ----------
    found : Comparison
        Before and after.

    Returns
    -------
    tuple of Cut
        In the order of the harness file.
    """
    harness = found.new.harness
    made = {}
    for item in found.differences:
        if item.section == "leads" and item.kind in ("added", "changed") and (reason := _reason(found, item)):
            lead = harness.leads[item.id]
            ends = ((lead.from_, _made_up(harness, lead.from_)), (lead.to, _made_up(harness, lead.to)))
            made[item.id] = Cut(item.id, lead, cut_length_m(lead.length_m), ends, reason)
    return tuple(made[name] for name in harness.leads if name in made)


def _reason(found: Comparison, item: Difference) -> str:
    if item.kind == "added":
        return "new"
    if {value.key for value in item.values} & _MADE_NEW:
        return "renewed"
    before, after = found.old.harness.leads[item.id], found.new.harness.leads[item.id]
    return "longer" if after.length_m > before.length_m + 1e-9 else ""


def _made_up(harness: Harness, terminal: str) -> str:
    """What an end is made up with, by the part it goes to; common practice, no source."""
    part = harness.terminals[terminal][0]
    kind = FRAME if part == FRAME else harness.parts[part].kind
    if kind in (FRAME, "earth", "metal", "battery"):
        return "ring terminal"
    if kind == "connector":
        return "contact of the connector"
    return "splice" if kind == "splice" else "terminal that fits the part"


def parts_to_buy(found: Comparison) -> tuple[Bought, ...]:
    """Give the parts that are there after and not before, or are of another kind or value.

    Parameters
    ----------
    found : Comparison
        Before and after.

    Returns
    -------
    tuple of Bought
        In the order of the harness file.
    """
    told = ("kind", "at", "called", "note", "altered", "made", "renewed", "mounts", "original")
    made = []
    for item in found.differences:
        if item.section != "parts" or item.kind not in ("added", "changed") or not _is_new(item):
            continue
        part = found.new.harness.parts[item.id]
        data = found.new.data["parts"] if isinstance(found.new.data, dict) else {}
        said = data[item.id] if isinstance(data, dict) else {}
        values = tuple((key, value) for key, value in (said.items() if isinstance(said, dict) else ()) if key not in told)
        place = found.new.harness.places[part.at].called or part.at
        made.append(Bought(item.id, part.kind, part.called, place, values))
    return tuple(made)


def _is_new(item: Difference) -> bool:
    """A changed part is another one where a hand has put it there: exchanged, not only measured again."""
    return item.kind == "added" or any(value.key in ("kind", "altered", "renewed") for value in item.values)


def reels(cuts: Iterable[Cut]) -> tuple[Reel, ...]:
    """Sum up the lead to have at hand.

    Parameters
    ----------
    cuts : iterable of Cut
        Leads to cut.

    Returns
    -------
    tuple of Reel
        By colour, size and covering.
    """
    found: dict[tuple[str, float, str], list[Cut]] = {}
    for cut in cuts:
        found.setdefault((cut.lead.colour, cut.lead.size_mm2, cut.lead.covering or ""), []).append(cut)
    return tuple(
        Reel(colour, size, covering, round(sum(cut.cut_m for cut in held), 2), len(held))
        for (colour, size, covering), held in sorted(found.items())
    )
