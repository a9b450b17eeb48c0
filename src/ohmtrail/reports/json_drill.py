"""Drills as plain values for ``--json``."""

from __future__ import annotations

from typing import Any

from ohmtrail.reports.drill_results import DrillEnd, DrillSummary, OpenDrill
from ohmtrail.reports.json_values import evidence_json, finite, setting_json
from ohmtrail.reports.phrases import step_text
from ohmtrail.training import Done

__all__ = ["drill_json", "end_json", "summary_json"]


def drill_json(opened: OpenDrill) -> dict[str, Any]:
    """Give a drill as plain values; nothing of the fault.

    Parameters
    ----------
    opened : OpenDrill
        The drill.

    Returns
    -------
    dict
        All finite.
    """
    course = opened.course
    return {
        "file": opened.path,
        "by": opened.by or None,
        "level": course.drill.wish.level,
        "seed": course.drill.wish.seed,
        "complaint": evidence_json(course.drill.complaint),
        "minutes": course.minutes,
        "setting": setting_json(course.bench.setting),
        "done": [_done_json(number, item) for number, item in enumerate(course.done, start=1)],
    }


def _done_json(number: int, item: Done) -> dict[str, Any]:
    return {
        "number": number,
        "kind": item.kind,
        "said": item.said,
        "asked": step_text(item.step) if item.step is not None else None,
        "minutes": item.minutes,
        "result": evidence_json(item.result) if item.result is not None else None,
        "tried": evidence_json(item.tried) if item.tried is not None else None,
        "note": item.note or None,
    }


def end_json(end: DrillEnd) -> dict[str, Any]:
    """Give the result of a drill.

    Parameters
    ----------
    end : DrillEnd
        The drill that has ended.

    Returns
    -------
    dict
        All finite.
    """
    mark = end.mark
    most = mark.told_most
    return vars(end.ended) | {
        "share": finite(mark.share),
        "direct_minutes": mark.direct_minutes,
        "told_most": most.number if most is not None else None,
        "told": [{"number": item.number, "before": item.before, "after": item.after, "nothing": item.why or None} for item in mark.told],
        "route": [_done_json(number, item) for number, item in enumerate(end.route.done, start=1)],
    }


def summary_json(summary: DrillSummary) -> list[dict[str, Any]]:
    """Give the drills of several learners; ``result`` is null while one is open.

    Parameters
    ----------
    summary : DrillSummary
        The drills.

    Returns
    -------
    list of dict
        One for each drill.
    """
    names = ("path", "by", "machine", "level", "seed", "complaint")
    return [
        {name: getattr(item, name) for name in names} | {"result": vars(item.ended) if item.ended is not None else None}
        for item in summary.drills
    ]
