"""What switches by itself: relays, flashers, diodes."""

from __future__ import annotations

from typing import Literal

from ohmtrail.harness.fields import Amps, Frozen, Ohms, PlainOhms, Volts
from ohmtrail.harness.parts.base import Base, Pair, named
from ohmtrail.units import Toleranced

__all__ = ["Contact", "Diode", "Flasher", "Relay"]


class Contact(Frozen):
    """A contact of a relay."""

    between: Pair
    rests: Literal["open", "closed"] = "open"


class Relay(Base):
    """A relay or solenoid: contacts that follow the volts of its coil."""

    kind: Literal["relay"]
    coil: Pair = ("86", "85")
    resistance: Ohms = Toleranced(90.0, 0.15)
    pulls_at: Volts = 7.5
    contacts: tuple[Contact, ...] = (Contact(between=("30", "87")),)
    rating: Amps | None = None

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return named(self.coil, *(item.between for item in self.contacts))


class Flasher(Base):
    """An indicator flasher: a contact that opens and closes in turn while its lamps draw current."""

    kind: Literal["flasher"]
    between: Pair = ("49", "49a")
    resistance: PlainOhms = 0.05

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Diode(Base):
    """A diode from ``between[0]`` (anode) to ``between[1]`` (cathode)."""

    kind: Literal["diode"]
    between: Pair = ("A", "K")

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between
