"""What a survey notices and what to renew, as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ohmtrail.reports.json_values import finite
from ohmtrail.survey import Advice, Coverage

__all__ = ["advice_json", "coverage_json"]


def coverage_json(cover: Coverage) -> dict[str, Any]:
    """Give what a survey notices as plain values.

    Parameters
    ----------
    cover : Coverage
        What it notices, shares from 0 to 1.

    Returns
    -------
    dict
        The keys that ``ohmtrail help json`` tells.
    """
    return {
        "noticed": cover.noticed,
        "could": cover.could,
        "of_could": cover.of_could,
        "planted": cover.planted,
        "elements": [{"element": item.element, "share": item.share, "noticed": item.noticed} for item in cover.elements],
        "passed_by": [
            {"kind": item.kind, "share": item.share, "passed": item.passed, "why": item.why, "would_show": item.would} for item in cover.kinds
        ],
    }


def advice_json(advice: Sequence[Advice]) -> list[dict[str, Any]]:
    """Give what to renew as plain values.

    Parameters
    ----------
    advice : sequence of Advice
        One for each lead or part.

    Returns
    -------
    list of dict
        In the same order; minutes are null where a place is out of reach.
    """
    return [
        {
            "element": item.element,
            "verdict": item.verdict,
            "reason": item.reason,
            "source": item.source,
            "original": item.original,
            "minutes": finite(item.minutes),
            "age": item.age,
        }
        for item in advice
    ]
