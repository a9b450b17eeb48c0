"""Single values as JSON: settings, readings, suspects, steps, outcomes, routes."""

from __future__ import annotations

import math
from typing import Any

from ohmtrail.circuit import Setting
from ohmtrail.circuit.steps import Route
from ohmtrail.diagnosis import Answer, Evidence, Expected, Looked, Mended, Outcome, Posterior, Seen, Step
from ohmtrail.reports.figures import expected_text
from ohmtrail.reports.phrases import evidence_text, suspect_text

__all__ = ["evidence_json", "expected_json", "finite", "outcome_json", "route_json", "setting_json", "step_json", "suspect_json", "suspects_json"]

Json = dict[str, Any]
LEVELS = ("fails", "weak", "works")
#: answers beyond this are too unlikely to list
_LEAST_SHARE = 1e-4


def finite(value: float | None) -> float | None:
    """Give a number that JSON can hold: null where it is not finite.

    Parameters
    ----------
    value : float or None
        Any number.

    Returns
    -------
    float or None
        The same number, or None.
    """
    return float(value) if value is not None and math.isfinite(value) else None


def setting_json(setting: Setting) -> Json:
    """Give a setting.

    Parameters
    ----------
    setting : Setting
        State of a machine.

    Returns
    -------
    dict
        Keys as 'ohmtrail help json' explains them.
    """
    return {
        "positions": dict(setting.positions),
        "parted": sorted(setting.parted),
        "lifted": sorted(setting.lifted),
        "out": sorted(setting.out),
        "battery": setting.battery,
        "engine": setting.engine,
        "moved": setting.moved,
        "words": list(setting.words()),
    }


def evidence_json(item: Evidence | Mended) -> Json:
    """Give a reading, something seen or looked at, or a mend.

    Parameters
    ----------
    item : Evidence or Mended
        An event of a job.

    Returns
    -------
    dict
        Keys as 'ohmtrail help json' explains them.
    """
    text = {"text": evidence_text(item)}
    if isinstance(item, Mended):
        return text | {"mend": item.mend}
    if isinstance(item, Looked):
        return text | {"element": item.element, "damaged": item.damaged}
    setting = {"setting": setting_json(item.setting)}
    if isinstance(item, Seen):
        return text | {"function": item.function, "level": LEVELS[item.level], "sometimes": item.sometimes} | setting
    shown = {"value": finite(item.value), "over_range": math.isinf(item.value), "flickers": item.flickers}
    return text | {"quantity": item.quantity, "red": item.red, "black": item.black} | shown | setting


def suspects_json(posterior: Posterior | None) -> list[Json]:
    """Give the suspects that are worth listing.

    Parameters
    ----------
    posterior : Posterior or None
        Of a job; None where nothing explains its readings.

    Returns
    -------
    list of dict
        The likeliest first.
    """
    if posterior is None:
        return []
    return [suspect_json(posterior, item) for item in posterior.answers if item.share >= _LEAST_SHARE]


def suspect_json(posterior: Posterior, item: Answer) -> Json:
    """Give one suspect.

    Parameters
    ----------
    posterior : Posterior
        Of a job.
    item : Answer
        One of its answers.

    Returns
    -------
    dict
        Keys as 'ohmtrail help json' explains them.
    """
    low, high = item.severity or (None, None)
    faults = posterior.table.rows[item.rows[0]].faults
    return {
        "share": item.share,
        "text": suspect_text(posterior, item),
        "mends": list(item.mends),
        "faults": [fault.id for fault in faults],
        "severity_low": finite(low),
        "severity_high": finite(high),
    }


def step_json(step: Step) -> Json:
    """Give a step.

    Parameters
    ----------
    step : Step
        Something to do.

    Returns
    -------
    dict
        Keys as 'ohmtrail help json' explains them.
    """
    made: Json = {"kind": step.kind, "setting": setting_json(step.setting)}
    if step.kind == "measure":
        return made | {"quantity": step.quantity, "red": step.red, "black": step.black}
    if step.kind == "watch":
        return made | {"function": step.function}
    if step.kind == "look":
        return made | {"element": step.element}
    return made | {"mend": step.mend.id if step.mend is not None else None}


def outcome_json(item: Outcome) -> Json:
    """Give one outcome of a step.

    Parameters
    ----------
    item : Outcome
        Of a step.

    Returns
    -------
    dict
        Keys as 'ohmtrail help json' explains them.
    """
    return {
        "low": finite(item.low),
        "high": finite(item.high),
        "over_range": math.isinf(item.high),
        "word": item.word or None,
        "chance": item.chance,
        "answers": [{"mends": list(mends), "share": share} for mends, share in item.answers],
    }


def expected_json(evidence: Evidence, item: Expected) -> Json:
    """Give what a reading should be.

    Parameters
    ----------
    evidence : Evidence
        The reading, for its unit.
    item : Expected
        What it should be.

    Returns
    -------
    dict
        Keys as 'ohmtrail help json' explains them.
    """
    return {
        "low": finite(item.low),
        "high": finite(item.high),
        "over_range": math.isinf(item.high),
        "chances": list(item.chances),
        "text": expected_text(evidence, item),
    }


def route_json(route: Route) -> Json:
    """Give one route of a trace, point by point.

    Parameters
    ----------
    route : Route
        Of a trace.

    Returns
    -------
    dict
        Keys as 'ohmtrail help json' explains them.
    """
    points = [
        {
            "point": step.point,
            "volts": finite(step.volts),
            "state": step.state,
            "through": step.branch or None,
            "kind": step.kind or None,
            "conducts": step.conducts,
            "amps": finite(step.amps),
        }
        for step in route.steps
    ]
    gaps = [{"branch": item.branch, "points": list(item.points), "why": item.why} for item in route.gaps]
    return {
        "role": route.role,
        "condition": route.need,
        "regime": route.regime,
        "conducts": route.conducts,
        "points": points,
        "gaps": gaps,
    }
