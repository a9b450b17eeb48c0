"""How a part comes by the names of its terminals, for somebody who wrote one that it has not."""

from __future__ import annotations

from ohmtrail.errors import nearest
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Connector, Module, Part, Switch

__all__ = ["terminal_hint"]

#: a part with more terminals than this has only the nearest of them told
_MOST_TOLD = 8


def terminal_hint(harness: Harness, name: str) -> str:
    """Say which terminals the part has, and how others get a name.

    Parameters
    ----------
    harness : Harness
        The machine.
    name : str
        A terminal that does not exist, such as ``lamp.56``.

    Returns
    -------
    str
        Empty where the part does not exist either.
    """
    part_id, _, wanted = name.partition(".")
    part = harness.parts.get(part_id)
    if part is None:
        return ""
    had = tuple(f"{part_id}.{terminal}" for terminal in part.terminals())
    if not had:
        return f"the {part.kind} '{part_id}' has one terminal only, named like itself: write '{part_id}'"
    told = had if len(had) <= _MOST_TOLD else nearest(name, had)
    words = f"{part_id} has {', '.join(told)}" if len(had) <= _MOST_TOLD else f"did you mean {' or '.join(told)}"
    return words + (f"; {how}" if (how := _how(part, _wanted(harness, part_id) or [wanted])) else "")


def _wanted(harness: Harness, part_id: str) -> list[str]:
    """Names of the part's terminals at which leads are to end, in the order of the file."""
    ends = [end.partition(".") for lead in harness.leads.values() for end in (lead.from_, lead.to)]
    return list(dict.fromkeys(name for owner, _, name in ends if owner == part_id and name))


def _how(part: Part, wanted: list[str]) -> str:
    """The key in which the part's terminals are named."""
    if isinstance(part, Connector):
        return "each of its 'cavities:' has a side a and a side b"
    if isinstance(part, Switch):
        return "its terminals are those that its 'positions:' join"
    if isinstance(part, Module):
        return "'terminals:' gives it more"
    if "between" in type(part).model_fields:
        names = ", ".join((*wanted, *part.terminals())[:2])
        return f"to name them as on the machine, write 'between: [{names}]' in the part"
    return ""
