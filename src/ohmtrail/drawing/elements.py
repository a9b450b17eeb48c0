"""What is inside a part's symbol: its elements, each between two terminals."""

from __future__ import annotations

from dataclasses import dataclass

from ohmtrail.circuit import Setting, put, switch_position
from ohmtrail.harness import Harness
from ohmtrail.harness import parts as P

__all__ = ["BOXES", "NODES", "Element", "elements_of", "looks_of"]

#: kinds drawn as a box with their terminals named at its edge
BOXES = frozenset({"module", "rectifier", "alternator", "dynamo"})
#: kinds whose stubs all meet in one point, or pass straight through
NODES = frozenset({"splice", "earth", "metal", "frame"})


@dataclass(frozen=True)
class Element:
    """One element of a symbol.

    Attributes
    ----------
    glyph : str
        Its symbol.
    a, b : str
        Pins; ``a`` is the end towards the source in ordinary use.
    """

    glyph: str
    a: str
    b: str


def elements_of(harness: Harness, setting: Setting, item: str, pulled: frozenset[str] = frozenset()) -> tuple[Element, ...]:
    """Give the elements of a symbol in the state the setting puts them in.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        State of the machine.
    item : str
        A part that is no box and no node, or ``connector.cavity``.
    pulled : frozenset of str
        Relay contacts, by branch id, that conduct.

    Returns
    -------
    tuple of Element
        In the order of the file.
    """
    part_id, _, cavity = item.partition(".")
    part = harness.parts[part_id]
    match part:
        case P.Connector():
            return (Element("parted" if part_id in setting.parted else "connector", f"{cavity}a", f"{cavity}b"),)
        case P.Switch():
            return _contacts(part, switch_position(harness, setting, part_id))
        case P.Lamp():
            drawn = "lamp-out" if part_id in setting.out else "lamp"
            return tuple(Element(drawn, *filament.between) for filament in part.all_filaments().values())
        case P.Coil():
            return Element("primary", *part.primary.between), Element("secondary", *reversed(part.secondary.between))
        case P.Relay():
            return (Element("relay-coil", *part.coil), *_relay(part_id, part, pulled))
        case P.SparkPlug():
            return (Element("spark-plug", "HT", "31"),)
        case P.Battery():
            return (Element("battery", "+", "−"),)
        case P.Fuse():
            return (Element("fuse-out" if part_id in setting.out else "fuse", "1", "2"),)
        case P.Horn() | P.Resistor() | P.Motor() | P.Winding() | P.Regulator() | P.Flasher() | P.Diode() | P.Capacitor():
            return (Element(part.kind, *part.between),)
    return ()


def looks_of(harness: Harness, item: str) -> dict[str, tuple[Element, ...]]:
    """Give the elements of a switch or relay in every state it can be in.

    Parameters
    ----------
    harness : Harness
        The machine.
    item : str
        A part.

    Returns
    -------
    dict of str to tuple of Element
        By position; ``rests`` and ``pulled`` for a relay; empty for anything else.
    """
    part = harness.parts.get(item)
    if isinstance(part, P.Switch):
        return {position: elements_of(harness, put(harness, Setting(), positions={item: position}), item) for position in part.positions}
    if isinstance(part, P.Relay):
        rests = {contact.between: contact.rests == "closed" for contact in part.contacts}
        states = {"rests": rests, "pulled": {pair: not closed for pair, closed in rests.items()}}
        return {
            name: elements_of(harness, Setting(), item, frozenset(f"{item}.{a}-{b}" for (a, b), closed in state.items() if closed))
            for name, state in states.items()
        }
    return {}


def _contacts(part: P.Switch, position: str) -> tuple[Element, ...]:
    """Every pair of terminals the switch can join, closed or open as it stands."""
    pairs: dict[frozenset[str], tuple[str, str]] = {}
    for joined in part.positions.values():
        for pair in joined:
            pairs.setdefault(frozenset(pair), pair)
    now = {frozenset(pair) for pair in part.positions[position]}
    word = "points-" if isinstance(part, P.Points) else ""
    return tuple(Element(f"{word}{'closed' if key in now else 'open'}", *pair) for key, pair in pairs.items())


def _relay(part_id: str, part: P.Relay, pulled: frozenset[str]) -> tuple[Element, ...]:
    return tuple(
        Element("closed" if f"{part_id}.{item.between[0]}-{item.between[1]}" in pulled else "open", *item.between) for item in part.contacts
    )
