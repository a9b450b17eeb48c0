"""Why a step is the next one, where that is not plain from its outcomes."""

from __future__ import annotations

from ohmtrail.diagnosis import Answer, Posterior, Step, repeats
from ohmtrail.reports.figures import joined, share_text
from ohmtrail.reports.phrases import suspect_text
from ohmtrail.reports.results import Next
from ohmtrail.reports.trouble import MOST_NEAR

__all__ = ["group_text", "reasons_of"]


def group_text(posterior: Posterior, group: tuple[Answer, ...]) -> str:
    """Say the answers that nothing within reach tells apart, the first few with their shares.

    Parameters
    ----------
    posterior : Posterior
        The suspects.
    group : tuple of Answer
        Some of them.

    Returns
    -------
    str
        On one line.
    """
    return "; ".join(f"{suspect_text(posterior, item)} ({share_text(item.share)})" for item in group[:4])


def reasons_of(shown: Next) -> tuple[str, ...]:
    """Say why this step, where that is not plain from the outcomes.

    Parameters
    ----------
    shown : Next
        The proposal.

    Returns
    -------
    tuple of str
        Sentences; often none.
    """
    proposal, posterior = shown.proposal, shown.standing.posterior
    if posterior is None and proposal.named is not None and shown.standing.assessment.to_prove:
        return ("It blew with what was mended before it, by all that was read. The try comes after.",)
    if posterior is None:
        return ()
    said = []
    if proposal.step is not None and proposal.step.kind == "measure" and proposal.step.quantity != "amps":
        said += _both_hands(proposal.step)
    if proposal.step is not None and proposal.step.kind == "look" and proposal.step.element in shown.standing.job.harness.leads:
        said.append("Look at its covering, its ends, and at each connector whether its colour goes on as the file has it.")
    if proposal.against and proposal.confirms and posterior.best is not None:
        where = " or ".join(proposal.against[:MOST_NEAR])
        said.append(f"Tells '{joined(posterior.best.mends)}' from something else at {where} that nobody listed.")
    elif proposal.alike and posterior.best is not None:
        rare = " or ".join(f"'{joined(item.mends)}'" for item in proposal.alike[:MOST_NEAR])
        said.append(f"Tells '{joined(posterior.best.mends)}' from {rare}: rarer, but alike in all that was read.")
    elif proposal.confirms and posterior.best is not None:
        said.append(_confirming(shown, posterior.best, proposal.step))
    if proposal.against and proposal.step is not None and proposal.step.mend is not None:
        said.append(f"Tried, not certain: something else at {' or '.join(proposal.against[:MOST_NEAR])} that nobody listed explains the readings better.")
    if proposal.named is not None:
        said.append(f"{suspect_text(posterior, proposal.named)}: {share_text(proposal.named.share)}.")
    if len(proposal.group) > 1:
        said.append(f"No reading within reach tells these apart: {group_text(posterior, proposal.group)}. Trying one does.")
    return tuple(said)


def _confirming(shown: Next, best: Answer, step: Step | None) -> str:
    """Why a reading comes before the likeliest mend is named."""
    mends = joined(best.mends)
    if step is None or step.kind != "measure":
        return f"Confirms '{mends}' before anything is taken apart."
    posterior, harness = shown.standing.posterior, shown.standing.job.harness
    again = next((item for item in posterior.evidence if repeats(step, item)), None) if posterior is not None else None
    if again is not None:
        return f"Reading {shown.standing.number_of(again)} once more: '{mends}' hangs on it, and a single reading may be a slip."
    fuses = [name for name in sorted(step.setting.out) if harness.parts[name].kind == "fuse"]
    if fuses:
        return f"Asks what blew {joined(fuses)}, before a new one goes in."
    return f"Confirms '{mends}' before anything is taken apart."


def _both_hands(step: Step) -> list[str]:
    """What hands that are wanted elsewhere must be free for."""
    if step.setting.moved:
        return [f"Clip both probes on first: hands move the wiring at {step.setting.moved} while the meter is read."]
    if step.setting.engine == "cranking":
        return ["Clip both probes on, then crank: with a helper where the switch is out of reach."]
    return []
