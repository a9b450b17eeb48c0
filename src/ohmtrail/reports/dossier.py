"""The dossier of one machine for its next owner: everything that is known of it, in one HTML file."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ohmtrail.changes.leadlist import HEADINGS, rows_of
from ohmtrail.drawing import on_paper
from ohmtrail.harness import Harness
from ohmtrail.reports.change_report import change_report_html
from ohmtrail.reports.changed import Reported
from ohmtrail.reports.figures import joined, level_text
from ohmtrail.reports.html import inner, picture, render
from ohmtrail.reports.job_report import JobReport
from ohmtrail.reports.phrases import step_text
from ohmtrail.reports.report import report_html
from ohmtrail.reports.results import Surveyed
from ohmtrail.reports.survey_advice import left_rows, share_words
from ohmtrail.reports.survey_form import survey_form

__all__ = ["Dossier", "SurveyOf", "dossier_html", "dossier_json", "not_checked"]


@dataclass(frozen=True)
class SurveyOf:
    """A survey that was begun: its job file, the plan with its results, and what of it is open."""

    path: str
    found: Surveyed
    open: tuple[int, ...]
    off: tuple[int, ...]


@dataclass(frozen=True)
class Dossier:
    """What goes into the dossier of a machine.

    Attributes
    ----------
    harness : Harness
        The machine as it is now.
    file : str
        Where that was read from.
    changes : Reported or None
        Its record of changes, where there is one.
    surveys : tuple of SurveyOf
        Surveys that were begun.
    jobs : tuple of JobReport
        Jobs on it.
    seen : tuple of (str, int or None)
        Function, and how it was last seen to work; None where nobody watched it.
    whole : str
        The whole machine as a picture, SVG.
    paths : tuple of (str, str, str)
        Function, and its path as a wide and as a narrow picture, SVG.
    """

    harness: Harness
    file: str
    changes: Reported | None
    surveys: tuple[SurveyOf, ...]
    jobs: tuple[JobReport, ...]
    seen: tuple[tuple[str, int | None], ...]
    whole: str
    paths: tuple[tuple[str, str, str], ...] = field(default=())


def not_checked(found: Dossier) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Say what nobody looked at, or what was found and not put right.

    Parameters
    ----------
    found : Dossier
        The machine.

    Returns
    -------
    tuple of (str, tuple of str)
        Headings with their sentences; only those that apply.
    """
    harness = found.harness
    unseen = tuple(_called(harness, name) for name, level in found.seen if level is None)
    failing = tuple(f"{_called(harness, name)}: {level_text(level)}" for name, level in found.seen if level is not None and level < 2)
    unproven = tuple(_job_name(item) for item in found.jobs if not item.standing.assessment.proven)
    open_ = tuple(line for item in found.surveys for line in _open(item))
    covers = [item.found.checked for item in found.surveys if item.found.checked is not None]
    left = tuple(f"{element}: {share} of all faults left" for cover in covers for element, _, _, share in left_rows(cover, most=8))
    passed = tuple(
        f"{kind.called}, {share_words(kind.passed)} of all faults: {kind.why}. Would show it: {kind.would}."
        for cover in covers
        for kind in cover.kinds[:5]
    )
    assumed = tuple(name for name, lead in harness.leads.items() if lead.assumed())
    lists = (
        ("No survey was made of this machine", () if found.surveys else ("Whether anything is wrong that nobody complained of was not checked.",)),
        ("Functions that were not watched", unseen),
        ("Functions that did not work when last watched", failing),
        ("Jobs without a proven end", unproven),
        ("Readings of the survey that are open, or outside their bands", open_),
        ("Where the readings of the survey leave most unchecked", left),
        ("What the readings of the survey pass by", passed),
        ("Leads whose size or length nobody measured", (f"{joined(assumed)}.",) if assumed else ()),
    )
    return tuple((head, lines) for head, lines in lists if lines)


def _open(item: SurveyOf) -> list[str]:
    planned = {row.number: row for row in item.found.survey.planned}
    told = [f"{number}: {step_text(planned[number].step)}, outside its band" for number in item.off]
    if item.open:
        told.append(f"Not taken: {len(item.open)} of {len(planned)}, numbers {', '.join(str(number) for number in item.open)}.")
    return told


def _called(harness: Harness, function: str) -> str:
    return harness.functions[function].called or function.replace("-", " ")


