"""Readings so far, what was stored, why, and the proof of a mend."""

from __future__ import annotations

from ohmtrail.diagnosis import trial_of
from ohmtrail.job import answered
from ohmtrail.reports.figures import expected_text, factor_text, joined, minutes_text, share_text
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import command_text, evidence_text, step_text, suspect_text
from ohmtrail.reports.proposal import write_header, write_suspects
from ohmtrail.reports.results import Explained, Recorded, Standing, Why
from ohmtrail.reports.settings import left_text
from ohmtrail.reports.survey import expected_words
from ohmtrail.reports.trouble import write_trouble
from ohmtrail.reports.weighing import weighing_lines

__all__ = ["WHO_DECIDES", "write_progress", "write_proofs", "write_readings", "write_recorded", "write_standing", "write_state", "write_why"]

WHO_DECIDES = "Ohmtrail advises. The maker's manual, local rules and a qualified person decide."
#: columns from which expectations stand side by side
_TABLE = 80


def write_readings(paper: Paper, standing: Standing) -> None:
    """Write everything done so far, numbered.

    Parameters
    ----------
    paper : Paper
        Where to.
    standing : Standing
        The job.
    """
    for event in standing.job.events:
        mark = "  struck" if event.struck else "  no longer counts" if event.number in standing.dropped else ""
        mark += "  complaint" if event.complaint else f"  {minutes_text(event.minutes)}"
        paper.pair(f"{event.number}", f"{evidence_text(event.what)}{mark}", indent=1, column=5)
    for note in standing.job.notes:
        paper.pair("-", f"note: {note}", indent=1, column=5)


def write_standing(paper: Paper, standing: Standing) -> None:
    """Write the readings so far and the suspects.

    Parameters
    ----------
    paper : Paper
        Where to.
    standing : Standing
        The job.
    """
    write_header(paper, standing)
    paper.blank()
    write_readings(paper, standing)
    paper.blank()
    write_state(paper, standing, mends=True)
    for line in weighing_lines(standing):
        paper.line(line, indent=1, hang=3)


def write_state(paper: Paper, standing: Standing, *, mends: bool = False, talking: bool = False) -> None:
    """Write what follows from the readings: suspects, or what is left to prove.

    Parameters
    ----------
    paper : Paper
        Where to.
    standing : Standing
        The job.
    mends : bool
        Whether to say what would put each suspect right.
    talking : bool
        Whether this stands in a conversation.
    """
    write_trouble(paper, standing, talking=talking)
    assessment = standing.assessment
    if assessment.proven:
        paper.line("Proven: every complaint works again.", indent=1)
        _write_left(paper, standing, talking=talking)
    for item in assessment.to_prove:
        words = ", ".join(item.setting.words())
        paper.line(f"To prove: {step_text(trial_of(item))}" + (f" ({words})" if words else ""), indent=1, hang=3)
    flagged = any(state in ("again", "off") for state in standing.job.progress)
    if standing.job.planned and (flagged or standing.posterior is None):
        write_progress(paper, standing)
    if standing.posterior is not None:
        write_suspects(paper, standing.posterior, mends=mends)
    elif not (standing.job.planned or assessment.proven or assessment.to_prove):
        paper.line("Nothing is known to be wrong: enter what fails, as in 'spark absent'.", indent=1)


def _write_left(paper: Paper, standing: Standing, *, talking: bool) -> None:
    """Write what is left to do at a machine that is proven: put back, close, write up."""
    if left := left_text(standing):
        paper.line(left, indent=1, hang=3)
    if not talking:
        paper.line(f"Its papers: {command_text('report', standing.job.path, '-o report.html')}", indent=1)


def write_progress(paper: Paper, standing: Standing) -> None:
    """Write how far the survey is.

    Parameters
    ----------
    paper : Paper
        Where to.
    standing : Standing
        The job.
    """
    planned, progress = standing.job.planned, standing.job.progress
    count = {state: progress.count(state) for state in ("in", "off", "again", "open")}
    paper.line(f"Survey: {count['in']} of {len(planned)} readings are as on a sound machine, {count['open']} are still to be taken.", indent=1)
    for item, state in zip(planned, progress, strict=True):
        if state in ("again", "off"):
            told = "outside its band, take it again" if state == "again" else "outside its band"
            paper.pair(f"{item.number}", f"{step_text(item.step)}: {told}; sound: {expected_words(item.step, item.sound)}", indent=3, column=7)
    if count["open"] == count["again"] == count["off"] == 0:
        paper.line("Nothing that was to be checked is left.", indent=1)


