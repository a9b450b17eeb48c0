"""Records of changes as JSON."""

from __future__ import annotations

from typing import Any

from ohmtrail.changes import Change, RecordFile
from ohmtrail.changes.shopping import leads_to_cut, parts_to_buy
from ohmtrail.changes.writing import change_data, step_data
from ohmtrail.reports.changed import Exported, Imported, Listed, Noted, Reported, Undone, Written
from ohmtrail.reports.json_compared import compared_json

__all__ = ["CHANGED", "changed_json"]

Json = dict[str, Any]

CHANGED = (Listed, Noted, Undone, Written, Imported, Exported, Reported)


def changed_json(result: Listed | Noted | Undone | Written | Imported | Exported | Reported) -> Json:
    """Give what a verb of a record gave.

    Parameters
    ----------
    result : Listed, Noted, Undone, Written, Imported, Exported or Reported
        What it gave.

    Returns
    -------
    dict
        Plain values.
    """
    if isinstance(result, Listed):
        return _record(result.source, result.applied.numbers)
    if isinstance(result, Noted):
        return _record(result.source, result.applied.numbers) | {"added": result.number, "begun": result.begun}
    if isinstance(result, Undone):
        told = {"added": result.number, "undone": list(result.undone), "again": list(result.again), "lasting": list(result.lasting)}
        return _record(result.source, result.applied.numbers) | told | {"to_do": [step_data(step) for step in result.steps]}
    if isinstance(result, Reported):
        return _record(result.source, result.numbers) | compared_json(result.compared) | _shopping(result)
    if isinstance(result, Imported | Exported):
        made = {"machine": result.harness.harness, "leads": len(result.harness.leads), "out": result.out or None, "text": result.text}
        return made | ({"guesses": list(result.guesses)} if isinstance(result, Imported) else {})
    applied = result.applied
    head = {"machine": applied.harness.harness, "record": applied.source.tree.file, "in_force": list(applied.numbers)}
    return head | {"out": result.out or None, "text": result.text}


def _shopping(result: Reported) -> Json:
    cuts = [
        {
            "lead": item.id,
            "colour": item.lead.colour,
            "size_mm2": item.lead.size_mm2,
            "cut_m": item.cut_m,
            "ends": [{"terminal": terminal, "made_up_with": how} for terminal, how in item.ends],
            "why": item.reason,
        }
        for item in leads_to_cut(result.compared)
    ]
    return {"to_buy": [vars(item) | {"values": dict(item.values)} for item in parts_to_buy(result.compared)], "to_cut": cuts}


def _record(source: RecordFile, force: tuple[int, ...]) -> Json:
    record = source.record
    entries = [_entry(number, change, number in force) for number, change in enumerate(record.changes, 1)]
    return {
        "record": source.tree.file,
        "called": record.record,
        "machine": record.machine,
        "over": record.over,
        "variant": record.variant,
        "in_force": list(force),
        "changes": entries,
    }


def _entry(number: int, change: Change, in_force: bool) -> Json:
    original = None if change.original is None else {"kept": change.original.kept, "where": change.original.where}
    return {
        "number": number,
        "in_force": in_force,
        **{key: value for key, value in change_data(change).items() if key not in ("undoes", "steps", "files", "note", "reversible", "original")},
        "reversible": change.reversible,
        "original": original,
        "files": list(change.files),
        "note": change.note,
        "undoes": list(change.undoes),
        "steps": [step_data(step) for step in change.steps],
    }
