"""What makes the spark: coils, condensers, plugs, sealed modules."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, model_validator

from ohmtrail.harness.fields import Flag, Frozen, Microfarads, Ohms, PlainOhms, Volts, Word
from ohmtrail.harness.parts.base import Base, Need, Pair, named

__all__ = ["Capacitor", "Coil", "Delivers", "Inside", "Module", "SparkPlug", "WindingIn"]


class WindingIn(Frozen):
    """A winding inside an ignition coil."""

    between: Pair
    resistance: Ohms


class Coil(Base):
    """An ignition coil: primary and secondary."""

    kind: Literal["coil"]
    primary: WindingIn
    secondary: WindingIn

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return named(self.primary.between, self.secondary.between)


class Capacitor(Base):
    """A capacitor, such as the condenser across the points."""

    kind: Literal["capacitor"]
    between: Pair = ("1", "2")
    capacitance: Microfarads = 0.22e-6

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class SparkPlug(Base):
    """A spark plug: ``HT`` against its body ``31``, which the engine earths (``mounts``)."""

    kind: Literal["spark-plug"]

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ("HT", "31")


class Inside(Frozen):
    """What a sealed module shows between two of its terminals.

    ``live`` is its effective resistance at work; ``ohms`` what an ohmmeter shows, ``unknown`` where
    nobody has measured a good one.
    """

    between: Pair
    live: Ohms
    ohms: Ohms | Literal["unknown"] = "unknown"


class Delivers(Frozen):
    """What a module puts out at work, as pulses."""

    between: Pair
    volts: Volts
    resistance: PlainOhms = 1.0


class Module(Base):
    """A sealed electronic unit: what it shows, what it needs, what it delivers."""

    kind: Literal["module"]
    inside: tuple[Inside, ...] = ()
    needs: tuple[Need, ...] = ()
    delivers: Delivers | None = None
    named: tuple[Word, ...] = Field(default=(), alias="terminals")
    stores_charge: Flag = False

    @model_validator(mode="before")
    @classmethod
    def _earlier_word(cls, given: Any) -> Any:
        """Read ``pins``, as the first files of version 1 called ``terminals``."""
        if isinstance(given, dict) and "pins" in given and "terminals" not in given:
            return {("terminals" if key == "pins" else key): value for key, value in given.items()}
        return given

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        delivered = (self.delivers.between,) if self.delivers else ()
        return named(self.named, *(item.between for item in self.inside), *delivered)
