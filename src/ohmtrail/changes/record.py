"""The record of changes to one machine: who, when, why, and what was done, in the order in which it was done."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from ohmtrail.changes.days import Day
from ohmtrail.harness.fields import ElementId, Flag, Frozen

__all__ = ["SECTIONS", "VERBS", "Change", "Original", "Record", "Step"]

#: what a step may be about -> the section of the harness file it stands in
SECTIONS = {"lead": "leads", "part": "parts", "function": "functions", "place": "places", "loom": "looms", "machine": ""}
#: what may be done to each of them
VERBS = {
    "lead": ("added", "removed", "renewed", "rerouted", "moved", "corrected"),
    "part": ("added", "removed", "exchanged", "corrected"),
    "function": ("added", "removed", "corrected"),
    "place": ("added", "removed", "corrected"),
    "loom": ("added", "removed", "corrected"),
    "machine": ("corrected",),
}
_ALL_VERBS = tuple(dict.fromkeys(verb for verbs in VERBS.values() for verb in verbs))
_ENDS = frozenset(("from", "to"))


def _day(value: object) -> Day:
    return value if isinstance(value, Day) else Day.of(_text(value))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError("one value is wanted here, not a list or a mapping")  # pydantic tells ValueErrors only
    return " ".join(value.split())


def _said(value: object) -> str:
    text = _text(value)
    if not text:
        raise ValueError("nothing is said here")
    return text


def _removed(value: object) -> bool:
    if value is True or _text(value).casefold() in ("yes", "true"):
        return True
    raise ValueError(f"{value!r}: write 'removed: yes'")


def _number(value: object) -> int:
    text = str(value)
    if not (text.isascii() and text.isdigit()) or not 0 < len(text) < 7 or int(text) < 1:
        raise ValueError(f"{text!r} is not the number of a change")
    return int(text)


Text = Annotated[str, BeforeValidator(_text)]
Said = Annotated[str, BeforeValidator(_said)]
Number = Annotated[int, BeforeValidator(_number)]
Values = dict[str, Any]


class Original(Frozen):
    """What became of what was taken off."""

    kept: Flag
    where: Text = ""


class Step(Frozen):
    """One thing done to one element: which it is, what was done, and what was found there before.

    Exactly one of ``lead``, ``part``, ``function``, ``place``, ``loom`` and ``machine`` names the element, and
    exactly one of the verbs says what was done. ``was`` holds what must be found there before the step; an
    empty value stands for "not said".
    """

    lead: ElementId | None = None
    part: ElementId | None = None
    function: ElementId | None = None
    place: ElementId | None = None
    loom: ElementId | None = None
    machine: Said | None = None
    was: Values = Field(default_factory=dict)
    added: Values | None = None
    removed: Annotated[bool, BeforeValidator(_removed)] | None = None
    renewed: Values | None = None
    rerouted: Values | None = None
    moved: Values | None = None
    exchanged: Values | None = None
    corrected: Values | None = None

    @property
    def what(self) -> str:
        """What kind of thing it is about: lead, part, function, place, loom or machine."""
        return next(name for name in SECTIONS if getattr(self, name) is not None)

    @property
    def id(self) -> str:
        """Id of the element; the machine's name for the machine itself."""
        return str(getattr(self, self.what))

    @property
    def section(self) -> str:
        """Section of the harness file; empty for the machine itself."""
        return SECTIONS[self.what]

    @property
    def verb(self) -> str:
        """What was done."""
        return next(name for name in _ALL_VERBS if getattr(self, name) is not None)

    @property
    def values(self) -> Values:
        """What it is from then on; empty where it was removed."""
        said = getattr(self, self.verb)
        return dict(said) if isinstance(said, dict) else {}

    @model_validator(mode="after")
    def _holds_together(self) -> Self:
        named = [name for name in SECTIONS if getattr(self, name) is not None]
        if len(named) != 1:
            raise ValueError(f"a step names exactly one of {', '.join(SECTIONS)}")
        done = [name for name in _ALL_VERBS if getattr(self, name) is not None]
        if len(done) != 1:
            raise ValueError(f"a step says exactly one of {', '.join(VERBS[named[0]])}")
        if done[0] not in VERBS[named[0]]:
            raise ValueError(f"a {named[0]} cannot be {done[0]}: it is {' or '.join(VERBS[named[0]])}")
        _check_values(self)
        return self


def _check_values(step: Step) -> None:
    """What each verb must say, and must not."""
    verb, keys = step.verb, set(step.values)
    if verb != "removed" and not keys:
        raise ValueError(f"'{verb}' says nothing: write what it is now, as in '{verb}: {{covering: pvc}}'")
    if verb == "added" and step.was:
        raise ValueError("'was' has no place in what is added: there was nothing")
    if verb != "added" and not step.was:
        raise ValueError("'was' is missing: say what is found there before, as in 'was: {covering: rubber}'")
    if verb == "moved" and not keys & _ENDS:
        raise ValueError("'moved' says the terminal an end goes to now: from, to, or both")
    if verb in ("renewed", "rerouted") and keys & _ENDS:
        raise ValueError(f"'{verb}' leaves the ends where they are: write 'moved' for another terminal")
    if verb in ("moved", "corrected") and (loose := sorted(keys - set(step.was))):
        raise ValueError(f"'was' does not say what {', '.join(loose)} was before")


class Change(Frozen):
    """One dated entry: steps that belong together, or the undoing of earlier entries."""

    date: Annotated[Day, BeforeValidator(_day)]
    by: Said
    why: Said
    reversible: Flag = True
    original: Original | None = None
    files: tuple[Said, ...] = ()
    note: Text = ""
    steps: tuple[Step, ...] = ()
    undoes: tuple[Number, ...] = ()

    @model_validator(mode="after")
    def _does_one_thing(self) -> Self:
        if bool(self.steps) == bool(self.undoes):
            raise ValueError("a change says either its steps, or the numbers of the changes it undoes")
        return self


class Record(Frozen):
    """Changes over a base harness, in order; the first has number 1.

    ``variant`` says that the machine left the maker's works so: nothing in it counts as altered by hand.
    """

    record: Said
    version: Literal["1"] = "1"
    over: Said
    machine: Said
    variant: Flag = False
    note: Text = ""
    changes: tuple[Change, ...] = ()

    @property
    def made(self) -> int:
        """How many entries changed something themselves; the others undo."""
        return sum(bool(change.steps) for change in self.changes)

    def in_force(self) -> tuple[int, ...]:
        """Give the numbers of the changes that hold today: what is undone does not, unless that was undone too."""
        undone: set[int] = set()
        for number in range(len(self.changes), 0, -1):
            if number not in undone:
                undone |= set(self.changes[number - 1].undoes)
        return tuple(n for n, change in enumerate(self.changes, 1) if n not in undone and change.steps)

    def after(self, day: Day) -> tuple[int, ...]:
        """Give the numbers of all entries from the first that is dated later than a day.

        Parameters
        ----------
        day : Day
            The last day that stays.

        Returns
        -------
        tuple of int
            Empty where nothing is later.
        """
        later: Iterable[int] = (n for n, change in enumerate(self.changes, 1) if change.date.first > day.last)
        first = next(iter(later), len(self.changes) + 1)
        return tuple(range(first, len(self.changes) + 1))
