"""What a survey notices and passes by, and what to renew, as text and as rows."""

from __future__ import annotations

from collections.abc import Sequence

from ohmtrail.harness import Harness
from ohmtrail.reports.figures import minutes_text, share_text
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.results import Surveyed
from ohmtrail.survey import VERDICTS, Advice, Coverage, Survey, Verdict

__all__ = ["HEADS", "by_verdict", "called", "coverage_lines", "left_rows", "share_words", "write_advice", "write_coverage"]

#: so many elements and kinds are told, the worst first
_MOST_ELEMENTS, _MOST_KINDS = 12, 6
HEADS: dict[Verdict, str] = {
    "regardless": "Renew regardless",
    "unless-original": "Renew if original papers do not matter",
    "watch": "Keep and watch",
    "sound": "Sound as far as is known",
}


def share_words(value: float) -> str:
    """Write a share, ``0.32 %`` or ``14 %``.

    Parameters
    ----------
    value : float
        0 to 1.

    Returns
    -------
    str
        In per cent.
    """
    return f"{100.0 * value:.2g} %" if value < 0.0995 else f"{100.0 * value:.0f} %"


def called(harness: Harness, name: str) -> str:
    """Give the long name of a lead or part, "" where it has none.

    Parameters
    ----------
    harness : Harness
        The machine.
    name : str
        Id of a lead or part.

    Returns
    -------
    str
        The name.
    """
    item = harness.leads.get(name) or harness.parts.get(name)
    return item.called if item is not None else ""


def coverage_lines(cover: Coverage, survey: Survey) -> tuple[str, str]:
    """Say in two sentences what a survey notices and what it takes.

    Parameters
    ----------
    cover : Coverage
        Counted.
    survey : Survey
        The plan.

    Returns
    -------
    tuple of str
        Both sentences, minutes and shares in words.
    """
    noticed = (
        f"Of all single faults, weighted by how often they come: {share_text(cover.noticed)}. Of those that any safe reading within "
        f"reach could notice ({share_text(cover.could)}): {share_text(cover.of_could)}. Counted on {cover.planted} machines "
        "with a planted fault, with tolerances, noise and slips."
    )
    takes = (
        f"It takes {minutes_text(survey.minutes)}; every lead end to end and every terminal to frame would take "
        f"{minutes_text(survey.everything)}."
    )
    return noticed, takes


def left_rows(cover: Coverage, *, most: int = _MOST_ELEMENTS) -> tuple[tuple[str, str, str, str], ...]:
    """Give the elements that leave most unchecked: name, share of all faults, noticed, left.

    Parameters
    ----------
    cover : Coverage
        Counted.
    most : int
        How many at most.

    Returns
    -------
    tuple of tuple
        The largest share first; shares in words.
    """
    worst = sorted(cover.elements, key=lambda item: -item.share * (1.0 - item.noticed))[:most]
    return tuple(
        (item.element, share_words(item.share), share_words(item.noticed), share_words(item.share * (1.0 - item.noticed))) for item in worst
    )


def write_coverage(paper: Paper, cover: Coverage, survey: Survey) -> None:
    """Write what a survey notices, and what it passes by.

    Parameters
    ----------
    paper : Paper
        Where to.
    cover : Coverage
        Counted.
    survey : Survey
        The plan.
    """
    paper.blank()
    paper.line("What it notices", indent=1)
    for line in coverage_lines(cover, survey):
        paper.line(line, indent=4)
    paper.line("Where most is left unchecked:", indent=4)
    paper.table([("element", "of all faults", "noticed", "left"), *left_rows(cover)], indent=6)
    paper.line("What it passes by, and what would show it:", indent=4)
    for item in cover.kinds[:_MOST_KINDS]:
        paper.line(f"{item.called}, {share_words(item.passed)} of all faults: {item.why}. Would show it: {item.would}.", indent=6, hang=8)


def by_verdict(advice: Sequence[Advice]) -> tuple[tuple[Verdict, tuple[Advice, ...]], ...]:
    """Give the advice verdict by verdict, the strongest first.

    Parameters
    ----------
    advice : sequence of Advice
        In any order.

    Returns
    -------
    tuple of tuple
        Verdict, and its advice in the order given; a verdict that nothing got is there as well.
    """
    return tuple((verdict, tuple(item for item in advice if item.verdict == verdict)) for verdict in VERDICTS)


def write_advice(paper: Paper, found: Surveyed) -> None:
    """Write what to renew and what to keep; what is sound is counted only.

    Parameters
    ----------
    paper : Paper
        Where to.
    found : Surveyed
        The survey.
    """
    paper.blank()
    paper.line("Renew or keep", indent=1)
    for verdict, items in by_verdict(found.advice):
        if not items:
            continue
        paper.line(f"{HEADS[verdict]}:" if verdict != "sound" else f"{HEADS[verdict]}: {len(items)} leads and parts.", indent=4)
        for reason, names in _reasons(items) if verdict != "sound" else ():
            paper.line(f"{names}. {reason}", indent=6, hang=8)


def _reasons(items: Sequence[Advice]) -> list[tuple[str, str]]:
    """Reason with its source, and the names that share it with what each takes."""
    found: dict[str, list[str]] = {}
    for item in items:
        age = f", {item.age} years" if item.age is not None else ""
        name = f"{item.element} ({minutes_text(item.minutes)}{age}{', original' if item.original else ''})"
        found.setdefault(f"{item.reason[:1].upper()}{item.reason[1:]} [{item.source}].", []).append(name)
    return [(reason, ", ".join(names)) for reason, names in found.items()]
