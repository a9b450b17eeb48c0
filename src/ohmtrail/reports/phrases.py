"""Things in words: readings, steps, probe points, settings, suspects."""

from __future__ import annotations

import shlex

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Answer, Evidence, Looked, Mended, Posterior, Seen, Step
from ohmtrail.errors import UnknownName
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.standards import parse_colour
from ohmtrail.reports.figures import band_text, level_text, value_text

__all__ = [
    "command_text",
    "element_text",
    "evidence_text",
    "place_text",
    "point_text",
    "result_text",
    "step_text",
    "suspect_text",
]

_NAMES = {
    "ohms": "ohms",
    "volts": "volts",
    "ac": "AC volts",
    "peak": "peak volts",
    "diode": "diode range",
    "beep": "beeper",
    "lamp": "test lamp",
    "amps": "amps, clamp",
}


def evidence_text(item: Evidence | Mended, *, setting: bool = True) -> str:
    """Write a piece of evidence or a mend in one line.

    Parameters
    ----------
    item : Evidence or Mended
        What was done.
    setting : bool
        Whether to say how the machine was set.

    Returns
    -------
    str
        One line.
    """
    if isinstance(item, Mended):
        return f"mend: {item.mend}"
    if isinstance(item, Looked):
        return f"looked at {item.element}: {'damaged' if item.damaged else 'sound'}"
    tail = f"  ({', '.join(words)})" if setting and (words := item.setting.words()) else ""
    if isinstance(item, Seen):
        return f"{item.function}: {level_text(item.level, sometimes=item.sometimes)}{tail}"
    shown = "flickers" if item.flickers else value_text(item.quantity, item.value)
    where = item.red if item.quantity == "amps" else f"{item.red} to {item.black}"
    return f"{item.quantity} {where}: {shown}{tail}"


def result_text(item: Evidence | Mended) -> str:
    """Say what came of a step, without what was done.

    Parameters
    ----------
    item : Evidence or Mended
        What was observed or done.

    Returns
    -------
    str
        A few words.
    """
    if isinstance(item, Mended):
        return "done"
    if isinstance(item, Looked):
        return "damaged" if item.damaged else "sound"
    if isinstance(item, Seen):
        return level_text(item.level, sometimes=item.sometimes)
    return "flickers" if item.flickers else value_text(item.quantity, item.value)


def step_text(step: Step) -> str:
    """Say a step in one line.

    Parameters
    ----------
    step : Step
        What is done.

    Returns
    -------
    str
        One line.
    """
    if step.kind == "measure":
        where = f"around {step.red}" if step.quantity == "amps" else f"{step.red} to {step.black}"
        return f"{_NAMES[step.quantity]} {where}"
    if step.kind == "watch":
        moved = f" while moving the wiring at {step.setting.moved}" if step.setting.moved else ""
        return f"watch {step.function}{moved}"
    if step.kind == "look":
        return f"look closely at {step.element}"
    return f"mend: {step.mend.id}" if step.mend is not None else "mend"


def place_text(harness: Harness, place: str) -> str:
    """Name a place with how it is opened.

    Parameters
    ----------
    harness : Harness
        The machine.
    place : str
        Its id.

    Returns
    -------
    str
        One phrase.
    """
    item = harness.places[place]
    how = f": {item.how}" if item.how else ""
    return f"{item.called or place}{how}"


def _lead_text(harness: Harness, lead_id: str, *, end: str = "") -> str:
    """A lead by colour and id, and from one of its ends where it goes: to which place, or in one place to which terminal."""
    lead = harness.leads[lead_id]
    try:
        colour = f"{parse_colour(lead.colour).words} lead" if lead.colour else "lead"
    except UnknownName:
        colour = f"lead marked {lead.colour}"
    if not end:
        return f"{colour} {lead_id}"
    other = f"{lead_id}.to" if end.endswith(".from") else f"{lead_id}.from"
    place = harness.place_of(other)
    if place == harness.place_of(end):
        return f"{colour} {lead_id}, to {harness.lead_ends[other][1]}"
    return f"{colour} {lead_id}" + (f", towards {harness.places[place].called or place}" if place else "")


def point_text(harness: Harness, point: str, setting: Setting) -> str:
    """Say where a probe goes: part, leads there by colour, which way they run.

    Parameters
    ----------
    harness : Harness
        The machine.
    point : str
        Probe point.
    setting : Setting
        State of the machine.

    Returns
    -------
    str
        Such as ``large steering-head plug, violet-white lead stop-2, towards the tank``.
    """
    if point == FRAME:
        return "clean bare metal of the frame"
    if point in harness.leads:
        return _lead_text(harness, point)
    if point in harness.lead_ends:
        lead, terminal = harness.lead_ends[point]
        state = "lifted end" if point in setting.lifted else "crimp"
        return f"{state} of the {_lead_text(harness, lead)}, at {terminal}"
    part = harness.terminals[point][0]
    words = [harness.parts[part].called or part]
    for end in harness.leads_at.get(point, ())[:3]:
        gone = " (lifted)" if end in setting.lifted else ""
        words.append(_lead_text(harness, harness.lead_ends[end][0], end=end) + gone)
    return "; ".join(words)


def element_text(harness: Harness, element: str) -> str:
    """Say where a lead or the end of one is to be looked at.

    Parameters
    ----------
    harness : Harness
        The machine.
    element : str
        Lead, lead end, or anything else.

    Returns
    -------
    str
        Such as ``crimp of the white lead ign-2, at dash-plug.2a; behind the dashboard``; empty for what is no lead.
    """
    if element not in harness.leads and element not in harness.lead_ends:
        return ""
    place = harness.place_of(element) if element in harness.lead_ends else None
    at = [harness.places[place].called or place] if place else []
    return "; ".join((point_text(harness, element, Setting()), *at))


def suspect_text(posterior: Posterior, answer: Answer) -> str:
    """Say an answer by its likeliest fault, with the severity where that is known well.

    Parameters
    ----------
    posterior : Posterior
        Where the answer is from.
    answer : Answer
        The answer.

    Returns
    -------
    str
        Such as ``stop-2 leaks to frame, 2.1 to 6.6 Ω``.
    """
    row = posterior.table.rows[answer.rows[0]]
    words = " and ".join(fault.words for fault in row.faults)
    if answer.severity is None or len(row.faults) != 1 or not _in_ohms(row.faults[0].low, row.faults[0].high):
        return words
    low, high = answer.severity
    return f"{words}, {band_text('ohms', low, high)}" if high < 30.0 * low else words


def _in_ohms(low: float, high: float) -> bool:
    """Whether a severity is in ohm: factors lie below one."""
    return high > 1.0 or low <= 0.0


def command_text(verb: str, job: str, tail: str = "") -> str:
    """Write a command as it can be typed.

    Parameters
    ----------
    verb : str
        The command.
    job : str
        The job file; "" where there is none.
    tail : str
        What follows.

    Returns
    -------
    str
        On one line.

    Examples
    --------
    >>> command_text("strike", "my bike.job", "3")
    "ohmtrail strike 'my bike.job' 3"
    """
    return " ".join(filter(None, ("ohmtrail", verb, shlex.quote(job) if job else "JOB", tail)))
