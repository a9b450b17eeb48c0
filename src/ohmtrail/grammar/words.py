"""The words of the reading grammar."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import cast

from ohmtrail.circuit.meter import Quantity

__all__ = [
    "CUTS",
    "DAMAGE",
    "EARTHS",
    "FILLERS",
    "FLICKERS",
    "LEVELS",
    "LOOKS",
    "OVER_RANGE",
    "QUANTITY_WORDS",
    "SHOWN",
    "SOMETIMES",
    "UNIT_OF",
    "UNIT_WORDS",
]



#: what is read, by the word that says so
QUANTITY_WORDS: Mapping[str, Quantity] = MappingProxyType(
    {
        word: cast("Quantity", quantity)
        for quantity, words in (
            ("ohms", "ohms ohm resistance ω"),
            ("volts", "volts volt dc vdc"),
            ("ac", "ac vac"),
            ("peak", "peak"),
            ("diode", "diode"),
            ("beep", "beep beeper buzzer continuity"),
            ("lamp", "lamp test-lamp testlamp"),
            ("amps", "amps amp current clamp"),
        )
        for word in words.split()
    }
)

#: the unit of each quantity that has one
UNIT_OF: Mapping[str, str] = MappingProxyType(
    {"ohms": "ohm", "volts": "volt", "ac": "volt", "peak": "volt", "diode": "volt", "amps": "ampere"}
)

#: a unit that may stand apart from its number, and the quantity it speaks of
UNIT_WORDS: Mapping[str, Quantity] = MappingProxyType(
    {
        word: cast("Quantity", quantity)
        for quantity, words in (
            ("ohms", "ohms ohm ω r k kω kohm kohms m mω mohm mohms megohm"),
            ("volts", "volts volt v mv kv vdc"),
            ("ac", "vac"),
            ("amps", "amps amp a ma"),
        )
        for word in words.split()
    }
)

OVER_RANGE = frozenset(["ol", "0l", "o.l", "0.l", ".ol", "0.ol", "over", "over-range", "overrange", "overload", "infinite", "infinity", "open", "∞"])
FLICKERS = frozenset(["flickers", "flicker", "flickering", "jumps", "jumping", "unsteady"])
SOMETIMES = frozenset(["sometimes", "intermittent", "intermittently", "comes-and-goes"])

#: how well a function is seen to work
LEVELS: Mapping[str, int] = MappingProxyType(
    {
        word: level
        for level, words in (
            (2, "works work working present yes bright good fine ok okay back sounds lit strong charges stops"),
            (1, "weak weakly dim poor poorly faint low yellow thin"),
            (0, "absent none dead no out nothing fails failed fail failing dark silent missing gone never not"),
        )
        for word in words.split()
    }
)

#: what a beeper or a test lamp shows, as a value
SHOWN: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "beep": {
            **dict.fromkeys(["beeps", "beep", "yes", "sounds", "buzzes", "buzz", "on"], 1.0),
            **dict.fromkeys(["silent", "no", "quiet", "none", "nothing", "off", "ol", "open"], 0.0),
        },
        "lamp": {
            **dict.fromkeys(["bright", "lit", "yes", "on", "full", "works"], 1.0),
            **dict.fromkeys(["dim", "weak", "faint", "glows", "half"], 0.5),
            **dict.fromkeys(["out", "dark", "no", "off", "none", "dead", "nothing"], 0.0),
        },
    }
)

LOOKS = frozenset(["looked", "look", "looks", "inspected", "inspect", "examined"])
#: what a close look showed: damaged or not
DAMAGE: Mapping[str, bool] = MappingProxyType(
    {
        **dict.fromkeys(
            ["damaged", "cracked", "broken", "worn", "rotten", "chafed", "burnt", "burned", "corroded", "green", "loose", "melted", "split", "bare", "bad", "blown", "fouled", "perished", "pinched", "dirty", "wet", "fault", "faulty", "yes"],
            True,
        ),
        **dict.fromkeys(["sound", "good", "fine", "ok", "okay", "clean", "intact", "undamaged", "whole", "no", "nothing"], False),
    }
)

#: words for the frame
EARTHS = frozenset(["frame", "earth", "ground", "gnd", "chassis", "mass", "body"])
#: words that carry nothing
FILLERS = frozenset(["=", ":", "->", "is", "was", "are", "reads", "read", "shows", "to", "and", "between", "across", "from", "at", "the", "it", "still", "does", "do", "did"])
#: words that begin the setting of a reading
CUTS = frozenset(("with", "while", "w/"))
