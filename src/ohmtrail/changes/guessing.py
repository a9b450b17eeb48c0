"""What a part of a lead list may be, by its name and by the terminals that leads end at; every guess in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ohmtrail.harness.model import FRAME
from ohmtrail.harness.text import Plain

__all__ = ["Guess", "guessed"]

#: words of names, English trade words; common practice, no source
_SWITCHES = ("switch", "button")
_LAMPS = ("lamp", "light", "bulb")
_MOTORS = ("motor", "starter", "pump", "fan", "wiper", "blower")
_RELAYS = ("relay", "solenoid")
_BREAKERS = ("points", "breaker")
_CONDENSERS = ("condenser", "capacitor")
_EARTHS = ("earth", "ground", "gnd", "mass")


@dataclass(frozen=True)
class Guess:
    """What a part is taken for.

    Attributes
    ----------
    kind : str
        A kind of the harness file.
    keys : dict
        What else the file says of it.
    look : str
        What is to be looked at on the machine; empty where the kind says all.
    """

    kind: str
    keys: dict[str, Plain]
    look: str = ""


def guessed(name: str, terminals: Sequence[str]) -> Guess:
    """Say what a part may be.

    Parameters
    ----------
    name : str
        Its id.
    terminals : sequence of str
        Those that leads end at; none where leads end at the part itself.

    Returns
    -------
    Guess
        A module where nothing fits.
    """
    found = (guess(name.casefold(), list(terminals)) for guess in _GUESSES)
    return next((guess for guess in found if guess is not None), Guess("module", {"terminals": list(terminals)}, "what it is, is not known"))


def _has(name: str, words: Sequence[str]) -> bool:
    return any(word in name for word in words)


def _earth_or_splice(name: str, terminals: list[str]) -> Guess | None:
    if terminals:
        return None
    earth = (name[:1] == "e" and name[1:].isdigit()) or _has(name, _EARTHS)
    return Guess("earth" if earth else "splice", {})


def _plain(word: str, kind: str, fit: frozenset[str]) -> Callable[[str, list[str]], Guess | None]:
    return lambda name, terminals: Guess(kind, {}) if word in name and set(terminals) <= fit else None


def _fuse(name: str, terminals: list[str]) -> Guess | None:
    return Guess("fuse", {"rating": "10 A"}, "read its amps off its cap") if "fuse" in name and "box" not in name and set(terminals) == {"1", "2"} else None


def _connector(name: str, terminals: list[str]) -> Guess | None:
    if not all(item[-1:] in ("a", "b") and len(item) > 1 for item in terminals):
        return None
    return Guess("connector", {"cavities": list(dict.fromkeys(item[:-1] for item in terminals))})


def _ends(terminals: list[str]) -> tuple[list[Plain], dict[str, Plain], str]:
    """Two terminals of a part, the second one earthed by the part's fixing where only one has a lead."""
    if len(terminals) == 2:
        return list(terminals), {}, ""
    other = "31" if terminals[0] != "31" else "1"
    return [terminals[0], other], {"mounts": {other: FRAME}}, f", and whether its fixing earths {other}"


def _switch(name: str, terminals: list[str]) -> Guess | None:
    if not _has(name, _SWITCHES) or not 1 <= len(terminals) <= 2:
        return None
    ends, mounts, more = _ends(terminals)
    return Guess("switch", {"rests": "off", "positions": {"off": [], "on": [ends]}, **mounts}, f"look whether it rests open{more}")


def _consumer(name: str, terminals: list[str]) -> Guess | None:
    if not 1 <= len(terminals) <= 2 or _has(name, (*_SWITCHES, *_RELAYS, "coil")):
        return None
    ends, mounts, more = _ends(terminals)
    if _has(name, _LAMPS):
        return Guess("lamp", {"watts": "21 W", "between": ends, **mounts}, f"read its watts off the bulb{more}")
    if _has(name, ("horn",)):
        return Guess("horn", {"between": ends, **mounts}, f"look what it is{more}" if more else "")
    if _has(name, _MOTORS):
        return Guess("motor", {"resistance": "0.1 Ω" if "starter" in name else "2 Ω", "between": ends, **mounts}, f"its ohms are its volts divided by its amps at work; measure them{more}")
    return None


def _breaker(name: str, terminals: list[str]) -> Guess | None:
    if not _has(name, _BREAKERS) or "circuit" in name or not 1 <= len(terminals) <= 2:
        return None
    ends, mounts, more = _ends(terminals)
    return Guess("points", {"rests": "closed", "positions": {"closed": [ends], "open": []}, **mounts}, more.replace(", and", "look", 1))


def _condenser(name: str, terminals: list[str]) -> Guess | None:
    if not _has(name, _CONDENSERS) or not 1 <= len(terminals) <= 2:
        return None
    ends, mounts, more = _ends(terminals)
    return Guess("capacitor", {"between": ends, **mounts}, more.replace(", and", "look", 1))


def _spark_plug(name: str, terminals: list[str]) -> Guess | None:
    return Guess("spark-plug", {"mounts": {"31": FRAME}}) if "plug" in name and terminals == ["HT"] else None


def _coil(name: str, terminals: list[str]) -> Guess | None:
    """An ignition coil by its three terminals (DIN 72552): 15 and 1, and 4 for the high tension."""
    high = [item for item in terminals if item in ("4", "HT")]
    if "coil" not in name or len(high) != 1 or not {"1", "15"} <= set(terminals) or len(terminals) != 3:
        return None
    keys: dict[str, Plain] = {"primary": {"between": ["15", "1"], "resistance": "3 Ω"}, "secondary": {"between": [high[0], "1"], "resistance": "7 kΩ"}}
    return Guess("coil", keys, "measure both windings, and whether the second one ends at 1")


#: the first that fits is taken
_GUESSES: tuple[Callable[[str, list[str]], Guess | None], ...] = (
    _earth_or_splice,
    _plain("batt", "battery", frozenset("+-")),
    _fuse,
    _connector,
    _plain("relay", "relay", frozenset(("30", "87", "85", "86"))),
    _plain("flash", "flasher", frozenset(("49", "49a"))),
    _breaker,
    _condenser,
    _spark_plug,
    _coil,
    _switch,
    _consumer,
)
