"""Setting: the state of the machine while a reading is taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from ohmtrail.errors import SettingError, UnknownName
from ohmtrail.harness.links import ENGINE_STATES
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Connector, Fuse, Lamp, Points, Switch

__all__ = ["Setting", "put", "switch_position", "worked"]


@dataclass(frozen=True)
class Setting:
    """State of the machine: only what differs from rest is kept, so equal states compare equal.

    Attributes
    ----------
    positions : tuple of (switch, position)
        Switches that are not at rest, sorted.
    parted : frozenset of str
        Connectors pulled apart.
    lifted : frozenset of str
        Lead ends (``lead.from``, ``lead.to``) taken off their terminals.
    out : frozenset of str
        Fuses and bulbs taken out.
    battery : bool
        Whether the battery is connected.
    engine : str
        ``still``, ``cranking`` or ``running``.
    moved : str or None
        The place whose wiring is being moved while the reading is taken.
    fed : bool
        Whether the machine has a battery at all; known to what `put` made, and no part of the state.
    """

    positions: tuple[tuple[str, str], ...] = ()
    parted: frozenset[str] = field(default_factory=frozenset)
    lifted: frozenset[str] = field(default_factory=frozenset)
    out: frozenset[str] = field(default_factory=frozenset)
    battery: bool = True
    engine: str = "still"
    moved: str | None = None
    fed: bool = field(default=True, compare=False)

    @property
    def dead(self) -> bool:
        """Whether nothing drives a current: the engine still, and the battery off or none there."""
        return not (self.battery and self.fed) and self.engine == "still"

    def words(self) -> tuple[str, ...]:
        """Say the setting in words, one phrase for each thing that is not at rest."""
        phrases = [f"{switch} at {position}" for switch, position in self.positions]
        phrases += [f"{name} parted" for name in sorted(self.parted)]
        phrases += [f"{end} lifted" for end in sorted(self.lifted)]
        phrases += [f"{name} out" for name in sorted(self.out)]
        phrases += ["battery off"] if self.fed and not self.battery else []
        phrases += [f"engine {self.engine}"] if self.engine != "still" else []
        phrases += [f"moving the wiring at {self.moved}"] if self.moved else []
        return tuple(phrases)


def switch_position(harness: Harness, setting: Setting, switch: str) -> str:
    """Give the position a switch is in.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state.
    switch : str
        Id of a switch.

    Returns
    -------
    str
        The position's name.
    """
    part = harness.parts[switch]
    assert isinstance(part, Switch)
    return dict(setting.positions).get(switch, part.rests)


def worked(harness: Harness, switch: str) -> str:
    """Say what works a switch that no hand can set.

    Parameters
    ----------
    harness : Harness
        The machine.
    switch : str
        Id of a part.

    Returns
    -------
    str
        Such as oil pressure; empty for any other part.
    """
    part = harness.parts.get(switch)
    return part.worked_by if isinstance(part, Switch) else ""


def put(
    harness: Harness,
    setting: Setting,
    *,
    positions: Mapping[str, str] | None = None,
    parted: Iterable[str] | None = None,
    lifted: Iterable[str] | None = None,
    out: Iterable[str] | None = None,
    battery: bool | None = None,
    engine: str | None = None,
    moved: str | None = None,
) -> Setting:
    """Give the setting after some things are changed; what is not named stays as it is.

    A switch that no hand sets goes back to rest as the engine comes to a stop; where it leaves a contact breaker nobody
    knows.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        The state before.
    positions : mapping of str to str, optional
        Switch -> position; ``engine`` and ``battery`` are accepted as keys too.
    parted, lifted, out : iterable of str, optional
        The whole new set of parted connectors, lifted lead ends, removed fuses and bulbs.
    battery : bool, optional
        Whether it is connected.
    engine : str, optional
        ``still``, ``cranking`` or ``running``.
    moved : str, optional
        A place, or ``""`` for none.

    Returns
    -------
    Setting
        The state after.

    Raises
    ------
    SettingError, UnknownName
        A switch, position, connector, lead end or place that does not exist.
    """
    merged = dict(setting.positions)
    engine = (positions or {}).get("engine", engine)
    if engine == "still" and setting.engine != "still":
        merged = {name: at for name, at in merged.items() if not worked(harness, name) and not isinstance(harness.parts.get(name), Points)}
    for name, position in (positions or {}).items():
        if name == "battery":
            battery = _battery(position)
        elif name != "engine":
            _set_switch(harness, merged, name, position)
    if engine is not None and engine not in ENGINE_STATES:
        raise UnknownName("engine state", engine, ENGINE_STATES)
    if moved and moved not in harness.places:
        raise UnknownName("place", moved, harness.places)
    return replace(
        setting,
        positions=tuple(sorted(merged.items())),
        parted=setting.parted if parted is None else _connectors(harness, parted),
        lifted=setting.lifted if lifted is None else _ends(harness, lifted),
        out=setting.out if out is None else _removable(harness, out),
        battery=setting.battery if battery is None else battery,
        engine=setting.engine if engine is None else engine,
        moved=setting.moved if moved is None else (moved or None),
        fed=harness.has_battery,
    )


def _battery(position: str) -> bool:
    if position not in ("on", "off"):
        raise UnknownName("battery state", position, ("on", "off"))
    return position == "on"


def _set_switch(harness: Harness, merged: dict[str, str], name: str, position: str) -> None:
    part = harness.parts.get(name)
    if not isinstance(part, Switch):
        switches = [key for key, value in harness.parts.items() if isinstance(value, Switch)]
        raise UnknownName("switch", name, ("engine", "battery", *switches))
    if position not in part.positions:
        raise UnknownName("position", position, part.positions, where=f"{name}")
    if position == part.rests:
        merged.pop(name, None)
    else:
        merged[name] = position


def _connectors(harness: Harness, names: Iterable[str]) -> frozenset[str]:
    known = [key for key, value in harness.parts.items() if isinstance(value, Connector)]
    names = frozenset(names)
    for name in names:
        if name not in known:
            raise UnknownName("connector", name, known)
    return names


def _ends(harness: Harness, names: Iterable[str]) -> frozenset[str]:
    names = frozenset(names)
    for name in names:
        if name not in harness.lead_ends:
            raise UnknownName("lead end", name, harness.lead_ends)
    return names


def _removable(harness: Harness, names: Iterable[str]) -> frozenset[str]:
    names = frozenset(names)
    for name in names:
        part = harness.parts.get(name)
        if part is None:
            raise UnknownName("fuse or lamp", name, [k for k, v in harness.parts.items() if isinstance(v, Fuse | Lamp)])
        if not isinstance(part, Fuse | Lamp):
            raise SettingError(f"{name} is a {part.kind}; only fuses and lamps can be taken out, lift its leads instead")
    return names
