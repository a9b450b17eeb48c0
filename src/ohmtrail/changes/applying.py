"""Applying a record: the plain values of a harness file, changed step by step, each step sure of what it finds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from ohmtrail.changes.reading import RecordFile
from ohmtrail.changes.record import Step
from ohmtrail.errors import HarnessError, QuantityError, RecordError, nearest
from ohmtrail.harness import Harness, parse_harness
from ohmtrail.harness.text import Plain, Tree
from ohmtrail.units import quantity

__all__ = ["Applied", "apply_record", "apply_step", "apply_steps"]

Element = dict[str, Plain]
Sections = dict[str, Plain]

_DIMENSIONS = ("volt", "ampere", "ohm", "watt", "metre", "square millimetre", "minute", "hertz", "henry", "farad")
#: steps after which a hand has been at a lead or part
_ALTERING = frozenset(("added", "moved", "rerouted", "exchanged"))


@dataclass(frozen=True)
class Applied:
    """A base harness with the changes of a record that are in force.

    Attributes
    ----------
    base : Tree
        The base harness file.
    source : RecordFile
        The record.
    numbers : tuple of int
        The changes that were applied.
    tree : Tree
        The harness as it is with them: its values, and the positions of what the base file has.
    """

    base: Tree
    source: RecordFile
    numbers: tuple[int, ...]
    tree: Tree

    @cached_property
    def harness(self) -> Harness:
        """The harness with the changes, every name in it checked."""
        return _checked(self)


def apply_record(base: Tree, source: RecordFile, *, numbers: Iterable[int] | None = None) -> Applied:
    """Apply a record to its base harness.

    Parameters
    ----------
    base : Tree
        The base harness file, which stays as it is.
    source : RecordFile
        The record.
    numbers : iterable of int, optional
        Which changes, in order; those in force where not given.

    Returns
    -------
    Applied
        The harness with the changes.

    Raises
    ------
    RecordError
        The record belongs to another machine, or a step does not find what it expects.
    HarnessError
        With a change applied the harness does not hold together.

    Notes
    -----
    Cost: proportional to the steps and to what the base holds; elements that no step names are shared.
    """
    record = source.record
    _same_machine(base, source)
    chosen = record.in_force() if numbers is None else tuple(numbers)
    data = dict(base.data) if isinstance(base.data, dict) else {}
    for number in chosen:
        data = _applied(data, source, number)
    made = Applied(base, source, chosen, Tree(base.file, data, base.positions))
    _ = made.harness
    return made


def _same_machine(base: Tree, source: RecordFile) -> None:
    name = base.data.get("harness") if isinstance(base.data, dict) else None
    wanted = source.record.machine
    if not isinstance(name, str) or name.strip() != wanted:
        where = f"{source.tree.file}:{source.tree.where(('machine',)).line}"
        other = f"describes {name!r}" if isinstance(name, str) else "names no machine"
        raise RecordError(f"{where}: the record is for {wanted!r}; {base.file} {other}: give the right harness file")


def _applied(data: Sections, source: RecordFile, number: int) -> Sections:
    change = source.record.changes[number - 1]
    for index, step in enumerate(change.steps):
        try:
            data = apply_step(data, step, year=None if source.record.variant else change.date.year)
        except RecordError as error:
            place = source.place(number, index)
            raise RecordError(f"{place}: change {number} of {change.date} ({change.why}) does not fit: {error}") from None
    return data


def apply_steps(data: Sections, steps: Iterable[Step], *, year: int | None = None) -> Sections:
    """Apply steps one after the other.

    Parameters
    ----------
    data : dict
        Plain values of a harness file; they stay as they are.
    steps : iterable of Step
        What is done.
    year : int, optional
        The year it was done in, to be noted on what was renewed or altered; nothing is noted without.

    Returns
    -------
    dict
        The changed values.

    Raises
    ------
    RecordError
        A step does not find what it expects.
    """
    for step in steps:
        data = apply_step(data, step, year=year)
    return data


def apply_step(data: Sections, step: Step, *, year: int | None = None) -> Sections:
    """Apply one step.

    Parameters
    ----------
    data : dict
        Plain values of a harness file; they stay as they are.
    step : Step
        What is done.
    year : int, optional
        As in `apply_steps`.

    Returns
    -------
    dict
        The changed values.

    Raises
    ------
    RecordError
        The step does not find what it expects; says what is there instead.
    """
    if step.what == "machine":
        if data.get("harness") != step.machine:
            raise RecordError(f"the machine is {data.get('harness')!r}, where {step.machine!r} is expected")
        _expect(data, step)
        return _with(data, step.values)
    held = data.get(step.section)
    section: Element = dict(held) if isinstance(held, dict) else {}
    after = _element(section, step, year)
    if after is None:
        del section[step.id]
    else:
        section[step.id] = after
    made = {**data, step.section: section}
    if not section:
        del made[step.section]
    return made


def _element(section: Element, step: Step, year: int | None) -> Plain:
    """What becomes of one element; None where it goes."""
    found = section.get(step.id)
    if step.verb == "added":
        if step.id in section:
            raise RecordError(f"there is a {step.what} '{step.id}' already, so it cannot be added")
        return _marked(dict(step.values), step, year)
    if step.id not in section:
        near = nearest(step.id, section, count=1)
        raise RecordError(f"there is no {step.what} '{step.id}'" + (f"; did you mean '{near[0]}'?" if near else ""))
    before = found if isinstance(found, dict) else {}
    _expect(before, step)
    if step.verb == "removed":
        return None
    now = dict(step.values) if step.verb == "exchanged" else _with(before, step.values)
    return _marked(now, step, year)


def _with(before: Element, values: Mapping[str, Plain]) -> Element:
    """Values laid over others; an empty one takes its key away."""
    return {key: value for key, value in {**before, **values}.items() if value != "" or key not in values}


def _marked(now: Element, step: Step, year: int | None) -> Element:
    """Note the year on a lead or part that a hand has been at."""
    if year is None or step.what not in ("lead", "part"):
        return now
    if step.verb == "renewed":
        return {key: value for key, value in now.items() if key not in ("original", "altered")} | {"renewed": str(year)}
    if step.verb in _ALTERING:
        return {key: value for key, value in now.items() if key != "original"} | {"altered": str(year)}
    return now


def _expect(before: Mapping[str, Plain], step: Step) -> None:
    """Refuse a step that finds something else than it says."""
    for key, wanted in step.was.items():
        found = before.get(key, "")
        if not _alike(found, wanted):
            there = f"has {key} {_shown(found)}" if found != "" else f"does not say its {key}"
            expected = f"{_shown(wanted)} is expected" if wanted != "" else "nothing is expected"
            raise RecordError(
                f"{step.what} '{step.id}' {there}, where {expected}; the harness is another one, or was changed outside the record"
            )


def _shown(value: Plain) -> str:
    return f"'{value}'" if isinstance(value, str) else str(value).replace("'", "")


def _alike(found: Plain, wanted: Plain) -> bool:
    """Whether two values say the same: text apart from blanks, quantities by value, mappings as far as said."""
    if isinstance(wanted, dict):
        return isinstance(found, dict) and all(_alike(found.get(key, ""), value) for key, value in wanted.items())
    if isinstance(wanted, list):
        same = isinstance(found, list) and len(found) == len(wanted)
        return same and all(_alike(one, other) for one, other in zip(found or (), wanted, strict=True))
    if not (isinstance(found, str) and isinstance(wanted, str)):
        return found == wanted
    if " ".join(found.split()) == " ".join(wanted.split()):
        return True
    return any(_value(found, name) == _value(wanted, name) is not None for name in _DIMENSIONS)


def _value(text: str, dimension: str) -> float | None:
    try:
        return quantity(text, dimension)
    except QuantityError:
        return None


def _checked(made: Applied) -> Harness:
    """Check the harness; where it does not hold together, name the change that broke it."""
    try:
        return parse_harness(made.tree)
    except HarnessError as error:
        number = _breaks(made)
        if not number:
            raise
        change = made.source.record.changes[number - 1]
        first = error.mistakes[0].sentence
        first += f"; {error.mistakes[0].remedy}" if error.mistakes[0].remedy else ""
        more = f" (and {len(error.mistakes) - 1} more)" if len(error.mistakes) > 1 else ""
        where = made.source.place(number)
        raise RecordError(f"{where}: after change {number} of {change.date} the harness does not hold together: {first}{more}") from None


def _breaks(made: Applied) -> int:
    """The change after which the harness stays broken; 0 where the base is broken by itself."""
    broken = 0
    for count in range(len(made.numbers) - 1, -1, -1):
        broken = made.numbers[count]
        data = dict(made.base.data) if isinstance(made.base.data, dict) else {}
        for number in made.numbers[:count]:
            data = _applied(data, made.source, number)
        try:
            parse_harness(Tree(made.base.file, data, made.base.positions))
        except HarnessError:
            continue
        return broken
    return 0

