"""The kinds of branch, and the families that several rooms speak of; a family of one room's own stays in that room."""

from __future__ import annotations

__all__ = ["EARTHING", "HIDDEN", "KINDS", "LOADS", "NONLINEAR", "NO_METAL", "PASSES", "PLAIN", "SUPPLIES", "VALVES", "WIRING"]

#: every kind, and what it is
KINDS: dict[str, str] = {
    "lead": "a lead's conductor",
    "joint": "a lead's end on its terminal",
    "contact": "two halves of a connector's cavity, or a splice",
    "earth": "a bolt or mount to the frame, or metal to metal",
    "switch": "a contact that a hand or the engine moves",
    "relay-contact": "a contact that a coil moves",
    "fuse": "a fuse in its holder",
    "filament": "a lamp",
    "resistor": "ohms that do not change",
    "coil": "turns on iron that nothing drives",
    "inside": "what a sealed module shows between two terminals",
    "winding": "turns that the engine drives past a magnet",
    "battery": "a battery as it delivers",
    "uptake": "what a battery on charge does not take",
    "load": "a rectifier as its winding sees it",
    "charger": "a rectifier as its battery sees it",
    "delivers": "the pulse that a module gives",
    "diode": "a valve for current",
    "clamp": "a regulator that takes what is too much",
    "capacitor": "no way for direct current",
    "insulation": "what a sound lead leaks to the frame",
}
#: a harness's own metal from here to there
WIRING = frozenset({"lead", "joint", "contact", "fuse"})
#: what earths a point for good, switches left out
EARTHING = frozenset({"lead", "joint", "contact", "earth"})
#: ways for current that are no load
PASSES = EARTHING | {"switch", "fuse", "relay-contact"}
#: linear resistors in every regime
PLAIN = EARTHING | {"switch", "fuse", "resistor", "coil", "insulation"}
#: what uses current
LOADS = frozenset({"filament", "resistor", "coil", "inside", "load", "clamp"})
#: what drives current in some regime
SUPPLIES = frozenset({"battery", "winding", "charger", "delivers"})
#: what lets current pass one way
VALVES = frozenset({"diode", "clamp"})
#: whose current is no straight line in their volts
NONLINEAR = frozenset({"filament", "diode", "clamp", "charger", "relay-contact", "uptake"})
#: how an equation says it, and no metal that a probe could follow
HIDDEN = frozenset({"insulation", "load", "charger", "uptake"})
#: no way for anyone: what leaks, blocks direct current, or only drives
NO_METAL = frozenset({"insulation", "capacitor", "charger", "delivers", "uptake"})
