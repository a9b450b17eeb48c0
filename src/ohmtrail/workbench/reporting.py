"""The report of a job, for the customer and the file."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from os import PathLike

from ohmtrail.diagnosis import (
    Answer,
    Caution,
    Expected,
    Looked,
    Measured,
    Mended,
    Posterior,
    Seen,
    cautions_for,
    expected_of,
    trial_of,
)
from ohmtrail.drawing import Highlights, SuspectMark, draw_ladder, draw_path
from ohmtrail.drawing.paths import nominal_electrics
from ohmtrail.errors import JobError
from ohmtrail.job import Event, answered, step_for
from ohmtrail.reports.figures import share_text
from ohmtrail.reports.job_report import Compared, JobReport, Taken
from ohmtrail.reports.marked import marks_of, mend_marks, reading_marks, suspect_mark
from ohmtrail.reports.report import report_html, report_text
from ohmtrail.reports.results import Standing
from ohmtrail.reports.survey import LEADS_OHM
from ohmtrail.workbench.asking import ahead, gone
from ohmtrail.workbench.opened import OpenJob, open_job
from ohmtrail.workbench.pictures import complained
from ohmtrail.workbench.printing import save_paper

__all__ = ["report", "save_report"]

#: kinds of file, by how their names end
#: kinds of a report by the words that choose them
_FORMS = {"text": "txt"}


def report(job: OpenJob | str | PathLike[str], *, accept_changed: bool = False) -> JobReport:
    """Put a job together for the customer and the file.

    Parameters
    ----------
    job : OpenJob, str or path
        The job.
    accept_changed : bool
        Go on although the harness file is not what it was.

    Returns
    -------
    JobReport
        What was done in order, what it showed, the picture, the mend and its proof.

    Raises
    ------
    JobError
        Nothing but the complaint is in it.
    MissingTool
        The layout engine is not installed.
    """
    standing = open_job(job, accept_changed=accept_changed).standing()
    state = standing.job
    if all(event.complaint for event in state.events):
        raise JobError(f"{state.path!r} has no reading yet: there is nothing to report; 'ohmtrail next {state.path}' says what to do first")
    taken = _taken(standing)
    function = complained(standing)
    marks = _marks(standing, taken)
    electrics = nominal_electrics(state.harness)
    path = draw_path(state.harness, function, highlights=marks, electrics=electrics)
    ladder = draw_ladder(state.harness, function, highlights=marks, electrics=electrics)
    return JobReport(standing, taken, _proofs(standing, taken), function, marks, path, ladder, _cautions(standing))


def _taken(standing: Standing) -> tuple[Taken, ...]:
    """Everything done, with what followed from all that was known by then."""
    made: list[Taken] = []
    history: list[Looked | Measured | Mended | Seen] = []
    known: Posterior | None = None
    for event in standing.job.events:
        if event.struck:
            made.append(Taken(event, None, None))
            continue
        history.append(event.what)
        last = standing.job.counted[-1] is event
        assessment = standing.assessment if last else standing.case.assess(history)
        posterior = assessment.posterior
        known = posterior or known
        sound = _planned(standing, event)
        if sound is None and known is not None and not isinstance(event.what, Mended):
            sound = expected_of(known, event.what, 0)
        leading = (posterior, posterior.answers[0]) if posterior is not None and not isinstance(event.what, Mended) else None
        made.append(Taken(event, sound, leading, assessment.proven))
    return tuple(made)


def _planned(standing: Standing, event: Event) -> Expected | None:
    """The band that a survey gave for a reading: the report says no other."""
    found = next((item.sound for item in standing.job.planned if item.sound is not None and answered(item.step, event.what)), None)
    if found is None:
        return None
    open_below = isinstance(event.what, Measured) and event.what.quantity in ("ohms", "amps") and found.low < LEADS_OHM
    return Expected(-math.inf if open_below else found.low, found.high)


def _mended(standing: Standing) -> Event | None:
    """The last mend."""
    return next((event for event in reversed(standing.job.counted) if isinstance(event.what, Mended)), None)


def _proofs(standing: Standing, taken: Sequence[Taken]) -> tuple[Compared, ...]:
    """What was read in one way before the last mend and after it."""
    mend = _mended(standing)
    if mend is None:
        return ()
    counted = [item for item in taken if not item.event.struck]
    place = next(index for index, item in enumerate(counted) if item.event is mend)
    made = []
    for after in counted[place:]:
        before = next((item for item in reversed(counted[:place]) if _alike(item.event, after.event)), None)
        if before is not None and after.sound is not None and isinstance(before.event.what, Measured | Seen):
            assert not isinstance(after.event.what, Mended)
            made.append(Compared(before.event.number, after.event.number, before.event.what, after.event.what, after.sound))
    return tuple(made)


def _alike(one: Event, other: Event) -> bool:
    """Whether two events are one reading, whatever they showed."""
    a, b = one.what, other.what
    if isinstance(a, Measured) and isinstance(b, Measured):
        return replace(a, value=0.0, flickers=False) == replace(b, value=0.0, flickers=False)
    if isinstance(a, Seen) and isinstance(b, Seen):
        return a.function == b.function and replace(a.setting, moved=None) == replace(b.setting, moved=None)
    return False


def _marks(standing: Standing, taken: Sequence[Taken]) -> Highlights:
    """Readings up to the last mend with what they pointed to; without a mend, how the job stands."""
    mend = _mended(standing)
    if mend is None:
        return marks_of(standing, ahead(standing), gone(standing))
    before = [item for item in taken if item.event.number < mend.number and not item.event.struck]
    known = next((item.leading for item in reversed(before) if item.leading is not None), None)
    assert isinstance(mend.what, Mended)
    pointed = _pointed(known[0], mend.what.mend) if known is not None else None
    return Highlights(
        readings=reading_marks(standing.job.harness, [item.event for item in before]),
        suspects=(pointed,) if pointed is not None else (),
        mends=mend_marks(standing.job.counted, standing.case.mends()),
    )


def _pointed(posterior: Posterior, mend: str) -> SuspectMark | None:
    """The suspect that was mended, with the share it had."""
    answer: Answer | None = next((item for item in posterior.answers if mend in item.mends), None)
    return None if answer is None or not answer.share > 0 else replace(suspect_mark(posterior, answer), share=share_text(answer.share))


def _cautions(standing: Standing) -> tuple[Caution, ...]:
    """What was to be careful of in all that was done and is still to be proven."""
    harness, case = standing.job.harness, standing.case
    steps = []
    for event in standing.job.events:
        mend = case.mends()[event.what.mend][0].mend if isinstance(event.what, Mended) else None
        steps.append(step_for(event.what, standing.job.bench.setting, mend))
    steps += [trial_of(item) for item in standing.assessment.to_prove]
    return tuple(dict.fromkeys(item for step in steps for item in cautions_for(harness, step)))


def save_report(made: JobReport, out: str | PathLike[str], *, form: str = "", paper: str = "a4") -> None:
    """Write a report to a file of the kind that its name ends in.

    Parameters
    ----------
    made : JobReport
        The report.
    out : str or path
        The file: ``.html``, ``.pdf`` or ``.txt``.
    form : str
        ``html`` or ``text``, whatever its name ends in.
    paper : str
        ``a4`` or ``letter``.

    Raises
    ------
    InputError
        The name ends in nothing known.
    UnknownName
        No such paper.
    MissingTool
        PDF, and no browser is at hand.
    StorageError
        It cannot be written; nothing is left behind.
    """
    save_paper(out, lambda: report_html(made, paper=paper), {"txt": lambda: report_text(made)}, form=_FORMS.get(form, form))
