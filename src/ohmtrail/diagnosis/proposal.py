"""A step with what it costs and tells, and what is proposed."""

from __future__ import annotations

from dataclasses import dataclass

from ohmtrail.diagnosis.posterior import Answer
from ohmtrail.diagnosis.steps import Step

__all__ = ["NAMED", "TELLING", "Proposal", "Scored"]

#: an answer is named from here on
NAMED = 0.95
#: from here on a step tells enough to be worth doing before a mend, bit; own choice
TELLING = 0.1


@dataclass(frozen=True)
class Scored:
    """A step with what it costs and tells.

    Attributes
    ----------
    step : Step
        What to do.
    minutes : float
        What it costs from here.
    bits : float
        Information on the mend that is wanted.
    price : float
        Minutes less the chance that its openings are needed for the mend anyway.
    """

    step: Step
    minutes: float
    bits: float
    price: float

    @property
    def rate(self) -> float:
        """Bits per minute."""
        return self.bits / max(self.price, 0.05)


@dataclass(frozen=True)
class Proposal:
    """What to do next, and why.

    Attributes
    ----------
    step : Step or None
        None where nothing that can be reached tells more.
    minutes : float
        What the step costs.
    bits : float
        What it tells.
    named : Answer or None
        An answer that is likely enough and confirmed.
    group : tuple of Answer
        Answers that nothing within reach tells apart, the likeliest first; one answer is no group.
    confirms : bool
        Whether the step is aimed at the likeliest answer before it is named.
    others : tuple of Scored
        The next best steps.
    expected : float
        Expected minutes to a proven mend; nan where it was not reckoned.
    against : tuple of str
        Elements where something that nobody listed would read like the likeliest answer so far, where the step is
        to tell them apart.
    alike : tuple of Answer
        Listed answers, rare ones, that read like the likeliest one so far, where the step is to tell them apart.
    would_split : Scored or None
        For a group: the step that would tell its answers apart if its places could be reached.
    """

    step: Step | None
    minutes: float
    bits: float
    named: Answer | None
    group: tuple[Answer, ...]
    confirms: bool
    others: tuple[Scored, ...]
    expected: float = float("nan")
    would_split: Scored | None = None
    against: tuple[str, ...] = ()
    alike: tuple[Answer, ...] = ()
