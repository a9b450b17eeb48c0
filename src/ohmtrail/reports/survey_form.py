"""A survey on paper: the plan with boxes to fill in, what it notices, what to renew."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ohmtrail.circuit import Setting, put
from ohmtrail.diagnosis import Step
from ohmtrail.harness import FRAME, Harness
from ohmtrail.harness.parts import Fuse
from ohmtrail.reports.figures import minutes_text
from ohmtrail.reports.html import render
from ohmtrail.reports.phrases import place_text, point_text
from ohmtrail.reports.preparing import group_changes
from ohmtrail.reports.results import Surveyed
from ohmtrail.reports.survey import TAKE_AGAIN, by_setting, by_stage, expected_words
from ohmtrail.reports.survey_advice import HEADS, by_verdict, called, coverage_lines, left_rows, share_words
from ohmtrail.survey import Planned
from ohmtrail.units import show

__all__ = ["survey_form", "survey_values"]

_NAMES = {"ohms": "ohms", "volts": "volts DC", "ac": "volts AC", "diode": "diode range", "amps": "amps, in series"}


def survey_form(found: Surveyed, *, job: str = "", paper: str = "a4") -> str:
    """Write a survey as one HTML file to print and fill in.

    Parameters
    ----------
    found : Surveyed
        The survey.
    job : str
        The job file that results are entered into; "" for none.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        HTML.

    Raises
    ------
    UnknownName
        No such paper.
    """
    harness = found.survey.harness
    before = "the battery goes on" if harness.has_battery else "the engine runs"
    return render("survey.html", title=f"Survey before {before}", machine=harness.harness, paper=paper, **survey_values(found, job=job))


def survey_values(found: Surveyed, *, job: str = "") -> dict[str, Any]:
    """Give what a template tells of a survey.

    Parameters
    ----------
    found : Surveyed
        The survey.
    job : str
        The job file that results are entered into; "" for none.

    Returns
    -------
    dict
        Texts and lists of texts.
    """
    survey, letters = found.survey, _letters(found.survey.planned)
    texts = {item.id: item.text for planned in survey.planned for item in planned.cautions}
    enter = f"Enter a result later by its number: ohmtrail read {job} 4: 3.2" if job else "Enter a result later by its number, as in 4: 3.2"
    kept = f"{len(survey.planned)} readings", minutes_text(survey.minutes), f"ages counted to {survey.year}"
    return {
        "facts": kept,
        "take_again": TAKE_AGAIN,
        "enter": f"{enter}.",
        "cautions": [f"{letter}: {texts[name]}" for name, letter in letters.items()],
        "stages": _stages(found, letters),
        "coverage": coverage_lines(found.coverage, survey),
        "left": left_rows(found.coverage),
        "passed": [
            {"kind": item.called, "share": share_words(item.passed), "why": item.why, "would": item.would} for item in found.coverage.kinds[:8]
        ],
        "advice": _advice(found),
    }


def _letters(planned: Sequence[Planned]) -> dict[str, str]:
    """Caution -> the letter it goes by on paper, in the order in which they come up."""
    ids = dict.fromkeys(item.id for row in planned for item in row.cautions)
    return {name: chr(ord("A") + index) for index, name in enumerate(ids)}


def _stages(found: Surveyed, letters: Mapping[str, str]) -> list[dict[str, Any]]:
    harness, now, made = found.survey.harness, Setting(), []
    known: dict[str, str] = {}
    for stage, head, items in by_stage(harness, found.survey.planned):
        groups = []
        for setting, rows in by_setting(items):
            changes = group_changes(harness, known, now, [row.step for row in rows])
            groups.append(_group(harness, changes, rows, letters, found.taken))
            now = put(harness, setting, engine="still")
        made.append(
            {
                "number": stage.number,
                "called": stage.called,
                "how": stage.how,
                "before_next": stage.before_next,
                "gate": head,
                "groups": groups,
                "fuses": _fuses(harness) if stage.number == 1 else [],
            }
        )
    return made


def _fuses(harness: Harness) -> list[dict[str, str]]:
    fuses = [(name, part) for name, part in harness.parts.items() if isinstance(part, Fuse)]
    return [{"name": part.called or name, "rating": show(part.rating, "ampere")} for name, part in fuses]


def _group(
    harness: Harness, changes: Sequence[str], rows: Sequence[Planned], letters: Mapping[str, str], taken: Mapping[int, str]
) -> dict[str, Any]:
    told = ", ".join(changes) or "as it is"
    opens = [f"{place_text(harness, name)} ({minutes_text(harness.places[name].reach)})" for row in rows for name in row.opens]
    cautions = dict.fromkeys(item for row in rows for item in row.cautions)
    return {
        "setting": f"{told[:1].upper()}{told[1:]}",
        "opens": opens,
        "cautions": [f"{item.id.replace('-', ' ')} ({letters[item.id]})" for item in cautions],
        "rows": [_row(harness, row, taken.get(row.number, "")) for row in rows],
    }


def _row(harness: Harness, row: Planned, read: str) -> dict[str, Any]:
    step = row.step
    watch = step.kind == "watch"
    told = "" if watch else point_text(harness, step.probed, step.setting)
    part = _part(harness, step)
    return {
        "number": row.number,
        "part": part,
        "what": "watch" if watch else _NAMES[step.quantity],
        "moving": f"moving the wiring at {step.setting.moved}" if step.setting.moved else "",
        "red": (harness.functions[step.function].seen_at or "") if watch else "frame" if step.red == FRAME else step.red,
        "at": told.removeprefix(part).removeprefix("; "),
        "black": "" if watch or step.quantity == "amps" else "frame" if step.black == FRAME else step.black,
        "sound": expected_words(step, row.sound),
        "read": read,
    }


def _part(harness: Harness, step: Step) -> str:
    if step.kind == "watch":
        return harness.functions[step.function].called or step.function.replace("-", " ")
    if step.red in harness.leads:
        return called(harness, step.red) or step.red
    at = step.probed
    part = harness.terminals[harness.lead_ends[at][1] if at in harness.lead_ends else at][0]
    return harness.parts[part].called or part


def _advice(found: Surveyed) -> list[dict[str, Any]]:
    """Verdict by verdict; what shares a reason stands together."""
    harness, made = found.survey.harness, []
    for verdict, items in by_verdict(found.advice):
        rows: dict[tuple[str, str], list[dict[str, str]]] = {}
        for item in items:
            told = [called(harness, item.element), "original" if item.original else "", f"{item.age} years" if item.age is not None else ""]
            facts = ", ".join(filter(None, (*told, minutes_text(item.minutes))))
            rows.setdefault((item.reason, item.source), []).append({"name": item.element, "facts": facts})
        shown = [{"reason": reason, "source": source, "names": names} for (reason, source), names in rows.items()]
        told_all = f"{len(items)} leads and parts." if items else "None."
        made.append({"head": HEADS[verdict], "rows": shown if verdict != "sound" else [], "told": told_all})
    return made