def write_recorded(paper: Paper, recorded: Recorded) -> None:
    """Write what was stored, the new state and the next command.

    Parameters
    ----------
    paper : Paper
        Where to.
    recorded : Recorded
        What was added.
    """
    job = recorded.standing.job
    verb = {"start": "Begun", "strike": "Struck"}.get(recorded.verb, "Stored")
    for event in recorded.events:
        planned = next((item.number for item in job.planned if answered(item.step, event.what)), None)
        tail = f"; reading {planned} of the survey" if planned is not None and planned != event.number else ""
        paper.pair(f"{verb} {event.number}", f"{evidence_text(event.what)}{tail}", indent=0, column=12)
    for note in recorded.notes:
        paper.pair(verb, f"note: {note}", indent=0, column=12)
    paper.blank()
    if recorded.proofs:
        write_proofs(paper, recorded)
    write_state(paper, recorded.standing)
    paper.blank()
    if recorded.verb == "start":
        paper.line(WHO_DECIDES)
    paper.line(f"In {job.path}. Next: {command_text('next', job.path)}", hang=2)


def write_proofs(paper: Paper, recorded: Recorded) -> None:
    """Write the readings that prove a mend.

    Parameters
    ----------
    paper : Paper
        Where to.
    recorded : Recorded
        The mend.
    """
    paper.line("These readings showed the fault. Sound, they are:", indent=1)
    for item in recorded.proofs:
        before = evidence_text(item.before)
        paper.pair(f"{item.number}", f"{before}; now {expected_text(item.before, item.sound)}", indent=2, column=6)
    paper.blank()


def write_why(paper: Paper, found: Why, *, talking: bool = False) -> None:
    """Write how every reading bears on the leading suspects, and what ruled others out.

    Parameters
    ----------
    paper : Paper
        Where to.
    found : Why
        The explanation.
    talking : bool
        Whether this stands in a conversation.
    """
    standing = found.standing
    if not talking:
        write_header(paper, standing)
        paper.blank()
    write_trouble(paper, standing, talking=talking)
    if standing.posterior is None:
        write_state(paper, standing, talking=talking)
        return
    for item in found.explained:
        _explained(paper, standing, item)
    if found.ruled_out:
        paper.line("Ruled out", indent=1)
        for gone in found.ruled_out[:12]:
            number = standing.number_of(gone.evidence)
            shares = f"{share_text(gone.before)} -> {share_text(gone.after)}"
            paper.pair(f"{number}", f"{joined(gone.mends)}, {shares}, by reading {number}", indent=3, column=7)
        if len(found.ruled_out) > 12:
            paper.line(f"and {len(found.ruled_out) - 12} more", indent=7)


def _explained(paper: Paper, standing: Standing, item: Explained) -> None:
    """One suspect: a table of its readings where that fits, else one reading under another."""
    assert standing.posterior is not None
    paper.edges(f" {suspect_text(standing.posterior, item.answer)}", share_text(item.answer.share))
    paper.line(f"mend: {joined(item.answer.mends)}", indent=3)
    table = paper.width >= _TABLE and not paper.aloud
    if table:
        paper.lines.append(_cells("if sound", "if this", "speaks"))
    for weight in item.weights:
        number = standing.number_of(weight.evidence)
        paper.pair(f"{number}", evidence_text(weight.evidence), indent=3, column=7)
        sound, suspect = (expected_text(weight.evidence, expected) for expected in (weight.sound, weight.suspect))
        if not table:
            paper.line(f"if sound: {sound}; if this: {suspect}; speaks {factor_text(weight.factor)}", indent=7)
        else:
            paper.lines.append(_cells(paper.text(sound), paper.text(suspect), factor_text(weight.factor)))
    paper.blank()


def _cells(sound: str, suspect: str, speaks: str) -> str:
    """A row under a reading: what it should be, and how it speaks."""
    return f"       {sound:<21}  {suspect:<21}  {speaks}".rstrip()
