"""The report of a job as HTML and as text."""

from __future__ import annotations

from typing import Any

from ohmtrail.diagnosis import Complaint, Evidence, Expected, Looked, Measured, Mended, Seen, trial_of
from ohmtrail.drawing import on_paper
from ohmtrail.reports.figures import expected_text, joined, level_text, minutes_text, share_text, value_text
from ohmtrail.reports.html import picture, render
from ohmtrail.reports.job_report import Compared, JobReport, Taken
from ohmtrail.reports.jobs import WHO_DECIDES
from ohmtrail.reports.json_job import standing_json
from ohmtrail.reports.json_values import evidence_json, expected_json
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import evidence_text, step_text, suspect_text
from ohmtrail.reports.settings import setting_text
from ohmtrail.reports.weighing import weighing_lines

__all__ = ["report_html", "report_json", "report_text", "write_report"]

_WIDTH = 88
_QUANTITIES = {
    "ohms": "Ohms", "volts": "Volts DC", "ac": "Volts AC", "peak": "Peak volts", "diode": "Diode range", "beep": "Beeper",
    "lamp": "Test lamp", "amps": "Amps by clamp",
}  # fmt: skip


def _called(report: JobReport, function: str) -> str:
    return report.standing.job.harness.functions[function].called or function.replace("-", " ")


def _tried(report: JobReport, item: Complaint) -> str:
    return _called(report, item.function) if isinstance(item, Seen) else step_text(trial_of(item))


def _what(report: JobReport, item: Taken) -> str:
    """What was done, without its result."""
    what = item.event.what
    if isinstance(what, Mended):
        return f"Mend: {what.mend}"
    if isinstance(what, Looked):
        return f"Looked at {what.element}"
    if isinstance(what, Seen):
        return f"{'Complaint' if item.event.complaint else 'Watched'}: {_called(report, what.function)}"
    where = f"around {what.red}" if what.quantity == "amps" else f"red {what.red}, black {what.black}"
    return f"{_QUANTITIES[what.quantity]}, {where}"


def _shown(item: Measured | Seen | Looked | Mended) -> str:
    """The result alone."""
    if isinstance(item, Mended):
        return "done"
    if isinstance(item, Looked):
        return "damaged" if item.damaged else "looks sound"
    if isinstance(item, Seen):
        return level_text(item.level, sometimes=item.sometimes)
    return "flickers" if item.flickers else value_text(item.quantity, item.value)


def _setting(item: Taken) -> str:
    what = item.event.what
    return "" if isinstance(what, Mended | Looked) else setting_text(what.setting)


def _sound(item: Taken) -> str:
    what = item.event.what
    return "" if item.sound is None or isinstance(what, Mended) else _band(what, item.sound)


def _band(what: Evidence, sound: Expected) -> str:
    """What a sound machine shows; a battery's volts to three digits."""
    fine = isinstance(what, Measured) and what.quantity in ("volts", "amps")
    return expected_text(what, sound, digits=3 if fine else 2)


def _meaning(item: Taken) -> str:
    """What followed from it."""
    if item.event.struck:
        return "struck: it does not count"
    if item.proves:
        return "proves the mend: every complaint works again"
    if item.leading is None:
        return ""
    posterior, answer = item.leading
    return f"likeliest then: {suspect_text(posterior, answer)}, {share_text(answer.share)}"


def _ending(report: JobReport) -> str:
    """How the job stands, in one sentence."""
    standing = report.standing
    mends = [event.what.mend for event in standing.job.counted if isinstance(event.what, Mended)]
    if standing.assessment.proven:
        return f"Proven: every complaint works again after: {joined(mends)}."
    if standing.assessment.to_prove:
        watch = joined([_tried(report, item) for item in standing.assessment.to_prove])
        return f"Not proven yet: {joined(mends)} done; still to be watched: {watch}."
    posterior = standing.posterior
    if posterior is None:
        return "Nothing is known to be wrong."
    best = posterior.answers[0]
    tried = f" {joined(mends)} did not cure it." if mends else ""
    return f"Not finished.{tried} Likeliest: {suspect_text(posterior, best)}, {share_text(best.share)}; mend: {joined(best.mends)}."


def _compared(report: JobReport, item: Compared) -> dict[str, str]:
    what = _called(report, item.before.function) if isinstance(item.before, Seen) else evidence_text(item.before, setting=False).rpartition(": ")[0]
    return {
        "what": what,
        "setting": setting_text(item.before.setting),
        "before": f"{_shown(item.before)} ({item.number})",
        "after": f"{_shown(item.after)} ({item.again})",
        "sound": _band(item.after, item.sound),
    }


