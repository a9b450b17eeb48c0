"""What makes current while the engine turns: windings, rectifiers, regulators, generators."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from ohmtrail.harness.fields import Frozen, Hertz, Millihenries, Ohms, Volts
from ohmtrail.harness.parts.base import Base, Pair, named
from ohmtrail.units import Toleranced

__all__ = ["Alternator", "Rectifier", "Regulator", "Winding", "WindingHertz", "WindingVolts"]


class WindingVolts(Frozen):
    """Open-circuit volts (RMS) of a winding."""

    cranking: Volts
    running: Volts


class WindingHertz(Frozen):
    """Frequency of a winding's volts."""

    cranking: Hertz = 20.0
    running: Hertz = 150.0


class Winding(Base):
    """A generator winding: AC volts that follow the engine, behind resistance and inductance."""

    kind: Literal["winding"]
    between: Pair
    resistance: Ohms
    inductance: Millihenries = 0.0
    volts: WindingVolts
    frequency: WindingHertz = WindingHertz()

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Rectifier(Base):
    """A rectifier, perhaps with a regulator in the same case.

    ``input`` takes the winding, ``output`` feeds battery ``+`` and return. ``load`` is what the winding
    sees of the charging circuit; ``limits`` makes it a combined regulator-rectifier.
    """

    kind: Literal["rectifier"]
    input: Pair
    output: Pair
    wave: Literal["half", "full"] = "full"
    load: Ohms = Toleranced(10.0, 0.3)
    resistance: Ohms = Toleranced(0.5, 0.3)
    limits: Volts | None = None

    @model_validator(mode="after")
    def _half_shares_return(self) -> Rectifier:
        if self.wave == "half" and self.input[1] != self.output[1]:
            raise ValueError("a half-wave rectifier has one return: input and output end with the same terminal")
        return self

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return named(self.input, self.output)


class Regulator(Base):
    """A shunt regulator: conducts when the volts between its terminals pass ``limits``."""

    kind: Literal["regulator"]
    between: Pair
    limits: Volts
    resistance: Ohms = Toleranced(0.3, 0.3)

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Alternator(Base):
    """A generator with its rectifier and regulator inside: live ``B+``, charge lamp terminal ``D+``, return ``31``."""

    kind: Literal["alternator", "dynamo"]
    limits: Volts = 14.2
    resistance: Ohms = Toleranced(0.06, 0.3)
    field: Ohms = Toleranced(8.0, 0.2)

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ("B+", "D+", "31")
