"""Result objects to plain text: 80 columns, no colour needed."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from ohmtrail.diagnosis import (
    Action,
    Assessment,
    Evidence,
    Looked,
    Measured,
    Mended,
    Posterior,
    Proposal,
    Seen,
    Step,
    cautions_for,
    needed_places,
    outcomes_of,
)
from ohmtrail.errors import UnknownName
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.standards import parse_colour
from ohmtrail.units import show

__all__ = ["evidence_text", "proposal_lines", "step_text", "suspect_lines", "value_text"]

_UNIT = {"ohms": "ohm", "beep": "ohm", "volts": "volt", "ac": "volt", "peak": "volt", "diode": "volt", "lamp": "volt", "amps": "ampere"}
_LEVEL = ("fails", "weak", "works")
_BAR = 24


def value_text(quantity: str, value: float) -> str:
    """Write a display value.

    Parameters
    ----------
    quantity : str
        What was read.
    value : float
        Ohm, volt or ampere; infinity for over-range.

    Returns
    -------
    str
        Such as ``3.2 Ω`` or ``over range``.
    """
    if math.isinf(value):
        return "over range"
    if quantity == "beep":
        return "beeps" if value > 0.5 else "silent"
    if quantity == "lamp":
        return "bright" if value > 0.75 else "out" if value < 0.25 else "dim"
    return show(value, _UNIT[quantity])


def evidence_text(item: Evidence | Mended) -> str:
    """Write a piece of evidence or a mend in one line.

    Parameters
    ----------
    item : Evidence or Mended
        What was done.

    Returns
    -------
    str
        One line.
    """
    if isinstance(item, Mended):
        return f"mend: {item.mend}"
    if isinstance(item, Looked):
        return f"looked at {item.element}: {'damaged' if item.damaged else 'sound'}"
    if isinstance(item, Seen):
        return f"{item.function}: {'comes and goes' if item.sometimes else _LEVEL[item.level]}" + _with(item.setting.words())
    shown = "flickers" if item.flickers else value_text(item.quantity, item.value)
    return f"{item.quantity} {item.red} to {item.black}: {shown}" + _with(item.setting.words())


def _with(words: tuple[str, ...]) -> str:
    return f"  ({', '.join(words)})" if words else ""


def step_text(step: Step) -> str:
    """Say a step in one line.

    Parameters
    ----------
    step : Step
        What to do.

    Returns
    -------
    str
        One line.
    """
    if step.kind == "measure":
        return f"{step.quantity}  red {step.red}  black {step.black}"
    if step.kind == "watch":
        return f"watch: {step.function}"
    if step.kind == "look":
        return f"look closely at {step.element}"
    return step.mend.id if step.mend is not None else "mend"


def _point(harness: Harness, point: str) -> str:
    """A probe point with its place and the colours of its leads."""
    if point == FRAME:
        return "bare metal of the frame nearby"
    words = [harness.places[place].called or place] if (place := harness.place_of(point)) else []
    terminal = harness.lead_ends.get(point, ("", point))[1]
    colours = []
    for end in harness.leads_at.get(terminal, ()):
        try:
            colours.append(parse_colour(harness.leads[harness.lead_ends[end][0]].colour).words)
        except UnknownName:
            continue
    return ", ".join([*words, *(f"{name} lead" for name in dict.fromkeys(colours))])


def proposal_lines(harness: Harness, assessment: Assessment, proposal: Proposal, setting_words: tuple[str, ...]) -> Iterator[str]:
    """Write a proposal as a full instruction.

    Parameters
    ----------
    harness : Harness
        The machine.
    assessment : Assessment
        What is known.
    proposal : Proposal
        What to do.
    setting_words : tuple of str
        How the machine stands now.

    Yields
    ------
    str
        Lines of at most 80 columns.
    """
    step = proposal.step
    if step is None:
        yield "Nothing that can be reached tells more."
        return
    yield f"{step_text(step)}   about {proposal.minutes:.1f} min"
    from ohmtrail.circuit import Setting

    for place in sorted(needed_places(harness, step, Setting())):
        item = harness.places[place]
        yield from _wrapped(f"Place  {item.called or place}: {item.how or 'open'} ({item.reach:g} min)")
    if step.setting.words():
        yield from _wrapped(f"Set    {', '.join(step.setting.words())}")
    if step.kind == "measure":
        yield from _wrapped(f"Red    {step.red}  ({_point(harness, step.red)})")
        yield from _wrapped(f"Black  {step.black}  ({_point(harness, step.black)})")
    if proposal.confirms:
        yield "This confirms the likeliest answer before anything is changed."
    if assessment.posterior is not None:
        for line in _outcome_lines(assessment.posterior, step):
            yield from _wrapped(line)
    for careful in cautions_for(harness, step):
        yield from _wrapped(f"Careful: {careful.text}")


def _outcome_lines(posterior: Posterior, step: Step) -> Iterator[str]:
    items: list[Evidence] = []
    if step.kind == "measure":
        items = [Measured(step.quantity, step.red, step.black, step.setting, value) for value in (0.0, 0.5, 1.0)]
        items = items[:1] if step.quantity not in ("lamp", "beep") else items
    elif step.kind == "watch":
        items = [Seen(step.function, step.setting, level) for level in (0, 1, 2)]
    elif step.kind == "look":
        items = [Looked(step.element, True), Looked(step.element, False)]
    if not items:
        return
    for outcome in outcomes_of(posterior, items):
        shown = outcome.word or f"{value_text(step.quantity, outcome.low)} to {value_text(step.quantity, outcome.high)}"
        shown = "over range" if shown == "over range to over range" else shown
        means = ", ".join(f"{' and '.join(mends)} {share:.0%}" for mends, share in outcome.answers)
        yield f"  {shown}:  {means or 'none of the suspects'}"


def suspect_lines(assessment: Assessment, *, most: int = 5) -> Iterator[str]:
    """Write the suspects as bars.

    Parameters
    ----------
    assessment : Assessment
        What is known.
    most : int
        Suspects shown.

    Yields
    ------
    str
        Lines of at most 80 columns.
    """
    posterior = assessment.posterior
    if posterior is None:
        yield "Nothing is known to be wrong." if not assessment.to_prove else "Mended: now try it."
        return
    if posterior.unlisted > 0.5:
        yield "Nothing listed explains these readings: take the odd one again, or check the file."
    for answer in posterior.answers[:most]:
        row = posterior.table.rows[answer.rows[0]]
        words = " and ".join(fault.words for fault in row.faults)
        yield f"{answer.share:6.1%}  {'#' * round(answer.share * _BAR):<{_BAR}}  {words}"[:100]
    rest = sum(answer.share for answer in posterior.answers[most:])
    if rest > 0.001:
        yield f"{rest:6.1%}  {'#' * round(rest * _BAR):<{_BAR}}  others"
    yield f"{posterior.unlisted:6.1%}  {'#' * round(posterior.unlisted * _BAR):<{_BAR}}  something that is not listed"


def action_lines(action: Action) -> Iterator[str]:
    """Write what came of a step.

    Parameters
    ----------
    action : Action
        A step done.

    Yields
    ------
    str
        Lines.
    """
    yield f"  => {evidence_text(action.result)}   [{action.minutes:.1f} min]"


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, width=78, initial_indent="  ", subsequent_indent="         ")
