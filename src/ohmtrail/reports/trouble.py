"""What does not fit: a file that is wrong about the machine, an odd reading, readings that nothing listed explains."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ohmtrail.circuit.astray import Astray
from ohmtrail.diagnosis import Measured, Posterior, Seen, weights_of
from ohmtrail.diagnosis.explain import OddReading
from ohmtrail.diagnosis.likelihood import discrete
from ohmtrail.reports.figures import joined, share_text
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import command_text, evidence_text
from ohmtrail.reports.results import Standing

__all__ = ["MOST_NEAR", "astray_text", "lost_text", "stuck_text", "trouble_texts", "unlisted_near", "write_trouble"]

#: elements that are told of where something unlisted may be, and the least share of one
MOST_NEAR, NEAR_SHARE = 3, 0.05
#: what a meter shows with a sign
_SIGNED = ("volts", "diode", "amps")
#: how much likelier the best answer without the odd reading must be to be told
_LIKELIER = 0.05
#: chance that a fault brings the complaint, beyond which it does; what is misjudged alone stays below
_BRINGS = 0.05


def write_trouble(paper: Paper, standing: Standing, *, talking: bool = False) -> None:
    """Say what does not fit, if anything, and what to do about it.

    Parameters
    ----------
    paper : Paper
        Where to.
    standing : Standing
        The job.
    talking : bool
        Whether this stands in a conversation, where a word is typed instead of a command.
    """
    number = standing.number_of(standing.odd.evidence) if standing.odd is not None else None
    strike = f"strike {number}" if talking else command_text("strike", standing.job.path, f"{number}")
    for text in trouble_texts(standing, strike=strike):
        paper.line(text, indent=1)
        paper.blank()


def trouble_texts(standing: Standing, *, strike: str = "") -> Iterator[str]:
    """Give what does not fit, a paragraph each.

    Parameters
    ----------
    standing : Standing
        The job.
    strike : str
        What is typed to strike the odd reading; "" where a button does it.

    Yields
    ------
    str
        One to three sentences.
    """
    posterior, odd = standing.posterior, standing.odd
    if posterior is None:
        return
    if standing.astray is not None:
        yield astray_text(standing.astray)
    if standing.assessment.in_vain:
        yield _vain_text(standing.assessment.in_vain)
    for item in standing.assessment.complaints:
        if isinstance(item, Seen) and standing.astray is None and (said := _unlikely_text(standing, posterior, item)):
            yield said
    if odd is not None:
        text = f"Reading {standing.number_of(odd.evidence)} fits least ({evidence_text(odd.evidence)})."
        if odd.share > posterior.answers[0].share + _LIKELIER:
            text += f" Without it, '{joined(odd.without.mends)}' would be at {share_text(odd.share)}."
        text += " With the probes the other way round it would fit." if _fits_turned(posterior, odd) else ""
        yield f"{text} Take it again, or strike it{f': {strike}' if strike else '.'}"
    # where the file itself does not let the function work, that is why no suspect is left
    if standing.lost and (standing.astray is None or posterior.best is not None):
        yield lost_text(posterior)


def _fits_turned(posterior: Posterior, odd: OddReading) -> bool:
    """Whether a reading that fits nothing would be as one of the leading answers has it with its sign changed."""
    item = odd.evidence
    if not isinstance(item, Measured) or item.quantity not in _SIGNED or item.flickers:
        return False
    weights = [weight for answer in (odd.without, *posterior.answers[:2]) for weight in weights_of(posterior, answer)]
    return any(weight.suspect.low <= -item.value <= weight.suspect.high for weight in weights if weight.evidence == item)


def _unlikely_text(standing: Standing, posterior: Posterior, complaint: Seen) -> str:
    """Say why nothing in the file brings a complaint; nothing where something does."""
    if discrete(posterior.table, complaint).max() > _BRINGS:
        return ""
    name = complaint.function
    if complaint.sometimes:
        return f"Nothing in the file makes {name} come and go: give the looms on its way 'flexes_at', where their wiring moves."
    if complaint.level == 1:
        return f"By the file {name} works or fails and is never weak: give its needs a limit 'weak', or complain that it fails."
    return ""


def _vain_text(mends: Sequence[str]) -> str:
    """Say that mends changed nothing."""
    them = "it" if len(mends) == 1 else "them"
    said = joined([f"'{mend}'" for mend in dict.fromkeys(mends)])
    return f"{said} put nothing right, as it looks: what was read before {them} counts again."


def stuck_text(standing: Standing) -> str:
    """Say that there is no next step.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    str
        One sentence.
    """
    if standing.astray is not None and standing.posterior is not None and standing.posterior.best is None:
        return "No reading can help before the harness file is put right."
    return "Nothing that can be reached tells more."


def astray_text(astray: Astray) -> str:
    """Say that the file does not match the machine, and where to look.

    Parameters
    ----------
    astray : Astray
        What does not work by the file.

    Returns
    -------
    str
        One or two sentences.
    """
    verb = "do" if len(astray.functions) > 1 else "does"
    said = f"By the harness file {joined(astray.functions)} {verb} not work even with everything sound: the file may not match the machine."
    words = astray.words()
    return f"{said} {words[0].upper()}{words[1:]}: look there first, and put the file right." if words else f"{said} Put it right first: ohmtrail check says what is not met."


def unlisted_near(posterior: Posterior | None) -> tuple[tuple[str, float], ...]:
    """Give the elements at which something unlisted may be, with their shares, as far as they are worth telling.

    Parameters
    ----------
    posterior : Posterior or None
        The suspects.

    Returns
    -------
    tuple of (str, float)
        The likeliest first; none where the listed suspects explain the readings.
    """
    found = posterior.unlisted_at[:MOST_NEAR] if posterior is not None else ()
    return tuple(item for item in found if item[1] >= NEAR_SHARE)


def lost_text(posterior: Posterior) -> str:
    """Say that nothing listed explains the readings, and what they point at.

    Parameters
    ----------
    posterior : Posterior
        The suspects.

    Returns
    -------
    str
        One or two sentences.
    """
    said = "Nothing that is listed explains these readings: check them, and whether the machine is wired as the file says."
    near = [f"{name} ({share_text(share)})" for name, share in unlisted_near(posterior)]
    return f"{said} They read like something else at {' or '.join(near)}." if near else said
