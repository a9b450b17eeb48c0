"""A job's results as JSON: how it stands, the next step, why, what was recorded."""

from __future__ import annotations

from typing import Any

from ohmtrail.circuit.astray import Astray
from ohmtrail.diagnosis import Complaint, Seen, Weight, trial_of
from ohmtrail.reports.json_values import (
    evidence_json,
    expected_json,
    finite,
    outcome_json,
    setting_json,
    step_json,
    suspect_json,
    suspects_json,
)
from ohmtrail.reports.phrases import evidence_text, point_text, step_text
from ohmtrail.reports.preparing import step_changes
from ohmtrail.reports.results import Next, Recorded, Standing, Why
from ohmtrail.reports.trouble import unlisted_near
from ohmtrail.reports.weighing import weighing_json

__all__ = ["next_json", "recorded_json", "standing_json", "why_json"]

Json = dict[str, Any]


def standing_json(standing: Standing) -> Json:
    """Give a job as it stands.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    dict
        Plain values.
    """
    job, posterior = standing.job, standing.posterior
    head = {
        "machine": job.start.machine,
        "complaint": job.start.complaint,
        "file": job.path,
        "harness": job.harness_path,
        "minutes": job.minutes,
        "setting": setting_json(job.bench.setting),
    }
    readings = [
        {
            "number": event.number,
            "at": event.at,
            "minutes": event.minutes,
            "complaint": event.complaint,
            "struck": event.struck,
            "counts": not event.struck and event.number not in standing.dropped,
        }
        | evidence_json(event.what)
        for event in job.events
    ]
    assessment = standing.assessment
    return {
        "job": head,
        "readings": readings,
        "notes": list(job.notes),
        "suspects": suspects_json(posterior),
        "unlisted": posterior.unlisted if posterior is not None else None,
        "unlisted_at": [{"element": name, "share": share} for name, share in unlisted_near(posterior)],
        "astray": _astray(standing.astray),
        "contradiction": _odd(standing),
        "to_prove": [_to_prove(item) for item in assessment.to_prove],
        "proven": assessment.proven,
        "weighed": weighing_json(standing),
    }


def _to_prove(item: Complaint) -> Json:
    step = step_json(trial_of(item))
    return {"function": item.function if isinstance(item, Seen) else None, "setting": step["setting"], "step": step}


def _astray(astray: Astray | None) -> Json | None:
    if astray is None:
        return None
    changes = [{"leads": list(item.leads), "between": [list(pair) for pair in item.joins]} for item in astray.amendments]
    return {"functions": list(astray.functions), "changes": changes, "more": astray.more}


def _odd(standing: Standing) -> Json | None:
    odd = standing.odd
    if odd is None:
        return None
    return {
        "reading": standing.number_of(odd.evidence),
        "text": evidence_text(odd.evidence),
        "without": list(odd.without.mends),
        "share": odd.share,
    }


def next_json(shown: Next) -> Json:
    """Give a proposal.

    Parameters
    ----------
    shown : Next
        The proposal.

    Returns
    -------
    dict
        Plain values.
    """
    proposal, step = shown.proposal, shown.proposal.step
    standing = shown.standing
    posterior, harness = standing.posterior, standing.job.harness
    group = [suspect_json(posterior, item) for item in proposal.group] if posterior is not None else []
    if step is None:
        return {"number": shown.number, "step": None, "group": group}
    measures = step.kind == "measure"
    return {
        "number": shown.number,
        "step": step_json(step),
        "text": step_text(step),
        "minutes": finite(proposal.minutes),
        "places": [
            {"id": place, "called": harness.places[place].called or place, "how": harness.places[place].how}
            for place in shown.opens
        ],
        "set": list(step_changes(harness, standing.job.bench, step)),
        "red_text": point_text(harness, step.red, step.setting) if measures else None,
        "black_text": point_text(harness, step.black, step.setting) if measures else None,
        "outcomes": [outcome_json(item) for item in shown.outcomes],
        "cautions": [{"id": item.id, "text": item.text} for item in shown.cautions],
        "confirms": proposal.confirms,
        "against": list(proposal.against),
        "alike": [list(item.mends) for item in proposal.alike],
        "named": suspect_json(posterior, proposal.named) if posterior is not None and proposal.named is not None else None,
        "group": group,
        "expected_minutes": finite(proposal.expected),
        "kept": shown.kept,
    }


def why_json(found: Why) -> Json:
    """Give an explanation.

    Parameters
    ----------
    found : Why
        The explanation.

    Returns
    -------
    dict
        Plain values.
    """
    posterior = found.standing.posterior
    assert posterior is not None or not found.explained
    explained = [
        suspect_json(posterior, item.answer) | {"weights": [_weight(found.standing, weight) for weight in item.weights]}
        for item in found.explained
        if posterior is not None
    ]
    ruled_out = [
        {
            "mends": list(item.mends),
            "before": item.before,
            "after": item.after,
            "reading": found.standing.number_of(item.evidence),
            "factor": finite(item.factor),
        }
        for item in found.ruled_out
    ]
    return {"explained": explained, "ruled_out": ruled_out}


def _weight(standing: Standing, item: Weight) -> Json:
    return {
        "reading": standing.number_of(item.evidence),
        "text": evidence_text(item.evidence),
        "sound": expected_json(item.evidence, item.sound),
        "suspect": expected_json(item.evidence, item.suspect),
        "factor": finite(item.factor),
    }


def recorded_json(result: Recorded) -> Json:
    """Give what was added, and the job with it.

    Parameters
    ----------
    result : Recorded
        What was recorded.

    Returns
    -------
    dict
        Plain values.
    """
    stored = {"stored": [event.number for event in result.events], "noted": list(result.notes)}
    proofs = [
        {"reading": item.number, "text": evidence_text(item.before), "sound": expected_json(item.before, item.sound)}
        for item in result.proofs
    ]
    return stored | standing_json(result.standing) | {"proofs": proofs}
