"""Comparisons as JSON."""

from __future__ import annotations

from typing import Any

from ohmtrail.changes import Comparison
from ohmtrail.changes.flowing import Carried, Fed, Way
from ohmtrail.harness.findings import Finding
from ohmtrail.reports.compared import verdict

__all__ = ["compared_json"]

Json = dict[str, Any]


def compared_json(found: Comparison) -> Json:
    """Give a comparison.

    Parameters
    ----------
    found : Comparison
        What was found.

    Returns
    -------
    dict
        Plain values.
    """
    differ = [
        {"what": item.section, "id": item.id, "kind": item.kind, "was": item.was or None, "values": [vars(value) for value in item.values]}
        for item in found.differences
    ]
    loads = [
        {"function": function, "load": load, "own": found.own(function, load), "before": _fed(before), "after": _fed(after)}
        for (function, load), (before, after) in found.loads.items()
    ]
    ways = [
        {"function": function, "load": load, "before": _way(before), "after": _way(after)}
        for (function, load), (before, after) in found.ways.items()
    ]
    return {
        "before": found.old.name,
        "after": found.new.name,
        "same": found.same,
        "text": verdict(found),
        "differences": differ,
        "functions": [vars(item) for item in found.functions],
        "loads": loads,
        "contacts": [{"part": name, "before": _carried(a), "after": _carried(b)} for name, (a, b) in found.contacts.items()],
        "ways": ways,
        "fused": [{"lead": item.lead, "before": _names(item.before), "after": _names(item.after)} for item in found.protection],
        "found_new": [_finding(item) for item in found.found_new],
        "found_gone": [_finding(item) for item in found.found_gone],
        "shared": [{"element": name, "before": sorted(a), "after": sorted(b)} for name, (a, b) in found.shared.items()],
    }


def _fed(item: Fed | None) -> Json | None:
    return None if item is None else {"volts": item.volts, "amps": item.amps}


def _way(item: Way | None) -> Json | None:
    return None if item is None else {"ohms": item.ohm, "elements": list(item.elements)}


def _carried(item: Carried | None) -> Json | None:
    return None if item is None else vars(item)


def _names(items: tuple[str, ...] | None) -> list[str] | None:
    return None if items is None else list(items)


def _finding(item: Finding) -> Json:
    return {"code": item.code, "path": list(item.path), "sentence": item.sentence, "remedy": item.remedy, "serious": item.serious}
