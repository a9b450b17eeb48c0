"""What carries current without using it: battery, fuse, switches, connectors, splices, earths."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from ohmtrail.harness.fields import Amps, ElementId, Ohms, PlainOhms, Volts, Word
from ohmtrail.harness.parts.base import Base, Pair, named
from ohmtrail.units import Toleranced

__all__ = ["Battery", "Connector", "Earth", "Fuse", "Metal", "Points", "Splice", "Switch"]


class Battery(Base):
    """A battery at rest: volts behind its resistance; terminals ``+`` and ``-``."""

    kind: Literal["battery"]
    volts: Volts = 12.6
    resistance: Ohms = Toleranced(0.020, 0.5)

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ("+", "-")


class Fuse(Base):
    """A fuse in its holder; terminals ``1`` and ``2``."""

    kind: Literal["fuse"]
    rating: Amps
    body: Literal["glass", "blade", "strip"] = "glass"

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ("1", "2")


class Switch(Base):
    """A switch: which terminals each position joins.

    What is worked by something else than a hand (``worked_by``) is set by nobody: it rests while the engine stands,
    and while it turns it is where a function says.
    """

    kind: Literal["switch"]
    positions: dict[Word, tuple[Pair, ...]] = Field(min_length=2)
    rests: Word
    rating: Amps | None = None
    resistance: PlainOhms = 0.010
    worked_by: str = ""

    @model_validator(mode="after")
    def _rests_somewhere(self) -> Switch:
        if self.rests not in self.positions:
            raise ValueError(f"rests at {self.rests!r}, which is none of its positions {', '.join(self.positions)}")
        if not any(self.positions.values()):
            raise ValueError("no position joins anything")
        return self

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return named(*(pair for pairs in self.positions.values() for pair in pairs))


class Points(Switch):
    """A contact breaker: a switch that the engine works; turn the engine by hand to set it."""

    kind: Literal["points"]  # type: ignore[assignment]

    @model_validator(mode="after")
    def _closes_and_opens(self) -> Points:
        if len(self.positions) != 2 or all(self.positions.values()):
            raise ValueError("a contact breaker has two positions, one that joins and one that joins nothing: write 'positions: {closed: [[1, 31]], open: []}'")
        return self


class Connector(Base):
    """A multi-way connector: each cavity has a side ``a`` and a side ``b``."""

    kind: Literal["connector"]
    cavities: tuple[Word, ...] = Field(min_length=1)
    resistance: PlainOhms = 0.005
    parts_in: str = ""

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return tuple(f"{cavity}{side}" for cavity in self.cavities for side in "ab")


class Splice(Base):
    """A place where leads are joined for good; its one terminal is named like the part."""

    kind: Literal["splice"]

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ()


class Earth(Base):
    """A bolted earth point; its one terminal is named like the part."""

    kind: Literal["earth"]
    on: ElementId = "frame"
    resistance: PlainOhms = 0.002

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ()


class Metal(Base):
    """A mass of metal beside the frame (engine, handlebar); its one terminal is named like the part."""

    kind: Literal["metal"]
    bolted_to: ElementId | None = None
    resistance: PlainOhms = 0.005

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ()
