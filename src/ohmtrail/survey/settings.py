"""Settings worth a reading in each stage of a survey."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx

from ohmtrail.circuit import Network, Setting, function_setting, put, worked
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Coil, Connector, Earth, Fuse, Lamp, Metal, Module, Switch, Winding
from ohmtrail.survey.stages import conducting

__all__ = ["apart", "dead_settings", "positions", "still_settings", "turning_settings", "widest"]

Positions = tuple[tuple[str, str], ...]


def positions(harness: Harness) -> tuple[Positions, ...]:
    """Give the ways in which a machine's switches are worth setting: at rest, as each function wants, each alone.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    tuple of tuple of (switch, position)
        At rest first.
    """
    found: dict[Positions, None] = {(): None}
    for function in harness.functions.values():
        found.setdefault(tuple(item for item in function_setting(harness, function).positions if not worked(harness, item[0])))
    for name, part in harness.parts.items():
        if isinstance(part, Switch) and not part.worked_by:
            for position in part.positions:
                if position != part.rests:
                    found.setdefault(((name, position),))
    return tuple(found)


def apart(harness: Harness) -> Setting:
    """Give a dead machine with every module parted from the rest: its plugs, else the far ends of its leads.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    Setting
        Battery off; a module keeps the windings and coils that hang on it alone, and none of its terminals is
        touched.
    """
    parted: set[str] = set()
    lifted: set[str] = set()
    for name, part in harness.parts.items():
        for terminal in part.terminals() if isinstance(part, Module) else ():
            for end in harness.leads_at.get(f"{name}.{terminal}", ()):
                _part_from(harness, end, parted, lifted)
    return put(harness, Setting(battery=False), parted=parted, lifted=lifted)


def _part_from(harness: Harness, end: str, parted: set[str], lifted: set[str]) -> None:
    """Note how a lead is parted from the module that its end is fixed to."""
    lead = end.rpartition(".")[0]
    far = f"{lead}.to" if end.endswith(".from") else f"{lead}.from"
    terminal = harness.lead_ends[far][1]
    part = harness.parts.get(harness.terminals[terminal][0])
    if isinstance(part, Connector):
        parted.add(harness.terminals[terminal][0])
    elif part is not None and not isinstance(part, Earth | Metal | Winding | Coil) and lead not in harness.high_tension:
        lifted.add(far)


def widest(harness: Harness) -> Positions:
    """Give every switch the position that joins most: whatever is behind the switches is measured with the rest.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    tuple of (switch, position)
        Those that are not at rest.
    """
    found = []
    for name, part in harness.parts.items():
        if isinstance(part, Switch) and not part.worked_by:
            most = max(part.positions, key=lambda item: (len(part.positions[item]), item == part.rests))
            if most != part.rests:
                found.append((name, most))
    return tuple(sorted(found))


def lamps_together(network: Network, dead: Setting) -> tuple[frozenset[str], ...]:
    """Give the lamps that hang on one feed: with them out, what leads there is measured without them.

    Parameters
    ----------
    network : Network
        The machine.
    dead : Setting
        How it stands.

    Returns
    -------
    tuple of frozenset of str
        One set for each feed.
    """
    harness = network.harness
    joined = conducting(network, dead)
    found: dict[frozenset[str], None] = {}
    for piece in nx.connected_components(joined):
        if FRAME in piece:
            continue
        on = [name for name, part in harness.parts.items() if isinstance(part, Lamp) and any(f"{name}.{end}" in piece for end in part.terminals())]
        if on:
            found.setdefault(frozenset(on))
    return tuple(found)


def dead_settings(network: Network) -> tuple[tuple[Setting, bool], ...]:
    """Give settings with the battery off: plugs parted, bulbs and fuses out, switches set.

    Parameters
    ----------
    network : Network
        The machine.

    Returns
    -------
    tuple of (Setting, bool)
        The plainest first; and whether the ends of joined wiring are worth a try against each other there.
    """
    harness = network.harness
    fuses = frozenset(name for name, part in harness.parts.items() if isinstance(part, Fuse))
    lamps = frozenset(name for name, part in harness.parts.items() if isinstance(part, Lamp))
    connectors = [name for name, part in harness.parts.items() if isinstance(part, Connector)]
    alone, dead = apart(harness), put(harness, Setting(battery=False))
    bare = replace(alone, out=lamps | fuses)
    switched, few = positions(harness), ((), widest(harness))
    found: dict[Setting, bool] = {replace(dead, positions=item): True for item in dict.fromkeys((*switched, widest(harness)))}
    for item in switched:
        found.setdefault(replace(alone, positions=item), False)
    for base in (replace(dead, out=fuses), replace(alone, out=lamps), bare, replace(dead, out=lamps)):
        for item in few:
            found.setdefault(replace(base, positions=item), False)
    for item in few:
        for some in lamps_together(network, replace(dead, positions=item)):
            found.setdefault(replace(dead, positions=item, out=some), False)
    for name in connectors:
        for base in (dead, *(replace(bare, positions=item) for item in few)):
            found.setdefault(replace(base, parted=base.parted | {name}), False)
    return tuple(found.items())


def still_settings(harness: Harness) -> tuple[Setting, ...]:
    """Give settings with the battery on and the engine still.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    tuple of Setting
        At rest first, then as each function wants it.
    """
    found: dict[Setting, None] = {put(harness, Setting()): None}
    for function in harness.functions.values():
        setting = function_setting(harness, function)
        if setting.engine == "still":
            found.setdefault(setting)
    return tuple(found)


def turning_settings(harness: Harness) -> tuple[Setting, ...]:
    """Give settings with the engine turning, cranking first, then how it is stopped.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    tuple of Setting
        As each function wants it.
    """
    made = dict.fromkeys(function_setting(harness, item) for item in harness.functions.values())
    turning = [setting for setting in made if setting.engine != "still"]
    return tuple(sorted(turning, key=lambda item: item.engine))
