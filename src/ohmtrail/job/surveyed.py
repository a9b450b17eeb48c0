"""A survey in a job file: its readings as plain text and back, and how each of them stands."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from ohmtrail.circuit.meter import Meter, noise, scale
from ohmtrail.circuit.sound import Sound
from ohmtrail.diagnosis import Evidence, Looked, Measured, Mended, Seen, Step, cautions_for
from ohmtrail.errors import JobError, OhmtrailError
from ohmtrail.faults import Mend
from ohmtrail.harness import Harness
from ohmtrail.job.fitting import check_fits, on_machine
from ohmtrail.job.records import step_data, step_of
from ohmtrail.job.texts import Data, amount, names, whole, word
from ohmtrail.journal import Value
from ohmtrail.survey import STAGES, Planned, Survey, agree_within

__all__ = ["Progress", "answered", "flagged", "planned_of", "progress_of", "settled", "step_fits", "survey_data"]

#: open: not taken; in: as a sound machine shows; again: outside once, to be taken again; off: outside, believed
Progress = Literal["open", "in", "again", "off"]


def survey_data(survey: Survey) -> dict[str, object]:
    """Write a survey.

    Parameters
    ----------
    survey : Survey
        The plan.

    Returns
    -------
    dict
        Text, lists and mappings of text.
    """
    within = {"within": f"{survey.within:g}"} if survey.within is not None else {}
    return {**within, "readings": [_data(item) for item in survey.planned]}


def _data(item: Planned) -> dict[str, object]:
    made: dict[str, object] = {"stage": str(item.stage), "minutes": f"{item.minutes:.2f}", **step_data(item.step)}
    if item.sound is not None:
        made |= {"sound": repr(item.sound.value), "low": repr(item.sound.low), "high": repr(item.sound.high)}
    return made | ({"opens": list(item.opens)} if item.opens else {})


def planned_of(data: Value | None, harness: Harness) -> tuple[Planned, ...]:
    """Read a survey back.

    Parameters
    ----------
    data : mapping
        As `survey_data` writes it; None for a job without one.
    harness : Harness
        The machine; readings that it no longer has a place for are left out, the numbers stay.

    Returns
    -------
    tuple of Planned
        In order.

    Raises
    ------
    JobError
        It is none.
    """
    if data is None:
        return ()
    rows = data.get("readings", ()) if isinstance(data, Mapping) else None
    if not isinstance(rows, tuple):
        raise JobError("'survey' has no list of readings: it was not written by this program")
    found = []
    for number, row in enumerate(rows, start=1):
        if not isinstance(row, Mapping):
            raise JobError(f"reading {number} of the survey is none: it was not written by this program")
        item = _planned(number, row, harness)
        if step_fits(harness, item.step):
            found.append(item)
    return tuple(found)


def _planned(number: int, row: Data, harness: Harness) -> Planned:
    step = on_machine(harness, step_of(row, _no_mend))
    sound = None if "sound" not in row else Sound(*(_bound(row, key) for key in ("sound", "low", "high")))
    if sound is not None and sound.low > sound.high:
        raise JobError(f"'low' is {sound.low:g}, above 'high' of {sound.high:g}: it was not written by this program")
    names(row, "opens")
    opens = row.get("opens", ())
    places = tuple(name for name in opens if isinstance(name, str) and name in harness.places)
    try:
        cautions = cautions_for(harness, step)
    except (KeyError, OhmtrailError):
        cautions = ()
    stage = whole(row, "stage")
    if not 1 <= stage <= len(STAGES):
        raise JobError(f"'stage' is {stage}, and a survey has {len(STAGES)}: it was not written by this program")
    return Planned(number, stage, step, sound, places, amount(word(row, "minutes"), "minutes", least=0.0), cautions)


def _bound(row: Data, key: str) -> float:
    """A value of a sound machine; beyond every range it is infinite."""
    said = word(row, key)
    return math.inf if said == "inf" else amount(said, key)


def _no_mend(name: str) -> Mend:
    raise JobError(f"a survey has no mends, and the job file has {name!r} in one: it was not written by this program")


def step_fits(harness: Harness, step: Step) -> bool:
    """Say whether a machine has what a step names.

    Parameters
    ----------
    harness : Harness
        The machine.
    step : Step
        What is planned or was proposed.

    Returns
    -------
    bool
        False where a name does not exist, or no longer does.
    """
    if step.kind == "mend":
        return True
    try:
        check_fits(harness, _as_evidence(step))
    except OhmtrailError:
        return False
    return True


def _as_evidence(step: Step) -> Evidence:
    if step.kind == "watch":
        return Seen(step.function, step.setting, 2)
    if step.kind == "look":
        return Looked(step.element, False)
    return Measured(step.quantity, step.red, step.black, step.setting)


def answered(step: Step, what: Evidence | Mended) -> bool:
    """Whether a piece of evidence is the answer to a step of a survey.

    Parameters
    ----------
    step : Step
        A reading, or a function to watch.
    what : Evidence or Mended
        What was done.

    Returns
    -------
    bool
        The same thing in the same setting; ohms may be read either way round.
    """
    if isinstance(what, Measured) and step.kind == "measure":
        same = (step.red, step.black) == (what.red, what.black)
        turned = step.quantity == "ohms" and (step.black, step.red) == (what.red, what.black)
        return step.quantity == what.quantity and step.setting == what.setting and (same or turned)
    return isinstance(what, Seen) and step.kind == "watch" and (step.function, step.setting) == (what.function, what.setting)


def _outside(item: Planned, what: Evidence) -> bool:
    if isinstance(what, Seen):
        return what.sometimes or what.level < 2
    assert isinstance(what, Measured)
    return what.flickers or (item.sound is not None and not item.sound.low <= what.value <= item.sound.high)


def _agree(meter: Meter, one: Evidence, two: Evidence) -> bool:
    """Whether two readings outside their band say the same."""
    if not (isinstance(one, Measured) and isinstance(two, Measured)):
        return True
    if one.flickers or two.flickers:
        return one.flickers and two.flickers
    first, second = (float(scale(item.quantity, item.value, meter)) for item in (one, two))
    own = float(noise(one.quantity, np.array(min(one.value, meter.top_ohm)), np.array(0.0), meter))
    return abs(first - second) <= agree_within(one.quantity) + 3.0 * own


def _since_mend(item: Planned, history: Sequence[Evidence | Mended]) -> list[int]:
    """Places of the answers to a reading since the last mend."""
    start = max((index for index, what in enumerate(history) if isinstance(what, Mended)), default=-1)
    return [index for index in range(start + 1, len(history)) if answered(item.step, history[index])]


def _believed(meter: Meter, item: Planned, answers: Sequence[Evidence]) -> tuple[Progress, tuple[int, ...]]:
    """How a reading stands by its answers, and which of them speak of something wrong."""
    if not answers:
        return "open", ()
    out = [index for index, what in enumerate(answers) if _outside(item, what)]
    pairs = [(a, b) for a in out for b in out if a < b and _agree(meter, answers[a], answers[b])]
    if pairs:
        return "off", tuple(sorted({index for pair in pairs for index in pair}))
    if len(answers) == 1 and out:
        return "again", tuple(out)
    return ("again", ()) if out and len(answers) == 2 else ("in", ())


def progress_of(meter: Meter, planned: Sequence[Planned], history: Sequence[Evidence | Mended]) -> tuple[Progress, ...]:
    """Say how each reading of a survey stands.

    Parameters
    ----------
    meter : Meter
        What is read with.
    planned : sequence of Planned
        The survey.
    history : sequence of Evidence or Mended
        What was done and not struck, in order.

    Returns
    -------
    tuple of str
        ``open``, ``in``, ``again`` or ``off`` for each; one that was taken before a mend only counts as it was then,
        unless it was off.
    """
    found = []
    for item in planned:
        answers = [history[index] for index in _since_mend(item, history)]
        state = _believed(meter, item, _evidence(answers))[0]
        if state == "open":
            before = _believed(meter, item, _evidence([what for what in history if answered(item.step, what)]))[0]
            state = "in" if before == "in" else "open"
        found.append(state)
    return tuple(found)


def _evidence(items: Sequence[Evidence | Mended]) -> list[Evidence]:
    return [item for item in items if not isinstance(item, Mended)]


def settled(meter: Meter, planned: Sequence[Planned], history: Sequence[Evidence | Mended]) -> frozenset[int]:
    """Give the readings that are complaints: outside their band, once or believed.

    Parameters
    ----------
    meter : Meter
        What is read with.
    planned : sequence of Planned
        The survey.
    history : sequence of Evidence or Mended
        What was done and not struck, in order.

    Returns
    -------
    frozenset of int
        Places in the history. A reading that was outside once, and inside when taken again, is none.
    """
    found: set[int] = set()
    ends = [index for index, what in enumerate(history) if isinstance(what, Mended)]
    for item in planned:
        start = 0
        for end in (*ends, len(history)):
            at = [index for index in range(start, end) if answered(item.step, history[index])]
            _, off = _believed(meter, item, _evidence([history[index] for index in at]))
            found |= {at[index] for index in off}
            start = end + 1
    return frozenset(index for index in found if isinstance(history[index], Measured))


def flagged(what: Evidence | Mended) -> Evidence | Mended:
    """Give a reading as a complaint.

    Parameters
    ----------
    what : Evidence or Mended
        What was read.

    Returns
    -------
    Evidence or Mended
        The same, as one.
    """
    return replace(what, off=True) if isinstance(what, Measured) else what
