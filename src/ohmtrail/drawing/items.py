"""From harness to things to draw: one symbol per part, per used cavity, per use of an earth point."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ohmtrail.drawing.choose import Chosen
from ohmtrail.harness import FRAME, Harness
from ohmtrail.harness import parts as P

__all__ = ["Item", "Stub", "Wire", "build", "item_at"]


@dataclass(frozen=True)
class Stub:
    """Where a lead, or a bolt, leaves a symbol.

    Attributes
    ----------
    terminal : str
        Terminal reference.
    pin : str
        What is printed beside it.
    lead : str
        The lead; empty for a bolt and for a terminal without a lead.
    onto : str
        For a bolt: the metal it bolts to.
    """

    terminal: str
    pin: str
    lead: str = ""
    onto: str = ""


@dataclass(frozen=True)
class Item:
    """One symbol with its stubs.

    Attributes
    ----------
    id : str
        Unique in a picture.
    part : str
        Part it shows; ``frame`` for the frame itself.
    kind : str
        Kind of symbol.
    place : str
        Place it stands in.
    tops, bottoms : tuple of Stub
        Towards the source, towards the frame; left to right.
    """

    id: str
    part: str
    kind: str
    place: str
    tops: tuple[Stub, ...] = ()
    bottoms: tuple[Stub, ...] = ()


@dataclass(frozen=True)
class Wire:
    """One lead between two symbols: from the bottom of ``upper`` to the top of ``lower``.

    Attributes
    ----------
    lead : str
        Its id.
    upper, lower : str
        Item ids.
    turned : bool
        Whether the upper end is the lead's ``to`` end.
    """

    lead: str
    upper: str
    lower: str
    turned: bool


def item_at(harness: Harness, terminal: str, lead: str) -> tuple[str, str]:
    """Give item id and part of the symbol at which a lead ends on a terminal.

    Parameters
    ----------
    harness : Harness
        The machine.
    terminal : str
        ``part.terminal``.
    lead : str
        Its id.

    Returns
    -------
    tuple of str
        Id of the item; the symbol's part.
    """
    part = harness.terminals[terminal][0]
    kind = "frame" if part == FRAME else harness.parts[part].kind
    if kind in ("earth", "metal", "frame"):
        return f"{part}|{lead}", part
    if kind == "connector":
        return terminal[:-1], part
    return part, part


def build(harness: Harness, chosen: Chosen, height: Mapping[str, float], rank: Mapping[str, int]) -> dict[str, Item]:
    """Give every symbol with its stubs on top and below.

    Parameters
    ----------
    harness : Harness
        The machine.
    chosen : Chosen
        What is drawn.
    height : mapping of str to float
        As `heights` gives it.
    rank : mapping of str to int
        Row of each item.

    Returns
    -------
    dict of str to Item
        In a fixed order.
    """
    items = bare(harness, chosen)
    tops: dict[str, list[Stub]] = {name: [] for name in items}
    bottoms: dict[str, list[Stub]] = {name: [] for name in items}
    for wire in wires(harness, chosen, height, rank):
        lead = harness.leads[wire.lead]
        first, last = (lead.to, lead.from_) if wire.turned else (lead.from_, lead.to)
        bottoms[wire.upper].append(Stub(first, _pin(harness, first), wire.lead))
        tops[wire.lower].append(Stub(last, _pin(harness, last), wire.lead))
    for name, item in items.items():
        part = harness.parts.get(item.part)
        if part is None or item.kind in ("earth", "metal", "connector"):
            continue
        for pin in part.terminals():
            terminal = f"{item.part}.{pin}"
            if pin in part.mounts:
                bottoms[name].append(Stub(terminal, pin, onto=part.mounts[pin]))
    return {name: replace(item, tops=tuple(tops[name]), bottoms=tuple(bottoms[name])) for name, item in items.items()}


def _pin(harness: Harness, terminal: str) -> str:
    return harness.terminals[terminal][1].replace("-", "−") if terminal.endswith(".-") else harness.terminals[terminal][1]


def bare(harness: Harness, chosen: Chosen) -> dict[str, Item]:
    """Give every symbol without its stubs."""
    found: dict[str, Item] = {}
    for lead_id in harness.leads:
        if lead_id in chosen.leads:
            lead = harness.leads[lead_id]
            for end, other in ((lead.from_, lead.to), (lead.to, lead.from_)):
                item, part = item_at(harness, end, lead_id)
                if item not in found:
                    found[item] = Item(item, part, _kind(harness, part), _place(harness, part, other))
    for part_id, thing in harness.parts.items():
        wanted = part_id in chosen.parts and part_id not in {item.part for item in found.values()}
        if wanted and not isinstance(thing, P.Connector | P.Earth | P.Metal):
            found[part_id] = Item(part_id, part_id, thing.kind, thing.at)
    return found


def _kind(harness: Harness, part: str) -> str:
    return "frame" if part == FRAME else harness.parts[part].kind


def _place(harness: Harness, part: str, other: str) -> str:
    if part != FRAME:
        return harness.parts[part].at
    owner = harness.terminals[other][0]
    return next(iter(harness.places)) if owner == FRAME else harness.parts[owner].at


def wires(
    harness: Harness, chosen: Chosen, height: Mapping[str, float], rank: Mapping[str, int] | None = None
) -> list[Wire]:
    """Give every lead with its upper and lower symbol, by rank where known, else by height."""
    found = []
    for lead_id in harness.leads:
        if lead_id not in chosen.leads:
            continue
        lead = harness.leads[lead_id]
        start, end = item_at(harness, lead.from_, lead_id)[0], item_at(harness, lead.to, lead_id)[0]
        if rank is not None:
            down = rank[start] < rank[end]
        else:
            down = (height[lead.from_], start) > (height[lead.to], end)
            if start.endswith(f"|{lead_id}") != end.endswith(f"|{lead_id}") and abs(height[lead.from_] - height[lead.to]) < 0.02:
                down = end.endswith(f"|{lead_id}")
        found.append(Wire(lead_id, start if down else end, end if down else start, not down))
    return found
