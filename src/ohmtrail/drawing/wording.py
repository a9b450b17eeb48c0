"""The words beside symbols."""

from __future__ import annotations

from ohmtrail.circuit import Setting, switch_position
from ohmtrail.harness import FRAME, Harness
from ohmtrail.harness import parts as P
from ohmtrail.units import Toleranced, show

__all__ = ["name_of", "part_title", "value_of"]


def name_of(harness: Harness, part: str) -> str:
    """Give the short name of a part: its id in words.

    Parameters
    ----------
    harness : Harness
        The machine.
    part : str
        Its id.

    Returns
    -------
    str
        A few words.
    """
    return "frame" if part == FRAME else part.replace("-", " ").replace("_", " ") if not part[:1].isupper() else part


def value_of(harness: Harness, setting: Setting, part_id: str) -> str:
    """Give a part's leading value, or the position it is in.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        State of the machine.
    part_id : str
        Its id.

    Returns
    -------
    str
        "" where the part has none.
    """
    part = harness.parts.get(part_id)
    match part:
        case P.Switch():
            return f"at {switch_position(harness, setting, part_id)}"
        case P.Fuse():
            return ("taken out" if part_id in setting.out else "") or show(part.rating, "ampere")
        case P.Lamp():
            watts = "/".join(f"{filament.watts:g}" for filament in part.all_filaments().values())
            return f"{watts} W" + (" · taken out" if part_id in setting.out else "")
        case P.Battery():
            return show(part.volts_at("volts", harness.supply.nominal), "volt") + ("" if setting.battery else " · off")
        case P.Coil():
            return f"{_ohm(part.primary.resistance)} / {_ohm(part.secondary.resistance)}"
        case P.Winding() | P.Horn() | P.Resistor() | P.Motor():
            return _ohm(part.resistance, spread=True)
        case P.Relay():
            return f"coil {_ohm(part.resistance)}"
        case P.Regulator() | P.Alternator():
            return f"holds {show(part.limits, 'volt')}"
        case P.Rectifier():
            held = f" · holds {show(part.limits, 'volt')}" if part.limits else ""
            return f"{part.wave} wave{held}"
        case P.Capacitor():
            return f"{part.capacitance * 1e6:.2g} µF"
        case P.Module():
            return "sealed"
        case P.Metal() if part.bolted_to:
            return f"bolted to {part.bolted_to}"
        case P.Connector() if part_id in setting.parted:
            return "parted"
    return ""


def _ohm(value: Toleranced, *, spread: bool = False) -> str:
    text = show(value.value, "ohm")
    return f"{text} ± {value.tolerance:.0%}".replace("%", " %") if spread else text


def part_title(harness: Harness, setting: Setting, part_id: str) -> str:
    """Give the sentence that stands in a part's title.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        State of the machine.
    part_id : str
        Its id.

    Returns
    -------
    str
        One sentence.
    """
    part = harness.parts.get(part_id)
    if part is None:
        return "frame: the common earth"
    called = f" ({part.called})" if part.called else ""
    value = value_of(harness, setting, part_id)
    return f"{part.kind} {part_id}{called}" + (f": {value}" if value else "") + (f"; {part.note}" if part.note else "")
