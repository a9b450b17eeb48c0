"""What a page beside the machine shows, as plain texts: the step and its answers, the suspects, what was done."""

from __future__ import annotations

from dataclasses import dataclass

from ohmtrail.circuit.meter import Quantity
from ohmtrail.diagnosis import Step
from ohmtrail.errors import UnknownName
from ohmtrail.harness.markings import parse_colour
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.reports.figures import minutes_text, share_text
from ohmtrail.reports.phrases import element_text, evidence_text, place_text, point_text, suspect_text
from ohmtrail.reports.preparing import step_changes
from ohmtrail.reports.proposal import QUANTITIES, headline, outcome_texts, survey_pairs
from ohmtrail.reports.reasons import reasons_of
from ohmtrail.reports.results import Next, Standing
from ohmtrail.reports.settings import left_text, setting_kept, setting_text
from ohmtrail.reports.trouble import stuck_text, trouble_texts

__all__ = ["Choice", "Done", "Pad", "Probe", "StepCard", "SuspectCard", "done_cards", "pad_of", "probe_of", "step_card", "suspect_cards"]

#: below this share a suspect is not listed by itself
_LEAST = 0.005


@dataclass(frozen=True)
class Probe:
    """Where one probe goes: the point's id, part and leads in words, and the lead's screen colours."""

    side: str
    point: str
    words: str
    base: str = ""
    tracer: str = ""


@dataclass(frozen=True)
class Choice:
    """One big button: what it says, and the line it sends."""

    label: str
    line: str


@dataclass(frozen=True)
class Pad:
    """How a step is answered.

    Attributes
    ----------
    quantity : str
        What is read; "" where nothing is.
    unit : str
        Of the number pad; "" where no number is typed.
    units : tuple of Choice
        Other units, with the letters that are added to the number.
    choices : tuple of Choice
        Big buttons.
    signed : bool
        Whether a reading may be below nought.
    """

    quantity: str
    unit: str
    units: tuple[Choice, ...]
    choices: tuple[Choice, ...]
    signed: bool = False


@dataclass(frozen=True)
class StepCard:
    """The next step in texts; ``kind`` is that of the step, or ``proven``, ``unknown`` or ``stuck``."""

    kind: str
    number: int
    head: str
    minutes: str = ""
    opens: tuple[str, ...] = ()
    sets: tuple[str, ...] = ()
    keeps: str = ""
    at: str = ""
    probes: tuple[Probe, ...] = ()
    reasons: tuple[str, ...] = ()
    outcomes: tuple[tuple[str, str], ...] = ()
    careful: str = ""
    cautions: tuple[str, ...] = ()
    places: tuple[tuple[str, str], ...] = ()
    mend: str = ""
    pad: Pad | None = None
    left: str = ""


@dataclass(frozen=True)
class SuspectCard:
    """One suspect: words, share as text and as percent of a bar, and the mends that would put it right."""

    words: str
    share: str
    percent: int
    mends: tuple[str, ...]


@dataclass(frozen=True)
class Done:
    """One thing done: its number, words, a remark on it, and whether it can be struck."""

    number: int
    words: str
    remark: str
    counts: bool
    strikable: bool


_UNITS: dict[str, tuple[str, tuple[Choice, ...]]] = {
    "ohms": ("Ω", (Choice("Ω", ""), Choice("kΩ", "k"), Choice("MΩ", "M"))),
    "amps": ("A", (Choice("A", ""), Choice("mA", "mA"))),
}
_VOLTS = ("V", (Choice("V", ""), Choice("mV", "mV")))
_FLICKERS = Choice("flickers", "flickers")


def pad_of(quantity: Quantity) -> Pad:
    """Give the keys for one quantity.

    Parameters
    ----------
    quantity : str
        What is read.

    Returns
    -------
    Pad
        Unit keys and big buttons.
    """
    if quantity == "beep":
        return Pad(quantity, "", (), (Choice("beeps", "beeps"), Choice("silent", "silent"), _FLICKERS))
    if quantity == "lamp":
        return Pad(quantity, "", (), (Choice("bright", "bright"), Choice("dim", "dim"), Choice("out", "out"), _FLICKERS))
    unit, units = _UNITS.get(quantity, _VOLTS)
    return Pad(quantity, unit, units, (*([Choice("OL", "OL")] if quantity in ("ohms", "diode") else []), _FLICKERS), quantity in ("volts", "amps"))


def _pad(harness: Harness, step: Step) -> Pad:
    if step.kind == "measure":
        return pad_of(step.quantity)
    if step.kind == "look":
        return Pad("", "", (), (Choice("looks sound", "sound"), Choice("damaged", "damaged")))
    if step.kind == "mend":
        return Pad("", "", (), (Choice("Mend is made", f"mend {step.mend.id}" if step.mend else "done"),))
    fails = harness.functions[step.function].fails_as
    words = (Choice("works", "works"), Choice("weak", "weak"), Choice(fails or "fails", "absent"), Choice("comes and goes", "sometimes"))
    return Pad("", "", (), words)


def probe_of(standing: Standing, side: str, point: str, step: Step | None = None) -> Probe:
    """Say where one probe goes.

    Parameters
    ----------
    standing : Standing
        The job.
    side : str
        ``red``, ``black`` or ``clamp``.
    point : str
        Probe point.
    step : Step, optional
        What is done; else the machine is as it stands.

    Returns
    -------
    Probe
        With the colours of the first lead there.
    """
    harness = standing.job.harness
    setting = step.setting if step is not None else standing.job.bench.setting
    words = point_text(harness, point, setting)
    base, tracer = _colours(harness, point)
    return Probe(side, point, words, base, tracer)


