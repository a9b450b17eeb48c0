"""Results as JSON. The keys below are stable: a later version may add keys, and counts ``schema`` up if it
takes one away.

Every document has ``schema`` (1), ``command``, ``ok`` and ``exit``. With ``ok`` false there is ``error``:
``kind``, ``message`` and, for a harness file, ``mistakes`` (``file``, ``line``, ``column``, ``sentence``,
``value``, ``remedy``).

job           machine, complaint, file, harness, minutes, setting
readings[]    number, text, at, minutes, complaint, struck, counts, and what it is:
              quantity, red, black, value, over_range, flickers | function, level, sometimes
              | element, damaged | mend; setting where there is one
setting       positions, parted, lifted, out, battery, engine, moved, words
suspects[]    share, text, mends, faults, severity_low, severity_high (null where not in question)
unlisted      share of causes that are not listed
notes[]       remarks;  stored[], noted[]: numbers and remarks that a command has added
contradiction reading, text, without, share; or null
to_prove[]    function, setting;  proven: whether every complaint works again
next          number, step, text, minutes, places, set, red_text, black_text, outcomes, cautions, confirms,
              named, group, expected_minutes; step is null where nothing more can be told
step          kind, quantity, red, black | function | element | mend; setting
outcomes[]    low, high, over_range, word, chance, answers (mends, share)
why           explained[] (text, mends, share, weights[]), ruled_out[] (mends, before, after, reading, factor)
weights[]     reading, text, sound, suspect, factor; sound and suspect have low, high, over_range, chances, text
proofs[]      reading, text, sound
findings[]    code, line, column, serious, sentence, remedy, path; beside it file, machine, leads, parts,
              functions
harness_schema  the JSON Schema of harness files
trace         function, setting, conditions[], routes[] (role, regime, conducts, points[], gaps[])
steps[]       of a demo: next, result, minutes, proof; beside it machine, planted (fault, text, severity),
              seed, complaint, minutes, proven

Values are volt, ohm, ampere and minute; shares and chances are 0 to 1. A number that is not finite is null;
``over_range`` says whether the display was, or would be, over range.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ohmtrail.diagnosis import (
    Weight,
)
from ohmtrail.errors import HarnessError, OhmtrailError
from ohmtrail.reports.json_values import (
    LEVELS,
    evidence_json,
    expected_json,
    finite,
    outcome_json,
    route_json,
    setting_json,
    step_json,
    suspect_json,
    suspects_json,
)
from ohmtrail.reports.phrases import evidence_text, point_text, setting_changes, step_text
from ohmtrail.reports.results import Checked, Demo, Next, Played, Recorded, SchemaOf, Standing, Traced, Why

__all__ = ["SCHEMA", "demo_document", "document", "error_document"]

SCHEMA = 1

Json = dict[str, Any]


def document(command: str, result: object, *, exit_code: int = 0) -> Json:
    """Give a result as a JSON document.

    Parameters
    ----------
    command : str
        The verb.
    result : object
        One of the results.
    exit_code : int
        Exit status of the command.

    Returns
    -------
    dict
        Plain values, all finite.
    """
    head: Json = {"schema": SCHEMA, "command": command, "ok": True, "exit": exit_code}
    if isinstance(result, SchemaOf):
        return head | {"harness_schema": result.schema}
    if isinstance(result, Checked):
        return head | _checked(result)
    if isinstance(result, Traced):
        return head | {"trace": _trace(result)}
    if isinstance(result, Recorded):
        return head | _recorded(result)
    if isinstance(result, Next):
        return head | _standing(result.standing) | {"next": _next(result)}
    if isinstance(result, Why):
        return head | _standing(result.standing) | {"why": _why(result)}
    if isinstance(result, Standing):
        return head | _standing(result)
    raise TypeError(f"no JSON for {type(result).__name__}")


def demo_document(demo: Demo, steps: Sequence[Played], *, proven: bool, exit_code: int) -> Json:
    """Give a played job as a JSON document.

    Parameters
    ----------
    demo : Demo
        What was planted.
    steps : sequence of Played
        What was done.
    proven : bool
        Whether every complaint works again.
    exit_code : int
        Exit status of the command.

    Returns
    -------
    dict
        Plain values, all finite.
    """
    planted = {"fault": demo.planted.fault.id, "text": demo.planted.fault.words, "severity": finite(demo.planted.severity)}
    made = [
        {"next": _next(item.shown), "result": evidence_json(item.result), "minutes": item.minutes, "proof": item.proof}
        for item in steps
    ]
    return {
        "schema": SCHEMA,
        "command": "demo",
        "ok": True,
        "exit": exit_code,
        "machine": demo.case.harness.harness,
        "planted": planted,
        "seed": demo.seed,
        "complaint": evidence_json(demo.complaint),
        "steps": made,
        "minutes": sum(item.minutes for item in steps),
        "proven": proven,
    }


def error_document(command: str, error: Exception, *, exit_code: int) -> Json:
    """Give a failure as a JSON document.

    Parameters
    ----------
    command : str
        The verb; "" where it was not understood.
    error : Exception
        What went wrong.
    exit_code : int
        Exit status of the command.

    Returns
    -------
    dict
        Plain values.
    """
    told: Json = {"kind": type(error).__name__, "message": str(error)}
    if isinstance(error, HarnessError):
        told["mistakes"] = [vars(item) for item in error.mistakes]
    if not isinstance(error, OhmtrailError):
        told["kind"] = "Usage" if exit_code == 2 else "Bug"
    return {"schema": SCHEMA, "command": command, "ok": False, "exit": exit_code, "error": told}


def _standing(standing: Standing) -> Json:
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
        "contradiction": _odd(standing),
        "to_prove": [{"function": item.function, "setting": setting_json(item.setting)} for item in assessment.to_prove],
        "proven": assessment.proven,
    }


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


def _next(shown: Next) -> Json:
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
        "set": list(setting_changes(harness, standing.job.bench.setting, step.setting)) if step.kind != "mend" else [],
        "red_text": point_text(harness, step.red, step.setting) if measures else None,
        "black_text": point_text(harness, step.black, step.setting) if measures else None,
        "outcomes": [outcome_json(item) for item in shown.outcomes],
        "cautions": [{"id": item.id, "text": item.text} for item in shown.cautions],
        "confirms": proposal.confirms,
        "named": suspect_json(posterior, proposal.named) if posterior is not None and proposal.named is not None else None,
        "group": group,
        "expected_minutes": finite(proposal.expected),
        "kept": shown.kept,
    }


def _why(found: Why) -> Json:
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


def _recorded(result: Recorded) -> Json:
    stored = {"stored": [event.number for event in result.events], "noted": list(result.notes)}
    proofs = [
        {"reading": item.number, "text": evidence_text(item.before), "sound": expected_json(item.before, item.sound)}
        for item in result.proofs
    ]
    return stored | _standing(result.standing) | {"proofs": proofs}


def _checked(result: Checked) -> Json:
    findings = [
        {
            "code": item.code,
            "line": line,
            "column": column,
            "serious": item.serious,
            "sentence": item.sentence,
            "remedy": item.remedy,
            "path": list(item.path),
        }
        for item, line, column in result.findings
    ]
    harness = result.harness
    held = {"leads": len(harness.leads), "parts": len(harness.parts), "functions": list(harness.functions)}
    return {"file": result.file, "machine": harness.harness, **held, "findings": findings}


def _trace(result: Traced) -> Json:
    trace = result.trace
    conditions = [
        {"quantity": item.need.quantity, "value": finite(item.value), "level": LEVELS[item.level]} for item in trace.checked
    ]
    return {
        "function": result.function,
        "setting": setting_json(result.setting),
        "conditions": conditions,
        "routes": [route_json(item) for item in trace.routes],
    }