def _facts(report: JobReport) -> tuple[tuple[str, str], ...]:
    start = report.standing.job.start
    return (
        ("Complaint", start.complaint or "found by a survey"),
        ("Begun", start.date),
        ("Minutes", f"{report.standing.job.minutes:.0f}"),
        ("Meter", start.meter.name),
        ("Job file", report.standing.job.path.replace("\\", "/").rpartition("/")[2]),
    )


def report_html(report: JobReport, *, paper: str = "a4") -> str:
    """Write a report as one HTML file.

    Parameters
    ----------
    report : JobReport
        The job.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        It needs no other file and prints.

    Raises
    ------
    UnknownName
        No such paper.
    """
    job = report.standing.job
    rows = [
        {
            "number": item.event.number,
            "what": _what(report, item),
            "setting": _setting(item),
            "shown": _shown(item.event.what),
            "sound": _sound(item),
            "meaning": _meaning(item),
            "minutes": "" if item.event.complaint else minutes_text(item.event.minutes),
            "struck": item.event.struck,
        }
        for item in report.taken
    ]
    return render(
        "report.html",
        title="Job report",
        machine=job.start.machine,
        paper=paper,
        fact_pairs=_facts(report),
        ending=_ending(report),
        proven=report.standing.assessment.proven,
        rows=rows,
        minutes=minutes_text(job.minutes),
        mends=[item.event.what.mend for item in report.taken if isinstance(item.event.what, Mended)],
        proofs=[_compared(report, item) for item in report.proofs],
        drawing=picture(on_paper(report.path, report.ladder, paper=paper)),
        path_name=_called(report, report.function),
        notes=(*job.notes, *weighing_lines(report.standing)),
        cautions=[item.text for item in report.cautions],
    )


def write_report(paper: Paper, report: JobReport) -> None:
    """Write a report as text.

    Parameters
    ----------
    paper : Paper
        Where to.
    report : JobReport
        The job.
    """
    job = report.standing.job
    paper.line(f"Job report: {job.start.machine}")
    for name, value in _facts(report):
        paper.pair(name, value, indent=1, column=14)
    paper.blank()
    paper.line(_ending(report))
    paper.blank()
    paper.line("What was done, in order")
    for item in report.taken:
        minutes = "" if item.event.complaint else f" [{minutes_text(item.event.minutes)}]"
        paper.pair(f"{item.event.number}", f"{_what(report, item)}: {_shown(item.event.what)}{minutes}", indent=1, column=5)
        if setting := _setting(item):
            paper.line(f"set: {setting}", indent=5, hang=10)
        if sound := _sound(item):
            paper.line(f"a sound machine: {sound}", indent=5, hang=7)
        if meaning := _meaning(item):
            paper.line(f"-> {meaning}", indent=5, hang=8)
    _write_proofs(paper, report)
    for note in (*job.notes, *weighing_lines(report.standing)):
        paper.pair("note", note, indent=1, column=7)
    if report.cautions:
        paper.blank()
    for caution in report.cautions:
        paper.line(f"Careful: {caution.text}", hang=9)
    paper.blank()
    paper.line(WHO_DECIDES)


def _write_proofs(paper: Paper, report: JobReport) -> None:
    if not report.proofs:
        return
    paper.blank()
    paper.line("Before and after the mend")
    for compared in report.proofs:
        words = _compared(report, compared)
        paper.line(f"{words['what']}: before {words['before']}, after {words['after']}; a sound machine: {words['sound']}", indent=1, hang=3)


def report_text(report: JobReport) -> str:
    """Write a report as a text file.

    Parameters
    ----------
    report : JobReport
        The job.

    Returns
    -------
    str
        Lines of at most 88 columns.
    """
    paper = Paper(_WIDTH)
    write_report(paper, report)
    return str(paper)


def report_json(report: JobReport) -> dict[str, Any]:
    """Give a report as plain values.

    Parameters
    ----------
    report : JobReport
        The job.

    Returns
    -------
    dict
        How the job stands, with what followed from each thing done, and the proofs.
    """
    taken = [
        {
            "number": item.event.number,
            "text": f"{_what(report, item)}: {_shown(item.event.what)}",
            "meaning": _meaning(item),
            "minutes": item.event.minutes,
            "share": item.leading[1].share if item.leading is not None else None,
            "mends": list(item.leading[1].mends) if item.leading is not None else [],
        }
        for item in report.taken
    ]
    proofs = [
        {
            "before": evidence_json(item.before) | {"number": item.number},
            "after": evidence_json(item.after) | {"number": item.again},
            "sound": expected_json(item.after, item.sound),
        }
        for item in report.proofs
    ]
    made = {"ending": _ending(report), "taken": taken, "before_and_after": proofs, "cautions": [item.id for item in report.cautions]}
    return standing_json(report.standing) | {"report": made}
