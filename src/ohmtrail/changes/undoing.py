"""Going back: the steps that put a machine as it was, last one first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ohmtrail.changes.applying import apply_step
from ohmtrail.changes.record import Step
from ohmtrail.harness.text import Plain

__all__ = ["reverse_step", "reverse_steps"]

Sections = dict[str, Plain]


def reverse_step(step: Step, before: Mapping[str, Plain], after: Mapping[str, Plain]) -> Step:
    """Give the step that undoes another.

    Parameters
    ----------
    step : Step
        What was done.
    before, after : mapping
        Plain values of the harness before and after it.

    Returns
    -------
    Step
        Applied to the second, without a year, it gives the first.
    """
    if step.what == "machine":
        name = str(after.get("harness", ""))
        return _corrected({"machine": name}, before, after, list(step.values))
    old, new = _element(before, step), _element(after, step)
    named = {step.what: step.id}
    if old is None:
        return Step.model_validate({**named, "removed": True, "was": new})
    if new is None:
        return Step.model_validate({**named, "added": old})
    if step.verb == "exchanged":
        return Step.model_validate({**named, "exchanged": old, "was": new})
    return _corrected(named, old, new, [*old, *(key for key in new if key not in old)])


def _element(data: Mapping[str, Plain], step: Step) -> dict[str, Plain] | None:
    section = data.get(step.section)
    found = section.get(step.id) if isinstance(section, dict) else None
    return found if isinstance(found, dict) else None


def _corrected(named: dict[str, str], old: Mapping[str, Plain], new: Mapping[str, Plain], keys: Iterable[str]) -> Step:
    differ = [key for key in keys if old.get(key, "") != new.get(key, "")] or list(keys)[:1]
    back = {key: old.get(key, "") for key in differ}
    return Step.model_validate({**named, "corrected": back, "was": {key: new.get(key, "") for key in differ}})


def reverse_steps(data: Sections, steps: Iterable[Step], *, year: int | None = None) -> tuple[Step, ...]:
    """Give the steps that undo others, in the order in which they are to be taken.

    Parameters
    ----------
    data : dict
        Plain values of the harness before all of them.
    steps : iterable of Step
        What was done, in order.
    year : int, optional
        As in `ohmtrail.changes.applying.apply_steps`.

    Returns
    -------
    tuple of Step
        Last one first.

    Raises
    ------
    RecordError
        A step does not find what it expects.
    """
    back: list[Step] = []
    for step in steps:
        after = apply_step(data, step, year=year)
        back.append(reverse_step(step, data, after))
        data = after
    return tuple(reversed(back))
