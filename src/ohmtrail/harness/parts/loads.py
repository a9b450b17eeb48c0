"""Loads, what uses current: lamps, horns, resistors, motors."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from ohmtrail.harness.fields import Frozen, Ohms, Volts, Watts, Word
from ohmtrail.harness.parts.base import Base, Pair, named
from ohmtrail.units import Toleranced

__all__ = ["Filament", "Horn", "Lamp", "Motor", "Resistor"]


class Filament(Frozen):
    """One filament of a lamp."""

    between: Pair
    watts: Watts
    volts: Volts | None = None


class Lamp(Base):
    """A filament lamp: ``watts`` and ``between``, or several ``filaments``."""

    kind: Literal["lamp"]
    watts: Watts | None = None
    volts: Volts | None = None
    between: Pair = ("1", "2")
    filaments: dict[Word, Filament] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _some_watts(self) -> Lamp:
        if (self.watts is None) == (not self.filaments):
            raise ValueError("a lamp says either watts or filaments")
        return self

    def all_filaments(self) -> dict[str, Filament]:
        """Every filament by name; the only one of a plain lamp is called ``filament``."""
        if self.filaments:
            return dict(self.filaments)
        assert self.watts is not None
        return {"filament": Filament(between=self.between, watts=self.watts, volts=self.volts)}

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return named(*(item.between for item in self.all_filaments().values()))


class Horn(Base):
    """A horn, or any sounder that draws a steady current."""

    kind: Literal["horn"]
    between: Pair = ("1", "2")
    resistance: Ohms = Toleranced(4.0, 0.15)

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Resistor(Base):
    """A resistor, heater or gauge."""

    kind: Literal["resistor"]
    between: Pair = ("1", "2")
    resistance: Ohms

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Motor(Base):
    """A motor by the resistance it shows when it works."""

    kind: Literal["motor"]
    between: Pair = ("1", "2")
    resistance: Ohms

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between