def _colours(harness: Harness, point: str) -> tuple[str, str]:
    if point == FRAME:
        return "", ""
    ends = harness.leads_at.get(point, ())
    lead = point if point in harness.leads else harness.lead_ends[point][0] if point in harness.lead_ends else ""
    lead = lead or (harness.lead_ends[ends[0]][0] if ends else "")
    colour = harness.leads[lead].colour if lead else ""
    try:
        base, tracer = parse_colour(colour).screen if colour else ("", None)
    except UnknownName:
        return "", ""
    return base, tracer or ""


def step_card(shown: Next) -> StepCard:
    """Give the next step in texts.

    Parameters
    ----------
    shown : Next
        The proposal.

    Returns
    -------
    StepCard
        Ready to be placed on a page.
    """
    standing, step = shown.standing, shown.proposal.step
    assessment = standing.assessment
    if step is None and assessment.proven:
        return StepCard("proven", shown.number, "Proven: every complaint works again.", left=left_text(standing))
    if step is None and standing.posterior is None and not assessment.to_prove:
        return StepCard("unknown", shown.number, "Nothing is known to be wrong: enter what fails.")
    if step is None:
        return _stuck(shown)
    harness, now = standing.job.harness, standing.job.bench.setting
    kept = setting_kept(harness, now, step.setting) if step.kind in ("measure", "watch") else ()
    return StepCard(
        step.kind,
        shown.number,
        QUANTITIES[step.quantity] if step.kind == "measure" and step.quantity != "amps" else headline(shown, step),
        minutes_text(shown.proposal.minutes) if shown.proposal.minutes > 0.0 else "",
        tuple(f"{place_text(harness, place)} ({minutes_text(harness.places[place].reach)})" for place in shown.opens),
        step_changes(harness, standing.job.bench, step),
        " · ".join(kept),
        (harness.functions[step.function].seen_at or "") if step.kind == "watch" else element_text(harness, step.element),
        _probes(standing, step),
        (*survey_texts(shown), *reasons_of(shown)),
        outcome_texts(step, shown.outcomes),
        "; ".join(item.brief for item in shown.cautions),
        tuple(item.text for item in shown.cautions),
        tuple((place, harness.places[place].called or place) for place in shown.opens),
        step.mend.id if step.mend is not None else "",
        _pad(harness, step),
    )


def survey_texts(shown: Next) -> tuple[str, ...]:
    """Which reading of a survey it is, what a sound machine shows, and what must be true before it."""
    return tuple(f"{head}: {text}" for head, text in survey_pairs(shown))


def _probes(standing: Standing, step: Step) -> tuple[Probe, ...]:
    if step.kind != "measure":
        return ()
    if step.quantity == "amps":
        return (probe_of(standing, "clamp", step.red, step),)
    return probe_of(standing, "red", step.red, step), probe_of(standing, "black", step.black, step)


def _stuck(shown: Next) -> StepCard:
    """Nothing more can be told: what is left, and what could be reached after all."""
    standing = shown.standing
    harness, posterior, group = standing.job.harness, standing.posterior, shown.proposal.group
    said = []
    if posterior is not None and group:
        said.append(f"It is one of: {'; '.join(f'{suspect_text(posterior, item)} ({share_text(item.share)})' for item in group[:4])}.")
    barred = tuple((place, harness.places[place].called or place) for place in sorted(standing.job.bench.barred))
    return StepCard("stuck", shown.number, stuck_text(standing), reasons=tuple(said), places=barred)


def suspect_cards(standing: Standing, *, most: int = 12) -> tuple[SuspectCard, ...]:
    """Give the suspects, what is left over as one.

    Parameters
    ----------
    standing : Standing
        The job.
    most : int
        How many are named.

    Returns
    -------
    tuple of SuspectCard
        The likeliest first.
    """
    posterior = standing.posterior
    if posterior is None:
        return ()
    named = [item for item in posterior.answers[:most] if item.share >= _LEAST] or list(posterior.answers[:1])
    cards = [_suspect(suspect_text(posterior, item), item.share, item.mends) for item in named]
    left = sum(item.share for item in posterior.answers[len(named) :])
    if left > 1e-4:
        cards.append(_suspect(f"{len(posterior.answers) - len(named)} others", left, ()))
    cards.append(_suspect("something that is not listed", posterior.unlisted, ()))
    return tuple(cards)


def _suspect(words: str, share: float, mends: tuple[str, ...]) -> SuspectCard:
    return SuspectCard(words, share_text(share), round(100.0 * share), mends)


def done_cards(standing: Standing) -> tuple[Done, ...]:
    """Give everything done so far.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    tuple of Done
        In order.
    """
    cards = []
    for event in standing.job.events:
        dropped = event.number in standing.dropped
        remark = "complaint" if event.complaint else minutes_text(event.minutes)
        remark = "struck" if event.struck else "no longer counts since a mend" if dropped else remark
        counts = not (event.struck or dropped)
        cards.append(Done(event.number, evidence_text(event.what), remark, counts, strikable=not event.struck))
    return tuple(cards)


def quantity_choices() -> tuple[tuple[str, str], ...]:
    """Give what a meter reads, with the words for it."""
    return tuple(QUANTITIES.items())


def state_text(standing: Standing) -> str:
    """Say how the machine stands."""
    return setting_text(standing.job.bench.setting)


def trouble_text(standing: Standing) -> str:
    """Say what does not fit, if anything."""
    return " ".join(trouble_texts(standing))
