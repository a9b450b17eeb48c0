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
unlisted      share of causes that are not listed; unlisted_at[]: element and share, where one would explain the readings
notes[]       what was noted;  stored[], noted[]: numbers and notes that a command has added
weighed[]     what weighs otherwise by what was done to it: how (altered, renewed), year, factor, elements
astray        where the file does not do what it must with everything sound: functions, changes (leads, and the
              terminals between which each would run; no lead: one to be added), more; or null
contradiction reading, text, without, share; or null
to_prove[]    function (null for a reading), setting, step;  proven: whether every complaint works again
next          number, step, text, minutes, places, set, red_text, black_text, outcomes, cautions, confirms,
              against (elements: something unlisted there is told from the likeliest suspect), alike (mends of rarer
              suspects that it is told from), named, group, expected_minutes; step is null where nothing more can be told
step          kind, quantity, red, black | function | element | mend; setting
outcomes[]    low, high, over_range, word, chance, answers (mends, share)
why           explained[] (text, mends, share, weights[]), ruled_out[] (mends, before, after, reading, factor)
weights[]     reading, text, sound, suspect, factor; sound and suspect have low, high, over_range, chances, text
proofs[]      reading, text, sound
page          of the page: address (lets one browser in), shared (whether the network is let in)
findings[]    code, line, column, serious, sentence, remedy, path; beside it file, machine, leads, parts,
              functions, assumed[] (kind, values, names: what is taken where the file says nothing),
              contacts[] (what, ohm: what is taken of sound contacts that no key of a file sets)
harness_schema  the JSON Schema of harness files
out, text     of a blank harness: the file (null where it is not written to one), and what is in it
trace         function, setting, conditions[], routes[] (role, regime, conducts, points[], gaps[])
netlist       function (null where none is named), setting, planted (null where sound), text; beside it machine
drawn         kind, function, setting (null where it shows none), title, file (null where it is not written to
              one), text (the picture, then), marks (readings, suspects, sound, next, mends); beside it machine
lesson        file, bytes (null where it is not written), functions[] (function, ways[]: text, regime, steps[]),
              faults[]; beside it machine
sheet         functions, places[] (place, null for what is watched from outside; opens; readings[]: number, part,
              step, text, expected, low, high, over_range, beside, cautions); beside it machine
report        ending, taken[] (number, text, meaning, minutes, share and mends of the likeliest suspect then),
              before_and_after[] (before, after, sound), cautions[]; beside it how the job stands
survey        within, minutes, everything_minutes, stages[] (stage, called, how, before_next, readings[]: number, step,
              text, expected, band, low, high, over_range, opens, minutes, cautions, setting), coverage (noticed,
              could, of_could, planted, elements[]: element, share, noticed; passed_by[]: kind, share, passed, why,
              would_show), advice[] (element, verdict, reason, source, original, minutes, age); beside it machine
drill         file, by, level, seed, complaint, minutes, setting, done[] (number, kind, said, asked, minutes, result,
              tried, note); result: null while it goes on, else points, outcome (right, luck, given-up), fault,
              mends, minutes, best_minutes, direct_minutes, readings, best_readings, vain, dangers, hints, nothing,
              stopped, share, told_most, told[] (number, before, after, nothing: again, same, unlikely or null),
              route[] (as done[]); beside it machine
cards[]       of --class: number, seed, complaint, fault, mends, best (numbers), best_minutes, readings[] (number, place,
              asked, minutes, shown); beside it machine
drills[]      of a summary: path, by, machine, level, seed, complaint, result (null while it goes on)
dossier       file, changes (how many, null without a record), surveys[], jobs[] (files), pictures,
              not_checked[] (head, lines); beside it machine
steps[]       of a demo: next, result, minutes, proof; beside it machine, planted (fault, text, severity),
              seed, complaint, minutes, proven
rehearsal     functions, seed, out_of_reach; sets[] (set: rates or every; function, null for all together; figures by
              way: search, chart, rate; against the other ways: total, excess as value, low, high; calibration[]: low,
              high, count, stated, true; from_80, from_95), reduced[] (function; least, search, rate, bound, direct in minutes),
              unnoticed[] (faults), unsplit[] (mends, would_split, jobs), test_points[] (point, minutes, jobs), pairs (jobs,
              solved, wrong_first, minutes, singles_min, ratio), jobs[] (function, faults, severities, seed, way, minutes, direct, readings, mends, vain, first,
              share, right, named, grouped, solved, set)
changes[]     of a record: number, date, by, why, in_force, reversible, original (kept, where), files, note,
              undoes, steps[] as in the file (what was found before under was); beside it record, called,
              machine, over, variant, in_force; added: number of a new entry; undone, again, lasting:
              numbers; to_do[]: steps on the machine;  out, text: the harness as it is now
guesses[]     of an imported lead list; beside it machine, leads, out, text (of an exported one, the CSV)
differences[] of a comparison: what, id, kind, was, values[] (key, before, after); beside it before, after, same,
              text, functions[] (function, kind, before, after), loads[] (function, load, own, before and
              after with volts, amps), contacts[] (part, before and after with kind, amps, function, rating),
              ways[] (function, load, before and after with ohms, elements), fused[] (lead, before, after),
              found_new[], found_gone[], shared[] (element, before, after); with a record's report also
              to_buy[] (id, kind, called, place, values), to_cut[] (lead, colour, size_mm2, cut_m, ends, why)

