"""The test sheet: as HTML to print and fill in, as CSV, as text."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Mapping
from typing import Any

from ohmtrail.circuit.meter import Meter
from ohmtrail.circuit.sound import Sound
from ohmtrail.diagnosis.sheet import Sheet, SheetGroup, SheetPlace, SheetRow
from ohmtrail.harness import FRAME, Harness
from ohmtrail.reports.figures import band_text, minutes_text, value_text
from ohmtrail.reports.html import render
from ohmtrail.reports.json_values import finite, step_json
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import place_text, point_text
from ohmtrail.reports.preparing import breaker_changes, in_order
from ohmtrail.reports.settings import setting_changes, setting_text
from ohmtrail.units import show

__all__ = ["sheet_csv", "sheet_html", "sheet_json", "write_sheet"]

_NAMES = {"ohms": "ohms", "volts": "volts DC", "ac": "volts AC", "diode": "diode range"}
_UNITS = {"ohms": "ohm", "volts": "V", "ac": "V", "diode": "V"}
_COLUMNS = (
    "number", "place", "open", "setting", "part", "measure", "red", "black", "red at", "expected", "low", "high", "unit", "reading", "careful",
)  # fmt: skip
#: ohms below this are the test leads and good joints: only the upper end of the band says something
_LEADS_OHM = 0.1


#: number of a row -> what contact breakers are turned to for it
Stands = Mapping[int, tuple[str, ...]]


def _title(sheet: Sheet) -> str:
    if len(sheet.functions) == 1:
        item = sheet.harness.functions[sheet.functions[0]]
        return f"Test sheet: {item.called or sheet.functions[0].replace('-', ' ')}"
    return "Test sheet"


def _head(harness: Harness, place: SheetPlace) -> str:
    if not place.place:
        return "Watch, with everything closed up again"
    called = harness.places[place.place].called or place.place.replace("-", " ")
    return called[:1].upper() + called[1:]


def _opens(harness: Harness, place: SheetPlace) -> tuple[str, ...]:
    """How to get there; the place itself is named above."""
    made = []
    for name in place.opens:
        how = harness.places[name].how if name == place.place else place_text(harness, name)
        minutes = minutes_text(harness.places[name].reach)
        made.append(f"{how} ({minutes})" if how else minutes)
    return tuple(made)


def _letters(sheet: Sheet) -> dict[str, str]:
    """Caution -> the letter it goes by on paper, in the order in which they come up."""
    ids = dict.fromkeys(item.id for place in sheet.places for group in place.groups for item in group.cautions)
    return {name: chr(ord("A") + index) for index, name in enumerate(ids)}


def _group_setting(place: SheetPlace, group: SheetGroup) -> str:
    if not place.place:
        return ""
    words = setting_text(group.setting)
    return words[:1].upper() + words[1:]


def _beside(harness: Harness, stands: Stands, group: SheetGroup, row: SheetRow) -> str:
    """What of the machine is set for this row alone."""
    if row.sound is None:
        return setting_text(row.step.setting)
    changes = setting_changes(harness, group.setting, row.step.setting) if row.step.setting != group.setting else ()
    return ", ".join(in_order(changes, stands[row.number], row.step.setting))


def _stands(sheet: Sheet) -> Stands:
    """What a contact breaker is turned to for each row, on a walk through the sheet."""
    known: dict[str, str] = {}
    return {row.number: breaker_changes(sheet.harness, known, row.step) for row in sheet.rows}


def _part(harness: Harness, name: str) -> str:
    if name in harness.functions:
        return harness.functions[name].called or name.replace("-", " ")
    part = harness.parts.get(name)
    return part.called or name if part is not None else name


def _expected(row: SheetRow) -> str:
    if row.sound is None:
        return "works"
    digits = 3 if row.step.quantity != "ohms" else 2
    value = row.sound.value
    return value_text(row.step.quantity, value if math.isinf(value) else float(f"{value:.{digits}g}"))


def _band(row: SheetRow) -> str:
    sound = row.sound
    if sound is None or math.isinf(sound.value):
        return ""
    quantity = row.step.quantity
    low = -math.inf if quantity == "ohms" and sound.low < _LEADS_OHM else sound.low
    return band_text(quantity, low, sound.high, digits=2 if quantity == "ohms" else 3)


def _leads_there(harness: Harness, row: SheetRow) -> str:
    """Where the probe goes that is not on the frame, beyond the part's own name."""
    told = point_text(harness, row.step.probed, row.step.setting)
    return told.removeprefix(_part(harness, row.part)).removeprefix("; ")


def _probe(point: str) -> str:
    return "frame" if point == FRAME else point


def _row_view(harness: Harness, stands: Stands, group: SheetGroup, row: SheetRow) -> dict[str, object]:
    step = row.step
    measures = row.sound is not None
    return {
        "number": row.number,
        "part": _part(harness, row.part),
        "beside": _beside(harness, stands, group, row),
        "what": _NAMES[step.quantity] if measures else "watch",
        "red": _probe(step.red) if measures else harness.functions[step.function].seen_at or "",
        "at": _leads_there(harness, row) if measures else "",
        "black": _probe(step.black) if measures else "",
        "expected": _expected(row),
        "band": _band(row),
    }


