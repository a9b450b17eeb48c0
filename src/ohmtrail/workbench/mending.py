"""Record a mend, and say what proves it."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime
from os import PathLike

from ohmtrail.diagnosis import Expected, Measured, Posterior, Seen, weights_of
from ohmtrail.diagnosis.likelihood import discrete, numeric
from ohmtrail.errors import JobError
from ohmtrail.grammar.asking import mend_named
from ohmtrail.job import add_mend
from ohmtrail.reports.results import Proof, Recorded, Standing
from ohmtrail.workbench.opened import OpenJob, open_job

__all__ = ["mend"]

Job = OpenJob | str | PathLike[str]

#: a reading that speaks so many times for what was mended shows whether the mend holds
_SHOWED = 3.0
_MOST_PROOFS = 3


def mend(job: Job, name: str = "", *, now: datetime, token: str = "") -> Recorded:
    """Record a mend, and say which readings prove it.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    name : str
        Id of the mend, or what it is done to where that says enough; the proposed mend where not given.
    now : datetime
        With its zone.
    token : str
        A mark of the request: when it comes again, nothing is added.

    Returns
    -------
    Recorded
        The mend, the functions to try, and the readings that showed the fault with their sound values.

    Raises
    ------
    UnknownName
        No fault of this machine has that mend.
    JobError
        No mend is named and none was proposed.
    ReadingError
        The name may mean several mends.
    """
    opened = open_job(job)
    before = opened.standing()
    if token and token in before.job.tokens:
        return Recorded(before, "mend", tuple(item for item in before.job.events if item.token == token))
    chosen = _chosen(before, name)
    state = opened.accepted(before.job, now)
    proofs = _proofs(before, before.posterior, chosen) if before.posterior is not None else ()
    add_mend(state, chosen, now, token=token)
    standing = opened.standing()
    return Recorded(standing, "mend", standing.job.events[-1:], proofs=proofs)


def _chosen(standing: Standing, name: str) -> str:
    """The mend that a name means."""
    known, said = standing.case.mends(), name.strip().casefold()
    if not said:
        step = standing.job.proposed
        if step is not None and step.mend is not None:
            return step.mend.id
        likely = standing.posterior.answers[0].mends if standing.posterior is not None else ()
        hint = f", as in '{likely[0]}'" if likely else ""
        raise JobError(f"no mend was proposed that this could mean: name it{hint}")
    best = [mend for item in (standing.posterior.answers[:9] if standing.posterior else ()) for mend in item.mends]
    return mend_named(name, {mend: faults[0].mend.element for mend, faults in known.items()}, likely=best)


def _proofs(standing: Standing, posterior: Posterior, mend: str) -> tuple[Proof, ...]:
    """The readings that spoke for what is mended, the strongest first; the complaint is tried anyway."""
    answer = next((item for item in posterior.answers if mend in item.mends and item.share > 0), None)
    if answer is None:
        return ()
    made: list[Proof] = []
    for weight in sorted(weights_of(posterior, answer), key=lambda item: -item.factor):
        item, number = weight.evidence, standing.number_of(weight.evidence)
        if not isinstance(item, Measured | Seen) or number is None or item in standing.assessment.complaints:
            continue
        spoke = weight.factor >= _SHOWED or _lies_in(item, weight.suspect)
        if spoke and not _as_sound(posterior, item, weight.sound) and all(_what(item) != _what(other.before) for other in made):
            made.append(Proof(number, item, weight.sound))
    return tuple(made[:_MOST_PROOFS])


def _what(item: Measured | Seen) -> Measured | Seen:
    """What was read or watched, whatever came of it."""
    return replace(item, value=0.0) if isinstance(item, Measured) else replace(item, level=0)


def _as_sound(posterior: Posterior, item: Measured | Seen, sound: Expected) -> bool:
    """Whether a sound machine shows the same, so that nothing is proven by it."""
    if isinstance(item, Measured) and numeric(item):
        return _lies_in(item, sound)
    return bool(discrete(posterior.table, item)[0] > 0.5)


def _lies_in(item: Measured | Seen, band: Expected) -> bool:
    """Whether a number lies in a band, or no farther beside it than the band is wide."""
    if not (isinstance(item, Measured) and numeric(item)):
        return False
    beside = band.high - band.low if math.isfinite(band.high) else 0.0
    return band.low - beside <= item.value <= band.high + beside
