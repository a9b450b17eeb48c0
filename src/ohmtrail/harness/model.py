"""The harness: one machine's wiring as immutable values. Knows nothing of circuits."""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from ohmtrail.harness.fields import (
    ElementId,
    Flag,
    Frozen,
    Metres,
    Minutes,
    Odds,
    Ohms,
    Size,
    TerminalRef,
    Volts,
    Word,
    Year,
)
from ohmtrail.harness.parts import Need, Part

__all__ = ["FRAME", "Function", "Harness", "Lead", "Loom", "Place", "Supply"]

#: the reserved name of the common earth
FRAME = "frame"

#: what a lead is taken to be where the file does not say; printed with every use ("assumed")
DEFAULT_SIZE_MM2 = 1.0
DEFAULT_LENGTH_M = 0.5

Covering = Literal["rubber", "cotton", "pvc", "crosslinked", "silicone", "unknown"]


class Supply(Frozen):
    """The machine's supply."""

    nominal: Volts = 12.0
    earthed: Literal["negative", "positive"] = "negative"

    @property
    def posts(self) -> tuple[str, str]:
        """A battery's live post and its earthed one, as terminals: ``+`` and ``-``, or the other way round."""
        return ("+", "-") if self.earthed == "negative" else ("-", "+")


class Place(Frozen):
    """Somewhere on the machine, and the minutes it takes to get at it."""

    reach: Minutes
    how: str = ""
    called: str = ""
    inside: ElementId | None = None
    wet: Flag = False
    hot: Flag = False
    engine_still: Flag = False


class Loom(Frozen):
    """A bundle of leads through certain places."""

    passes: tuple[ElementId, ...]
    flexes_at: tuple[ElementId, ...] = ()
    covering: Covering | None = None
    called: str = ""


class Lead(Frozen):
    """One insulated wire from one terminal to another."""

    from_: TerminalRef = Field(alias="from")
    to: TerminalRef
    colour: str = ""
    size: Size | None = None
    length: Metres | None = None
    material: Literal["copper", "tinned-copper", "aluminium", "steel"] = "copper"
    resistance: Ohms | None = None
    loom: ElementId | None = None
    covering: Covering | None = None
    high_tension: Flag = False
    called: str = ""
    made: Year | None = None
    renewed: Year | None = None
    altered: Year | None = None
    odds: Odds = 1.0
    known_good: Flag = False
    original: Flag = False
    ignition_stop: Flag = False
    note: str = ""

    @property
    def size_mm2(self) -> float:
        """Copper area in square millimetre, the default where the file does not say."""
        return self.size if self.size is not None else DEFAULT_SIZE_MM2

    @property
    def length_m(self) -> float:
        """Length in metre, the default where the file does not say."""
        return self.length if self.length is not None else DEFAULT_LENGTH_M

    def assumed(self) -> tuple[str, ...]:
        """Say what was assumed, for whoever prints a figure that rests on it."""
        return tuple(
            text
            for missing, text in (
                (self.size is None, f"size not given: {DEFAULT_SIZE_MM2:g} mm² assumed"),
                (self.length is None, f"length not given: {DEFAULT_LENGTH_M:g} m assumed"),
            )
            if missing and self.resistance is None
        )


class Function(Frozen):
    """Something the machine must do, the setting it must do it in, and what it needs electrically."""

    called: str = ""
    seen_at: TerminalRef | None = None
    when: dict[ElementId, Word] = Field(default_factory=dict)
    needs: tuple[Need, ...] = Field(min_length=1)
    fails_as: str = ""


def _harness_id(value: object) -> str:
    text = str(value).strip()
    if not text:
        raise ValueError("the machine needs a name")
    return text


class Harness(Frozen):
    """The whole description of one machine's wiring."""

    harness: Annotated[str, BeforeValidator(_harness_id)]
    version: Literal["1"] = "1"
    made: Year | None = None
    note: str = ""
    supply: Supply = Supply()
    places: dict[ElementId, Place] = Field(min_length=1)
    looms: dict[ElementId, Loom] = Field(default_factory=dict)
    parts: dict[ElementId, Part] = Field(min_length=1)
    leads: dict[ElementId, Lead] = Field(default_factory=dict)
    functions: dict[ElementId, Function] = Field(default_factory=dict)

    @cached_property
    def terminals(self) -> dict[str, tuple[str, str]]:
        """Every terminal reference -> (part, terminal name); one-terminal parts are named alone."""
        found: dict[str, tuple[str, str]] = {FRAME: (FRAME, "")}
        for part_id, part in self.parts.items():
            names = part.terminals()
            if not names:
                found[part_id] = (part_id, "")
            for name in names:
                found[f"{part_id}.{name}"] = (part_id, name)
        return found

    @cached_property
    def lead_ends(self) -> dict[str, tuple[str, str]]:
        """Every lead end ``lead.from`` / ``lead.to`` -> (lead, terminal it is fixed to)."""
        ends: dict[str, tuple[str, str]] = {}
        for lead_id, lead in self.leads.items():
            ends[f"{lead_id}.from"] = (lead_id, lead.from_)
            ends[f"{lead_id}.to"] = (lead_id, lead.to)
        return ends

    @cached_property
    def points(self) -> tuple[str, ...]:
        """All probe points: terminals first, then lead ends."""
        return (*self.terminals, *self.lead_ends)

    @cached_property
    def leads_at(self) -> dict[str, tuple[str, ...]]:
        """Terminal -> the lead ends fixed to it, in file order."""
        found: dict[str, list[str]] = {}
        for end, (_, terminal) in self.lead_ends.items():
            found.setdefault(terminal, []).append(end)
        return {terminal: tuple(ends) for terminal, ends in found.items()}

    @cached_property
    def high_tension(self) -> frozenset[str]:
        """Leads that carry it: those that say so, and those at a spark plug or at the high-tension terminal of a coil."""
        hot = {f"{name}.HT" for name, part in self.parts.items() if part.kind == "spark-plug"}
        hot |= {f"{name}.{part.secondary.between[0]}" for name, part in self.parts.items() if part.kind == "coil"}
        return frozenset(name for name, lead in self.leads.items() if lead.high_tension or {lead.from_, lead.to} & hot)

    @cached_property
    def has_battery(self) -> bool:
        """Whether there is one: without it nothing drives a current while the engine stands."""
        return any(part.kind == "battery" for part in self.parts.values())

    def volts_to_frame(self, point: str) -> tuple[str, str]:
        """Give the red and the black probe for volts between a point and the frame: what is live reads above nought."""
        return (point, FRAME) if self.supply.earthed == "negative" else (FRAME, point)

    def place_of(self, point: str) -> str | None:
        """Give the place where a probe point is got at; None for the frame itself."""
        terminal = self.lead_ends[point][1] if point in self.lead_ends else point
        part = self.terminals[terminal][0]
        return None if part == FRAME else self.parts[part].at
