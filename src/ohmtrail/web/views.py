"""What each page shows: results of the workbench, put into the values of a template."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from ohmtrail import workbench
from ohmtrail.diagnosis import Seen
from ohmtrail.errors import JobError, UnknownName
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.reports import cards
from ohmtrail.reports.figures import expected_text, factor_text, share_text
from ohmtrail.reports.jobs import WHO_DECIDES
from ohmtrail.reports.phrases import evidence_text, point_text, suspect_text
from ohmtrail.reports.results import Standing
from ohmtrail.web.pages import fill, trusted
from ohmtrail.web.shelf import Shelf

__all__ = [
    "begin_page",
    "drawing_page",
    "home_page",
    "measure_page",
    "next_page",
    "picture_piece",
    "readings_page",
    "suspects_page",
]

Form = dict[str, str]


def home_page(shelf: Shelf) -> str:
    """Give the jobs of the folder, and the way to a new one.

    Parameters
    ----------
    shelf : Shelf
        The open jobs.

    Returns
    -------
    str
        An HTML page.
    """
    jobs = [(Path(item.path).name, item) for item in shelf.jobs()]
    return fill("home.html", jobs=jobs, folder=shelf.folder.name, who_decides=WHO_DECIDES)


def begin_page(shelf: Shelf, form: Form, sorry: str = "") -> str:
    """Give the choice of a machine, and then of what fails on it.

    Parameters
    ----------
    shelf : Shelf
        The open jobs.
    form : Form
        What was sent with the request.
    sorry : str
        Why what was sent could not be used; "" where nothing was wrong.

    Returns
    -------
    str
        An HTML page.
    """
    offered = shelf.harnesses()
    chosen = next((item for item in offered if item.path == form.get("harness")), None)
    functions = []
    if chosen is not None:
        functions = [(name, item.called or name) for name, item in workbench.functions(chosen.path).functions.items()]
    name = form.get("name") or (f"{chosen.machine.split()[0].casefold()} {datetime.now(UTC):%d %b}" if chosen else "")
    return fill("begin.html", offered=offered, chosen=chosen, functions=functions, form=form, name=name, sorry=sorry)


def _head(shelf: Shelf, job: str, standing: Standing, tab: str, form: Form) -> dict[str, object]:
    """What every page of a job has."""
    begun = standing.job.start
    return {
        "job": job,
        "alone": bool(shelf.only),
        "tab": tab,
        "machine": begun.machine,
        "complaint": begun.complaint,
        "minutes": f"{standing.job.minutes:.0f} min",
        "mark": shelf.mark(job),
        "sorry": form.get("sorry", ""),
        "typed": form.get("line", "") if form.get("sorry") else "",
        "trouble": cards.trouble_text(standing),
    }


def next_page(shelf: Shelf, job: str, form: Form) -> str:
    """Give the next step, large, with everything to answer it by.

    Parameters
    ----------
    shelf : Shelf
        The open jobs.
    job : str
        Its name in the folder.
    form : Form
        What was sent with the request.

    Returns
    -------
    str
        An HTML page.
    """
    opened = shelf.job(job)
    with opened.lock:
        try:
            shown = workbench.next_step(opened, now=datetime.now(UTC))
        except JobError:  # nothing is known to be wrong
            standing = opened.standing()
            card, record = cards.StepCard("unknown", 0, "Nothing is known to be wrong: enter what fails."), 0
        else:
            standing, card, record = shown.standing, cards.step_card(shown), shown.record
        head = _head(shelf, job, standing, "next", form)
        leading = cards.suspect_cards(standing, most=3)[:3]
    functions = [(name, item.called or name) for name, item in standing.job.harness.functions.items()]
    return fill("next.html", **head, card=card, answers=record, leading=leading, functions=functions, who_decides=WHO_DECIDES)


def _functions(standing: Standing, form: Form) -> tuple[str, list[tuple[str, str]]]:
    """The function that is drawn, and all there are."""
    harness = standing.job.harness
    complained = [item.what.function for item in standing.job.events if item.complaint and isinstance(item.what, Seen)]
    chosen = form.get("function") or (complained[0] if complained else next(iter(harness.functions)))
    if chosen not in harness.functions:
        raise UnknownName("function", chosen, harness.functions)
    return chosen, [(name, item.called or name) for name, item in harness.functions.items()]


def drawing_page(shelf: Shelf, job: str, form: Form) -> str:
    """Give the ladder, or on a wide screen the path, with terminals that can be chosen.

    Parameters
    ----------
    shelf : Shelf
        The open jobs.
    job : str
        Its name in the folder.
    form : Form
        What was sent with the request.

    Returns
    -------
    str
        An HTML page.
    """
    standing = shelf.job(job).standing()
    chosen, functions = _functions(standing, form)
    kind = "path" if form.get("kind") == "path" else "ladder"
    picture = shelf.picture(job, kind, chosen)
    head = _head(shelf, job, standing, "drawing", form)
    # what can be read as the machine stands comes first: no ohms on a live circuit
    asked = {"quantities": cards.quantity_choices(), "quantity": "ohms" if standing.job.bench.setting.dead else "volts"}
    first = "black" if standing.job.harness.supply.earthed == "positive" else "red"
    return fill("drawing.html", **head, **asked, function=chosen, functions=functions, kind=kind, picture=trusted(picture), first=first)


def picture_piece(shelf: Shelf, job: str, form: Form) -> str:
    """Give the picture alone, for a page that has room beside the step.

    Parameters
    ----------
    shelf : Shelf
        The open jobs.
    job : str
        Its name in the folder.
    form : Form
        What was sent with the request.

    Returns
    -------
    str
        SVG.
    """
    chosen, _ = _functions(shelf.job(job).standing(), form)
    return shelf.picture(job, "path" if form.get("kind") == "path" else "ladder", chosen)


def measure_page(shelf: Shelf, job: str, form: Form) -> str:
    """Give the pad for a reading at points of the user's own choice.

    Parameters
    ----------
    shelf : Shelf
        The open jobs.
    job : str
        Its name in the folder.
    form : Form
        What was sent with the request.

    Returns
    -------
    str
        An HTML page.

    Raises
    ------
    UnknownName
        No such quantity or point.
    """
    standing = shelf.job(job).standing()
    harness = standing.job.harness
    quantity = form.get("quantity", "ohms")
    if quantity not in dict(cards.quantity_choices()):
        raise UnknownName("quantity", quantity, dict(cards.quantity_choices()))
    red, black = form.get("red", ""), form.get("black", "") or FRAME
    for point in filter(None, (red, black)):
        _point(harness, point)
    probes = [cards.probe_of(standing, side, point) for side, point in (("red", red), ("black", black)) if point]
    head = _head(shelf, job, standing, "drawing", form)
    values = {"red": red, "black": black, "quantity": quantity, "quantities": cards.quantity_choices(), "points": _points(standing)}
    return fill(
        "measure.html", **head, **values, probes=probes, pad=cards.pad_of(quantity), state=cards.state_text(standing)  # type: ignore[arg-type]  # one of the quantities
    )


def _point(harness: Harness, point: str) -> None:
    if point != FRAME and point not in harness.terminals and point not in harness.lead_ends and point not in harness.leads:
        raise UnknownName("terminal", point, harness.terminals)


def _points(standing: Standing) -> list[tuple[str, str]]:
    harness, setting = standing.job.harness, standing.job.bench.setting
    names = [FRAME, *sorted(setting.lifted), *sorted(harness.terminals)]
    return [(name, f"{name} · {point_text(harness, name, setting)}") for name in dict.fromkeys(names)]


def suspects_page(shelf: Shelf, job: str, form: Form) -> str:
    """Give the suspects, what speaks for the leading ones, and the mends.

    Parameters
    ----------
    shelf : Shelf
        The open jobs.
    job : str
        Its name in the folder.
    form : Form
        What was sent with the request.

    Returns
    -------
    str
        An HTML page.
    """
    opened = shelf.job(job)
    with opened.lock:
        found = workbench.why(opened, about=form.get("about", "")) if form.get("about") else workbench.why(opened)
        standing, posterior = found.standing, found.standing.posterior
        explained = []
        for item in found.explained if posterior is not None else ():
            weights = [
                (
                    standing.number_of(weight.evidence),
                    evidence_text(weight.evidence, setting=False),
                    expected_text(weight.evidence, weight.sound),
                    expected_text(weight.evidence, weight.suspect),
                    factor_text(weight.factor),
                )
                for weight in item.weights
            ]
            explained.append((suspect_text(posterior, item.answer), share_text(item.answer.share), weights))  # type: ignore[arg-type]  # there is one
        gone = [(" and ".join(item.mends), share_text(item.before), standing.number_of(item.evidence)) for item in found.ruled_out[:12]]
        head = _head(shelf, job, standing, "suspects", form)
        return fill("suspects.html", **head, suspects=cards.suspect_cards(standing), explained=explained, gone=gone, mends=sorted(standing.case.mends()))


def readings_page(shelf: Shelf, job: str, form: Form) -> str:
    """Give everything done so far, with strike, undo, and a line for anything else.

    Parameters
    ----------
    shelf : Shelf
        The open jobs.
    job : str
        Its name in the folder.
    form : Form
        What was sent with the request.

    Returns
    -------
    str
        An HTML page.
    """
    opened = shelf.job(job)
    with opened.lock:
        standing = opened.standing()
        state = standing.job
        head = _head(shelf, job, standing, "readings", form)
        barred = [(place, state.harness.places[place].called or place) for place in sorted(state.bench.barred)]
        return fill(
            "readings.html",
            **head,
            done=cards.done_cards(standing),
            notes=state.notes,
            barred=barred,
            skipped=len(state.bench.skipped),
            undoable=bool(state.doings),
            who_decides=WHO_DECIDES,
        )