Values are volt, ohm, ampere and minute; shares and chances are 0 to 1. A number that is not finite is null;
``over_range`` says whether the display was, or would be, over range.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ohmtrail.changes import Comparison
from ohmtrail.circuit.branches import usual_contacts
from ohmtrail.diagnosis import PlantedFault
from ohmtrail.diagnosis.sheet import Sheet
from ohmtrail.errors import HarnessError, OhmtrailError
from ohmtrail.harness.assumed import assumed_values
from ohmtrail.rehearsal import Rehearsal
from ohmtrail.reports.dossier import Dossier, dossier_json
from ohmtrail.reports.drawn import Drawn, drawn_json
from ohmtrail.reports.drill_cards import cards_json
from ohmtrail.reports.drill_results import DrillEnd, DrillSummary, OpenDrill
from ohmtrail.reports.job_report import JobReport
from ohmtrail.reports.json_changes import CHANGED, changed_json
from ohmtrail.reports.json_compared import compared_json
from ohmtrail.reports.json_drill import drill_json, end_json, summary_json
from ohmtrail.reports.json_job import next_json, recorded_json, standing_json, why_json
from ohmtrail.reports.json_values import (
    LEVELS,
    evidence_json,
    finite,
    route_json,
    setting_json,
)
from ohmtrail.reports.lesson import Saved, saved_json
from ohmtrail.reports.rehearsed import rehearsed_json
from ohmtrail.reports.report import report_json
from ohmtrail.reports.results import (
    Blank,
    Checked,
    Demo,
    Netlisted,
    Next,
    Played,
    Recorded,
    SchemaOf,
    Standing,
    Surveyed,
    Traced,
    Why,
)
from ohmtrail.reports.sheet import sheet_json
from ohmtrail.reports.survey import survey_json
from ohmtrail.training.cards import ClassCards

__all__ = ["SCHEMA", "demo_document", "document", "drill_document", "error_document"]

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
    if isinstance(result, Blank):
        return head | {"out": result.out or None, "text": result.text}
    if isinstance(result, SchemaOf):
        return head | {"harness_schema": result.schema}
    if isinstance(result, Checked):
        return head | _checked(result)
    if isinstance(result, Traced):
        return head | {"trace": _trace(result)}
    if isinstance(result, Netlisted):
        return head | {"machine": result.harness.harness, "netlist": _netlist(result)}
    if isinstance(result, Drawn):
        return head | {"machine": result.harness.harness, "drawn": drawn_json(result)}
    if isinstance(result, Sheet):
        return head | {"machine": result.harness.harness, "sheet": sheet_json(result)}
    if isinstance(result, Saved):
        return head | {"machine": result.lesson.harness.harness, "lesson": saved_json(result)}
    if isinstance(result, Comparison):
        return head | compared_json(result)
    if isinstance(result, Rehearsal):
        return head | {"machine": result.harness.harness, "rehearsal": rehearsed_json(result)}
    if isinstance(result, Dossier):
        return head | {"machine": result.harness.harness, "dossier": dossier_json(result)}
    if isinstance(result, Surveyed):
        return head | {"machine": result.survey.harness.harness, "survey": survey_json(result)}
    if isinstance(result, CHANGED):
        return head | changed_json(result)
    if isinstance(result, JobReport):
        return head | report_json(result)
    if isinstance(result, ClassCards):
        return head | {"machine": result.harness.harness, "cards": cards_json(result)}
    if isinstance(result, DrillSummary):
        return head | {"drills": summary_json(result)}
    if isinstance(result, Recorded):
        return head | recorded_json(result)
    if isinstance(result, Next):
        return head | standing_json(result.standing) | {"next": next_json(result)}
    if isinstance(result, Why):
        return head | standing_json(result.standing) | {"why": why_json(result)}
    if isinstance(result, Standing):
        return head | standing_json(result)
    raise TypeError(f"no JSON for {type(result).__name__}")


def drill_document(opened: OpenDrill, end: DrillEnd | None, *, exit_code: int) -> Json:
    """Give a drill as a JSON document.

    Parameters
    ----------
    opened : OpenDrill
        The drill.
    end : DrillEnd or None
        Its result, once it has ended.
    exit_code : int
        Exit status of the command.

    Returns
    -------
    dict
        Plain values, all finite; nothing of the fault before the end.
    """
    head: Json = {"schema": SCHEMA, "command": "drill", "ok": True, "exit": exit_code}
    made = drill_json(opened) | {"result": end_json(end) if end is not None else None}
    return head | {"machine": opened.course.drill.case.harness.harness, "drill": made}


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
    planted = _planted(demo.planted)
    made = [
        {"next": next_json(item.shown), "result": evidence_json(item.result), "minutes": item.minutes, "proof": item.proof}
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
    assumed = [{"kind": item.kind, "values": item.values, "names": list(item.names)} for item in assumed_values(harness)]
    contacts = [{"what": what, "ohm": ohm} for what, ohm in usual_contacts(harness)]
    return {"file": result.file, "machine": harness.harness, **held, "findings": findings, "assumed": assumed, "contacts": contacts}


def _planted(item: PlantedFault) -> Json:
    return {"fault": item.fault.id, "text": item.fault.words, "severity": finite(item.severity)}


def _netlist(result: Netlisted) -> Json:
    return {
        "function": result.function or None,
        "setting": setting_json(result.setting),
        "planted": None if result.planted is None else _planted(result.planted),
        "text": result.text,
    }


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
