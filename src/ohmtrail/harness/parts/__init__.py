"""The kinds of part a harness may have, and the terminals each of them brings."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from ohmtrail.harness.parts.base import Need, Pair, RefPair
from ohmtrail.harness.parts.generating import (
    Alternator,
    Rectifier,
    Regulator,
    Winding,
    WindingHertz,
    WindingVolts,
)
from ohmtrail.harness.parts.ignition import Capacitor, Coil, Delivers, Inside, Module, SparkPlug, WindingIn
from ohmtrail.harness.parts.loads import Filament, Horn, Lamp, Motor, Resistor
from ohmtrail.harness.parts.relays import Contact, Diode, Flasher, Relay
from ohmtrail.harness.parts.wiring import Battery, Connector, Earth, Fuse, Metal, Points, Splice, Switch

__all__ = ["Alternator", "Battery", "Capacitor", "Coil", "Connector", "Contact", "Delivers", "Diode", "Earth", "Filament", "Flasher", "Fuse", "Horn", "Inside", "Lamp", "Metal", "Module", "Motor", "Need", "Pair", "Part", "Points", "Rectifier", "RefPair", "Regulator", "Relay", "Resistor", "SparkPlug", "Splice", "Switch", "Winding", "WindingHertz", "WindingIn", "WindingVolts"]

Part = Annotated[
    Battery
    | Fuse
    | Switch
    | Points
    | Connector
    | Splice
    | Earth
    | Metal
    | Lamp
    | Horn
    | Resistor
    | Motor
    | Coil
    | Winding
    | Rectifier
    | Regulator
    | Alternator
    | Relay
    | Flasher
    | Diode
    | Capacitor
    | SparkPlug
    | Module,
    Field(discriminator="kind"),
]
