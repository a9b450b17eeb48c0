"""The dossier of a machine: harness, record, survey, jobs, drawings and lead list in one file."""

from __future__ import annotations

from collections.abc import Sequence
from os import PathLike, fspath

from ohmtrail.diagnosis import Seen
from ohmtrail.drawing import draw_ladder, draw_path, draw_whole
from ohmtrail.drawing.paths import nominal_electrics
from ohmtrail.errors import InputError
from ohmtrail.harness import Harness, parse_harness
from ohmtrail.reports.dossier import Dossier, SurveyOf, dossier_html
from ohmtrail.reports.results import Standing
from ohmtrail.storage import write_whole
from ohmtrail.workbench.changing import now_of
from ohmtrail.workbench.comparing import change_report
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.machine import is_job
from ohmtrail.workbench.opened import open_job
from ohmtrail.workbench.printing import form_of
from ohmtrail.workbench.reporting import report
from ohmtrail.workbench.surveying import survey

__all__ = ["dossier", "save_dossier"]


def dossier(file: str | PathLike[str], jobs: Sequence[str | PathLike[str]] = (), *, accept_changed: bool = False) -> Dossier:
    """Put together everything that is known of one machine.

    Parameters
    ----------
    file : str or path
        Its harness file, or its record of changes, which stands for the harness as it is now.
    jobs : sequence of str or path
        Its job files, surveys among them.
    accept_changed : bool
        Take a job although the harness file has changed since it began, as the restorer's work changes it.

    Returns
    -------
    Dossier
        Nothing is written yet.

    Raises
    ------
    InputError
        A file is no job, or is of another machine.
    HarnessError, RecordError, JobError
        One of the files cannot be used.
    MissingTool
        The layout engine is not installed.
    """
    name = existing(fspath(file))
    tree, applied = now_of(name)
    harness = applied.harness if applied is not None else parse_harness(tree)
    known = {harness.harness, parse_harness(applied.base).harness if applied is not None else harness.harness}
    standings = [_standing(fspath(job), known, accept_changed=accept_changed) for job in jobs]
    electrics = nominal_electrics(harness)
    paths = tuple(
        (function, draw_path(harness, function, electrics=electrics), draw_ladder(harness, function, electrics=electrics))
        for function in harness.functions
    )
    return Dossier(
        harness,
        name,
        change_report(name) if applied is not None else None,
        tuple(_survey(item) for item in standings if item.job.planned),
        tuple(report(item.job.path, accept_changed=accept_changed) for item in standings if any(not event.complaint for event in item.job.events) and not _plain_survey(item)),
        _seen(harness, standings),
        draw_whole(harness, None, electrics=electrics),
        paths,
    )


def _standing(job: str, known: set[str], *, accept_changed: bool) -> Standing:
    if not is_job(existing(job)):
        raise InputError(f"{job!r} is no job file: a dossier takes one harness file or record, then job files")
    standing = open_job(job, accept_changed=accept_changed).standing()
    if standing.job.start.machine not in known:
        raise InputError(f"{job!r} is on {standing.job.start.machine!r}, not on {' or '.join(sorted(known))}: leave it out")
    return standing


def _plain_survey(standing: Standing) -> bool:
    """Whether a job is a survey in which nothing was found: it is shown as a survey only."""
    return bool(standing.job.planned) and not any(state in ("off", "again") for state in standing.job.progress) and not standing.mended


def _survey(standing: Standing) -> SurveyOf:
    job = standing.job
    rows = list(zip(job.planned, job.progress, strict=True))
    open_ = tuple(item.number for item, state in rows if state == "open")
    off = tuple(item.number for item, state in rows if state in ("again", "off"))
    return SurveyOf(job.path, survey(job.path, year=job.start.year), open_, off)


def _seen(harness: Harness, standings: Sequence[Standing]) -> tuple[tuple[str, int | None], ...]:
    """How each function was last seen to work on the machine as it runs, over all jobs in the order of their times."""
    events = sorted((event for item in standings for event in item.job.counted), key=lambda event: event.at)
    last: dict[str, int] = {}
    for event in events:
        what = event.what
        if isinstance(what, Seen) and not (what.setting.lifted or what.setting.parted or what.setting.out):
            last[what.function] = 0 if what.sometimes else what.level
    return tuple((name, last.get(name)) for name in harness.functions)


def save_dossier(found: Dossier, out: str | PathLike[str], *, paper: str = "a4") -> None:
    """Write a dossier as one HTML file that needs no other.

    Parameters
    ----------
    found : Dossier
        The machine.
    out : str or path
        The file, ending in ``.html``.
    paper : str
        ``a4`` or ``letter``.

    Raises
    ------
    InputError
        The name ends in something else.
    UnknownName
        No such paper.
    StorageError
        It cannot be written; nothing is left behind.
    """
    form_of(fspath(out), {".html": "html", ".htm": "html"})
    write_whole(out, dossier_html(found, paper=paper))