def sheet_html(sheet: Sheet, *, paper: str = "a4") -> str:
    """Write a sheet as one HTML file.

    Parameters
    ----------
    sheet : Sheet
        The readings.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        To print, with an empty box for every reading.

    Raises
    ------
    UnknownName
        No such paper.
    """
    harness, letters, stands = sheet.harness, _letters(sheet), _stands(sheet)
    texts = {item.id: item.text for place in sheet.places for group in place.groups for item in group.cautions}
    places = [
        {
            "head": _head(harness, place),
            "opens": _opens(harness, place),
            "groups": [
                {
                    "setting": _group_setting(place, group),
                    "cautions": [f"{item.id.replace('-', ' ')} ({letters[item.id]})" for item in group.cautions],
                    "rows": [_row_view(harness, stands, group, row) for row in group.rows],
                }
                for group in place.groups
            ],
        }
        for place in sheet.places
    ]
    count = f"{len(sheet.rows)} readings"
    stops = f"{sum(bool(place.place) for place in sheet.places)} places, each opened once"
    cautions = [f"{letter}: {texts[name]}" for name, letter in letters.items()]
    return render(
        "sheet.html", title=_title(sheet), machine=harness.harness, paper=paper, facts=(count, stops), places=places, cautions=cautions, leads=_test_leads(sheet)
    )


def _cells(sheet: Sheet) -> Iterator[tuple[object, ...]]:
    stands = _stands(sheet)
    for place in sheet.places:
        for group in place.groups:
            for row in group.rows:
                yield _line(sheet.harness, stands, place, group, row)


def _line(harness: Harness, stands: Stands, place: SheetPlace, group: SheetGroup, row: SheetRow) -> tuple[object, ...]:
    view = _row_view(harness, stands, group, row)
    sound = row.sound
    ends = [_number(value) for value in (sound.low, sound.high)] if sound is not None else ["", ""]
    unit = _UNITS[row.step.quantity] if sound is not None else ""
    careful = " ".join(item.text for item in group.cautions)
    opens, setting = "; ".join(_opens(harness, place)), ", ".join((setting_text(row.step.setting), *stands[row.number]))
    return (
        row.number, place.place, opens, setting, row.part, view["what"], view["red"], view["black"], view["at"],
        _shown(row), *ends, unit, "", careful,
    )  # fmt: skip


def _shown(row: SheetRow) -> str:
    return "works" if row.sound is None else _number(row.sound.value)


def _number(value: float) -> str:
    return "OL" if math.isinf(value) else f"{value:.4g}"


def sheet_csv(sheet: Sheet) -> str:
    """Write a sheet as CSV.

    Parameters
    ----------
    sheet : Sheet
        The readings.

    Returns
    -------
    str
        One line for each reading under a line of headings (RFC 4180, with the byte order mark by which
        spreadsheets know UTF-8); values in volt or ohm, ``OL`` for over-range, ``reading`` empty. A text
        that a spreadsheet would take for a formula begins with an apostrophe.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_COLUMNS)
    for cells in _cells(sheet):
        writer.writerow([f"'{cell}" if isinstance(cell, str) and cell[:1] in "=+-@\t\r" and cell and not _is_number(cell) else cell for cell in cells])
    return "\ufeff" + out.getvalue()


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _test_leads(sheet: Sheet) -> str:
    """What to know of the ohms on it; empty where there are none."""
    if not any(row.step.kind == "measure" and row.step.quantity == "ohms" for row in sheet.rows):
        return ""
    return f"Ohms are as the meter shows them, {show(Meter().lead_ohm, 'ohm')} of its test leads included; near nought take those off."


def write_sheet(paper: Paper, sheet: Sheet) -> None:
    """Write a sheet on a terminal.

    Parameters
    ----------
    paper : Paper
        Where to.
    sheet : Sheet
        The readings.
    """
    harness, stands = sheet.harness, _stands(sheet)
    paper.line(f"{harness.harness} · {_title(sheet)} · {len(sheet.rows)} readings", indent=1)
    if leads := _test_leads(sheet):
        paper.line(leads, indent=1)
    for place in sheet.places:
        paper.blank()
        paper.line(_head(harness, place), indent=1)
        for opened in _opens(harness, place):
            paper.pair("Open", opened, indent=4, column=12)
        for group in place.groups:
            _write_group(paper, harness, stands, place, group)
    paper.blank()


def _write_group(paper: Paper, harness: Harness, stands: Stands, place: SheetPlace, group: SheetGroup) -> None:
    if place.place:
        paper.pair("Set", _group_setting(place, group), indent=4, column=12)
    for item in group.cautions:
        paper.line(f"Careful: {item.text}", indent=4, hang=13)
    for row in group.rows:
        view = _row_view(harness, stands, group, row)
        where = f"{view['red']} to {view['black']}" if row.sound is not None else str(view["part"])
        beside = f" ({view['beside']})" if view["beside"] else ""
        band = f" ({view['band']})" if view["band"] else ""
        paper.pair(f"{row.number}", f"{view['what']} {where}{beside}: {view['expected']}{band}", indent=2, column=7)


def sheet_json(sheet: Sheet) -> dict[str, Any]:
    """Give a sheet as plain values.

    Parameters
    ----------
    sheet : Sheet
        The readings.

    Returns
    -------
    dict
        All finite.
    """
    harness, stands = sheet.harness, _stands(sheet)
    places = [
        {
            "place": place.place or None,
            "opens": list(place.opens),
            "readings": [
                _reading_json(harness, stands, group, row) | {"cautions": [item.id for item in group.cautions]}
                for group in place.groups
                for row in group.rows
            ],
        }
        for place in sheet.places
    ]
    return {"functions": list(sheet.functions), "places": places}


def _reading_json(harness: Harness, stands: Stands, group: SheetGroup, row: SheetRow) -> dict[str, Any]:
    sound = row.sound or Sound(math.nan, math.nan, math.nan)
    return {
        "number": row.number,
        "part": row.part,
        "step": step_json(row.step),
        "text": _expected(row),
        "expected": finite(sound.value),
        "low": finite(sound.low),
        "high": finite(sound.high),
        "over_range": math.isinf(sound.high),
        "beside": _beside(harness, stands, group, row),
    }

