"""The paper of a record: what was done, what it does to the circuits, pictures, what to buy and to cut."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

from ohmtrail.changes import Change, Comparison, RecordFile
from ohmtrail.changes.shopping import Bought, Cut, Reel, leads_to_cut, parts_to_buy, reels
from ohmtrail.drawing import draw_path, draw_union
from ohmtrail.drawing.choose import choose_path
from ohmtrail.drawing.paths import nominal_electrics
from ohmtrail.errors import UnknownName
from ohmtrail.harness import Harness
from ohmtrail.harness.standards import parse_colour
from ohmtrail.reports.changed import Reported
from ohmtrail.reports.changes import original_text, plain_text, step_words
from ohmtrail.reports.compared import (
    carried_text,
    difference_text,
    fed_text,
    function_text,
    grouped_protection,
    grouped_sharing,
    sharing_text,
    verdict,
)
from ohmtrail.reports.html import picture, render
from ohmtrail.units import show

__all__ = ["change_report_html", "cut_list_csv", "pictured"]

_CUT_COLUMNS = ("lead", "colour", "size mm²", "cut m", "lies m", "covering", "from", "made up with", "to", "made up with", "why")


def pictured(found: Comparison) -> tuple[str, ...]:
    """Choose the functions whose pictures show every lead and part that differs, as far as functions reach them.

    Parameters
    ----------
    found : Comparison
        Before and after.

    Returns
    -------
    tuple of str
        The function that shows most comes first; each of the others shows something that those before it do not.
    """
    rest = {item.id for item in found.differences if item.section in ("parts", "leads")}
    shows: dict[str, set[str]] = {}
    for machine in (found.old, found.new):
        electrics = nominal_electrics(machine.harness)
        for name in machine.harness.functions:
            chosen = choose_path(electrics, name)
            shows.setdefault(name, set()).update(chosen.leads, chosen.parts)
    made: list[str] = []
    while rest and (best := max(shows, key=lambda name: len(shows[name] & rest), default="")) and shows[best] & rest:
        made.append(best)
        rest -= shows[best]
    return tuple(made)


def change_report_html(made: Reported, *, paper: str = "a4") -> str:
    """Write the report of a record as one HTML file.

    Parameters
    ----------
    made : Reported
        The record and the comparison.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        To print or to keep with the machine.

    Raises
    ------
    UnknownName
        No such paper.
    MissingTool
        The layout engine is not installed.
    """
    found, source = made.compared, made.source
    cuts = leads_to_cut(found)
    return render(
        "changes.html",
        title=f"Changes: {source.record.record}",
        machine=found.new.harness.harness,
        paper=paper,
        facts=_facts(source, made.numbers),
        entries=[_entry(source, number, change, made.numbers) for number, change in enumerate(source.record.changes, 1)],
        note=source.record.note,
        verdict=verdict(found),
        sections=_sections(found),
        loads=_loads(found),
        contacts=[[name, carried_text(a), carried_text(b)] for name, (a, b) in found.contacts.items()],
        ways=[[f"{function}, {load}", *_ohms(pair)] for (function, load), pair in found.ways.items()],
        differences=[difference_text(item) for item in found.differences],
        pictures=[_pictures(found, name) for name in pictured(found)],
        parts=[_part(item) for item in parts_to_buy(found)],
        cuts=[_cut(item) for item in cuts],
        reels=[_reel(item) for item in reels(cuts)],
    )


def _facts(source: RecordFile, numbers: tuple[int, ...]) -> list[str]:
    changes = source.record.changes
    dates = f"{changes[0].date} to {changes[-1].date}" if changes else "no changes yet"
    return [f"{len(numbers)} of {source.record.made} in force", dates, f"over {source.record.over}"]


def _entry(source: RecordFile, number: int, change: Change, force: tuple[int, ...]) -> dict[str, Any]:
    changes = source.record.changes
    undoes = [f"undoes {item} ({changes[item - 1].why})" for item in change.undoes]
    return {
        "number": number,
        "date": str(change.date),
        "by": change.by,
        "why": change.why,
        "undone": bool(change.steps) and number not in force,
        "steps": [*(step_words(step) for step in change.steps), *undoes],
        "original": original_text(change) if change.steps else "",
        "files": ", ".join(change.files),
        "note": change.note,
    }


def _sections(found: Comparison) -> list[dict[str, Any]]:
    """Lists of sentences under their headings."""
    fuses = [f"{after}, before {before}: {', '.join(names)}" for (before, after), names in grouped_protection(found.protection).items()]
    shared = [sharing_text(item, names) for item, names in grouped_sharing(found.shared).items()]
    return [
        {"head": "Functions", "lines": [function_text(item) for item in found.functions], "none": "None lost, none gained; each works as before."},
        {"head": "Leads behind a fuse", "lines": fuses, "none": "Each lies behind the fuse it lay behind."},
        {"head": "A check finds newly", "lines": [f"{item.sentence}; {item.remedy}" for item in found.found_new], "none": "Nothing."},
        {"head": "A check finds no more", "lines": [item.sentence for item in found.found_gone], "none": ""},
        {"head": "New single points of failure", "lines": shared, "none": "None."},
    ]


def _loads(found: Comparison) -> list[list[str]]:
    return [
        [function, load, *fed_text(found.loads[function, load][0]), *fed_text(found.loads[function, load][1])]
        for function, load in found.changed_loads
        if found.own(function, load)
    ]


def _ohms(pair: tuple[Any, Any]) -> list[str]:
    return ["–" if item is None else f"{item.ohm * 1000:.0f} mΩ" for item in pair]


def _pictures(found: Comparison, function: str) -> dict[str, Any]:
    """The union, and the path in each that has the function."""
    sides: list[tuple[str, Harness]] = [("Before", found.old.harness), ("After", found.new.harness)]
    called = next(harness.functions[function].called for _, harness in sides if function in harness.functions)
    return {
        "head": called or function,
        "union": picture(draw_union(found.old.harness, found.new.harness, function=function)),
        "sides": [(head, picture(draw_path(harness, function))) for head, harness in sides if function in harness.functions],
    }


def _part(item: Bought) -> list[str]:
    values: Mapping[str, Any] = dict(item.values)
    return [item.called or item.id, item.kind, item.place, plain_text(values)]


def _colour(letters: str) -> str:
    try:
        return f"{letters} ({parse_colour(letters).words})" if letters else "any"
    except UnknownName:
        return letters


def _cut(item: Cut) -> list[str]:
    lead = item.lead
    ends = [f"{terminal}: {how}" for terminal, how in item.ends]
    assumed = "; ".join(lead.assumed())
    return [item.id, _colour(lead.colour), show(lead.size_mm2, "square millimetre"), f"{item.cut_m:.2f} m", *ends, item.reason + (f" ({assumed})" if assumed else "")]


def _reel(item: Reel) -> list[str]:
    return [_colour(item.colour), show(item.size_mm2, "square millimetre"), item.covering or "any", f"{item.metres:.2f} m", str(item.leads)]


def cut_list_csv(found: Comparison) -> str:
    """Write the leads to cut as CSV.

    Parameters
    ----------
    found : Comparison
        Before and after.

    Returns
    -------
    str
        Under a line of headings, with the byte order mark by which spreadsheets know UTF-8 (RFC 4180).
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_CUT_COLUMNS)
    for item in leads_to_cut(found):
        lead, (start, end) = item.lead, item.ends
        sizes = (f"{lead.size_mm2:.4g}", f"{item.cut_m:.2f}", f"{lead.length_m:.4g}")
        writer.writerow([item.id, lead.colour, *sizes, lead.covering or "", *start, *end, item.reason])
    return "\ufeff" + out.getvalue()