def _job_name(item: JobReport) -> str:
    start = item.standing.job.start
    return f"{start.complaint or 'survey'}, begun {start.date} ({_short(item.standing.job.path)})"


def _short(path: str) -> str:
    return path.replace("\\", "/").rpartition("/")[2]


def dossier_html(found: Dossier, *, paper: str = "a4") -> str:
    """Write a dossier as one HTML file.

    Parameters
    ----------
    found : Dossier
        What goes into it.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        It needs no other file.

    Raises
    ------
    UnknownName
        No such paper.
    MissingTool
        The layout engine is not installed.
    """
    parts = [_machine(found), _unchecked(found)]
    parts += [_part("changes", "Record of changes", paper=inner(change_report_html(found.changes, paper=paper)))] if found.changes else []
    parts += [_survey(item, number, paper) for number, item in enumerate(found.surveys, 1)]
    parts += [
        _part(f"job-{number}", f"Job: {_job_name(item)}", paper=inner(report_html(item, paper=paper))) for number, item in enumerate(found.jobs, 1)
    ]
    parts += [_drawings(found, paper), _leads(found.harness)]
    facts = (_short(found.file), f"{len(found.harness.leads)} leads, {len(found.harness.parts)} parts")
    return render("dossier.html", title="Dossier", machine=found.harness.harness, paper=paper, facts=facts, parts=parts)


def _part(name: str, head: str, **more: object) -> dict[str, object]:
    empty: dict[str, object] = {"told": "", "facts": (), "lines": (), "lists": (), "heads": (), "rows": (), "drawings": (), "paper": ""}
    return empty | {"id": name, "head": head} | more


def _machine(found: Dossier) -> dict[str, object]:
    harness = found.harness
    facts = [("Made", str(harness.made))] if harness.made else []
    facts += [("Supply", f"{harness.supply.nominal:g} V, {harness.supply.earthed} earthed")]
    facts += [("Leads", str(len(harness.leads))), ("Parts", str(len(harness.parts))), ("Functions", str(len(harness.functions)))]
    rows = [(item.called or name, f"{item.reach:g} min", item.how, item.inside or "") for name, item in harness.places.items()]
    heads = ("Place", "Reach", "How", "Inside")
    return _part("machine", "The machine", facts=facts, lines=[harness.note] if harness.note else [], heads=heads, rows=rows)


def _unchecked(found: Dossier) -> dict[str, object]:
    lists = [{"head": head, "lines": lines} for head, lines in not_checked(found)]
    told = "" if lists else "nothing is known to be open"
    return _part("not-checked", "What was not checked", lists=lists, told=told, lines=[] if lists else ["Nothing is known to be open."])


def _survey(item: SurveyOf, number: int, paper: str) -> dict[str, object]:
    page = survey_form(item.found, job=_short(item.path), paper=paper)
    return _part(f"survey-{number}", f"Survey ({_short(item.path)})", paper=inner(page))


def _drawings(found: Dossier, paper: str) -> dict[str, object]:
    made: list[dict[str, Any]] = [{"head": "The whole machine", "svg": picture(found.whole)}] if found.whole else []
    made += [{"head": _called(found.harness, name), "svg": picture(on_paper(wide, narrow, paper=paper))} for name, wide, narrow in found.paths]
    return _part("drawings", "Drawings", drawings=made, told=f"{len(made)} pictures")


def _leads(harness: Harness) -> dict[str, object]:
    rows = [(row.lead, row.start, row.end, row.colour, row.size, row.length, row.loom, row.covering, row.note) for row in rows_of(harness)]
    return _part("lead-list", "Lead list", heads=HEADINGS, rows=rows, told=f"{len(rows)} leads")


def dossier_json(found: Dossier) -> dict[str, Any]:
    """Give what a dossier holds as plain values.

    Parameters
    ----------
    found : Dossier
        The machine.

    Returns
    -------
    dict
        What it was made from, and what was not checked.
    """
    return {
        "file": found.file,
        "changes": len(found.changes.source.record.changes) if found.changes else None,
        "surveys": [item.path for item in found.surveys],
        "jobs": [item.standing.job.path for item in found.jobs],
        "pictures": len(found.paths) + bool(found.whole),
        "not_checked": [{"head": head, "lines": list(lines)} for head, lines in not_checked(found)],
    }

