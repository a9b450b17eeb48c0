"""A survey as text and as plain values."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from typing import Any

from ohmtrail.circuit import Setting, put
from ohmtrail.circuit.meter import SERIES_A
from ohmtrail.circuit.sound import Sound
from ohmtrail.diagnosis import Step
from ohmtrail.harness import Harness
from ohmtrail.reports.figures import band_text, minutes_text, value_text
from ohmtrail.reports.json_values import finite, step_json
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import place_text, step_text
from ohmtrail.reports.preparing import group_changes
from ohmtrail.reports.results import Surveyed
from ohmtrail.reports.settings import setting_text
from ohmtrail.reports.survey_advice import write_advice, write_coverage
from ohmtrail.reports.survey_json import advice_json, coverage_json
from ohmtrail.survey import Planned, Stage, stages_of

__all__ = ["LEADS_OHM", "TAKE_AGAIN", "by_setting", "by_stage", "expected_words", "survey_json", "todo_words", "write_survey"]

TAKE_AGAIN = (
    "Outside its band, take the reading again before you believe it: of three, two must lie outside and agree. "
    "What comes and goes counts when it does so twice."
)
#: ohms below this are the test leads and good joints: only the upper end of a band says something
LEADS_OHM = 0.5


def by_stage(harness: Harness, planned: Sequence[Planned]) -> tuple[tuple[Stage, str, tuple[Planned, ...]], ...]:
    """Give the readings of each stage, stages without one left out.

    Parameters
    ----------
    harness : Harness
        The machine.
    planned : sequence of Planned
        Readings of the survey.

    Returns
    -------
    tuple of (Stage, str, tuple of Planned)
        In the order of the stages; the text says before what its condition stands.
    """
    stages = stages_of(harness)
    made = []
    for stage in stages:
        items = tuple(item for item in planned if item.stage == stage.number)
        after = min((item.stage for item in planned if item.stage > stage.number), default=stage.number + 1)
        head = "At the end" if stage is stages[-1] else f"Before stage {after}"
        made += [(stage, head, items)] if items else []
    return tuple(made)


def by_setting(planned: Sequence[Planned]) -> tuple[tuple[Setting, tuple[Planned, ...]], ...]:
    """Give readings in their order, those together that share a setting.

    Parameters
    ----------
    planned : sequence of Planned
        Readings of the survey.

    Returns
    -------
    tuple of (Setting, tuple of Planned)
        In the order of the readings.
    """
    alike = groupby(planned, key=lambda item: replace(item.step.setting, moved=None))
    return tuple((setting, tuple(items)) for setting, items in alike)


def expected_words(step: Step, sound: Sound | None) -> str:
    """Say what a sound machine shows: a band, or that a function works.

    Parameters
    ----------
    step : Step
        What is done.
    sound : Sound or None
        What a sound machine shows; None where a function is watched.

    Returns
    -------
    str
        A band with its unit, or that it works.
    """
    if sound is None:
        return "works" if not step.setting.moved else "works all the while"
    if step.quantity == "amps":
        return _amps(step, sound)
    if math.isinf(sound.value):
        return band_text(step.quantity, sound.low, math.inf)
    low = -math.inf if step.quantity == "ohms" and sound.low < LEADS_OHM else sound.low
    band = band_text(step.quantity, low, sound.high, digits=2 if step.quantity == "ohms" else 3)
    return f"{band}, steady" if step.setting.moved else band


def _amps(step: Step, sound: Sound) -> str:
    """A current without its sign, which hangs on the way round that the meter stands."""
    least, most = sorted((abs(sound.low), abs(sound.high)))
    band = band_text("amps", -math.inf if sound.low < 0.0 < sound.high else least, most)
    return f"{band}, steady" if step.setting.moved else band


def todo_words(step: Step) -> str:
    """Say a step in one line, the moving of wiring with it.

    Parameters
    ----------
    step : Step
        What is done.

    Returns
    -------
    str
        One line.
    """
    if step.quantity == "amps" and step.kind == "measure":
        moved = f", moving the wiring at {step.setting.moved}" if step.setting.moved else ""
        return f"amps in {step.red}, the meter in series with it, above {SERIES_A:g} A by clamp{moved}"
    moved = f" while moving the wiring at {step.setting.moved}" if step.kind == "measure" and step.setting.moved else ""
    return f"{step_text(step)}{moved}"


def write_survey(paper: Paper, found: Surveyed) -> None:
    """Write a survey: its readings stage by stage, and what it notices.

    Parameters
    ----------
    paper : Paper
        Where to.
    found : Surveyed
        The survey.
    """
    survey = found.survey
    paper.edges(f"{survey.harness.harness} · survey", f"{len(survey.planned)} readings, {minutes_text(survey.minutes)}")
    paper.line(TAKE_AGAIN, indent=1)
    now, told, known = Setting(), set[str](), dict[str, str]()
    for stage, head, items in by_stage(survey.harness, survey.planned):
        paper.blank()
        paper.line(f"Stage {stage.number}: {stage.called}", indent=1)
        paper.line(stage.how, indent=4)
        for setting, rows in by_setting(items):
            changes = group_changes(survey.harness, known, now, [row.step for row in rows])
            _write_group(paper, survey.harness, changes, rows, told)
            now = put(survey.harness, setting, engine="still")
        paper.line(f"{head}: {stage.before_next}", indent=4, hang=6)
    write_coverage(paper, found.coverage, survey)
    write_advice(paper, found)
    for line in found.notes:
        paper.blank()
        paper.line(line)


def _write_group(paper: Paper, harness: Harness, changes: Sequence[str], rows: Sequence[Planned], told: set[str]) -> None:
    """Readings that share a setting; a caution is told in full once, then by its name."""
    paper.blank()
    for name in (name for row in rows for name in row.opens):
        paper.pair("Open", f"{place_text(harness, name)} ({minutes_text(harness.places[name].reach)})", indent=4, column=12)
    paper.pair("Set", ", ".join(changes) or "as it is", indent=4, column=12)
    cautions = dict.fromkeys(item for row in rows for item in row.cautions)
    for item in cautions:
        if item.id not in told:
            paper.line(f"Careful: {item.text}", indent=4, hang=13)
    again = [item.id.replace("-", " ") for item in cautions if item.id in told]
    if again:
        paper.line(f"Careful, as above: {', '.join(again)}.", indent=4, hang=13)
    told |= {item.id for item in cautions}
    for row in rows:
        paper.pair(f"{row.number}", f"{todo_words(row.step)}: {expected_words(row.step, row.sound)}", indent=2, column=7)


def survey_json(found: Surveyed) -> dict[str, Any]:
    """Give a survey as plain values.

    Parameters
    ----------
    found : Surveyed
        The survey.

    Returns
    -------
    dict
        All finite.
    """
    survey, cover = found.survey, found.coverage
    stages = [
        {
            "stage": stage.number,
            "called": stage.called,
            "how": stage.how,
            "before_next": stage.before_next,
            "readings": [_planned_json(item) for item in items],
        }
        for stage, _, items in by_stage(survey.harness, survey.planned)
    ]
    return {
        "within": finite(survey.within),
        "minutes": survey.minutes,
        "everything_minutes": survey.everything,
        "stages": stages,
        "coverage": coverage_json(cover),
        "advice": advice_json(found.advice),
    }


def _planned_json(item: Planned) -> dict[str, Any]:
    sound = item.sound or Sound(math.nan, math.nan, math.nan)
    return {
        "number": item.number,
        "step": step_json(item.step),
        "text": todo_words(item.step),
        "expected": "works" if item.sound is None else value_text(item.step.quantity, item.sound.value),
        "band": expected_words(item.step, item.sound),
        "low": finite(sound.low),
        "high": finite(sound.high),
        "over_range": math.isinf(sound.high),
        "opens": list(item.opens),
        "minutes": item.minutes,
        "cautions": [caution.id for caution in item.cautions],
        "setting": setting_text(item.step.setting),
    }
