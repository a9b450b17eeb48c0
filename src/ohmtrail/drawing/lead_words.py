"""The words beside leads."""

from __future__ import annotations

from ohmtrail.errors import UnknownName
from ohmtrail.harness import Lead
from ohmtrail.harness.markings import parse_colour
from ohmtrail.units import show

__all__ = ["lead_lines", "lead_title", "size_words"]


def size_words(lead: Lead) -> str:
    """Give a lead's size in mm², with what was not given left out.

    Parameters
    ----------
    lead : Lead
        The lead.

    Returns
    -------
    str
        "" where nothing was given.
    """
    return f"{lead.size:.2g}" if lead.size is not None and lead.size < 10 else f"{lead.size:g}" if lead.size is not None else ""


def lead_lines(lead_id: str, lead: Lead) -> tuple[str, str]:
    """Give the two lines beside a lead: its id; colour letters and size.

    Parameters
    ----------
    lead_id : str
        Its id.
    lead : Lead
        The lead.

    Returns
    -------
    tuple of str
        Id; colour letters and size.
    """
    return lead_id, " ".join(word for word in (lead.colour, size_words(lead)) if word)


def lead_title(lead_id: str, lead: Lead, state: str = "") -> str:
    """Give the sentence that stands in a lead's title.

    Parameters
    ----------
    lead_id : str
        Its id.
    lead : Lead
        The lead.
    state : str
        How it is, in words; "" where that is not known.

    Returns
    -------
    str
        One sentence.
    """
    try:
        colour = parse_colour(lead.colour).words if lead.colour else ""
    except UnknownName:
        colour = lead.colour
    facts = [colour, f"{size_words(lead)} mm²" if lead.size else "", show(lead.length_m, "metre") if lead.length else ""]
    told = ", ".join(fact for fact in (*facts, *lead.assumed(), state) if fact)
    called = f" ({lead.called})" if lead.called else ""
    return f"lead {lead_id}{called}: {lead.from_} to {lead.to}" + (f"; {told}" if told else "")
