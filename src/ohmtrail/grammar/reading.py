"""One typed line to one piece of evidence."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cached_property

from ohmtrail.circuit import Setting, function_setting
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Evidence, Looked, Seen, Step
from ohmtrail.errors import ReadingError, UnknownName
from ohmtrail.grammar.measured import measured
from ohmtrail.grammar.names import Names
from ohmtrail.grammar.settings import read_setting
from ohmtrail.grammar.values import is_number
from ohmtrail.grammar.words import (
    CUTS,
    DAMAGE,
    FILLERS,
    FLICKERS,
    LEVELS,
    LOOKS,
    OVER_RANGE,
    QUANTITY_WORDS,
    SHOWN,
    SOMETIMES,
)
from ohmtrail.harness.model import Harness

__all__ = ["Context", "Line", "names_function", "read_complaint", "read_line", "words_of"]

#: what was meant as a number and is none
_NEARLY = re.compile(r"[~<>≈±]?[-+]?[\d.,]*\d|nan\b|inf\b", re.IGNORECASE)
_LONGEST = 300
_SHOWN_WORDS = frozenset(word for words in SHOWN.values() for word in words)


@dataclass(frozen=True)
class Context:
    """What a line is read against.

    Attributes
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state before the reading.
    meter : Meter
        What is read with.
    proposed : Step or None
        What was proposed last and not answered yet.
    """

    harness: Harness
    setting: Setting
    meter: Meter
    proposed: Step | None = None

    @cached_property
    def names(self) -> Names:
        """Every name that may be used."""
        return Names(self.harness)


@dataclass(frozen=True)
class Line:
    """What a line says: a piece of evidence, or a note."""

    evidence: Evidence | None
    note: str = ""


def read_line(text: str, context: Context) -> Line:
    """Read one line.

    Parameters
    ----------
    text : str
        As typed.
    context : Context
        The machine, its state, the meter and the last proposal.

    Returns
    -------
    Line
        Evidence with its setting, or a note.

    Raises
    ------
    ReadingError
        It cannot be understood, or cannot have been taken so.
    UnknownName
        A terminal, function, switch ... that does not exist.
    SettingError
        A setting the machine cannot be put in.
    QuantityError
        A value of a wrong unit.
    """
    words = words_of(text)
    if words and words[0].casefold().rstrip(":") == "note":
        if len(words) == 1:
            raise ReadingError("a note says nothing yet: write it after the word, as in 'note covering brittle at the head'")
        return Line(None, text.split(None, 1)[1].strip())
    main, with_words = _parts(words)
    if not main:
        raise ReadingError(f"{text!r} says no reading: write what was read, as in 'ohms RED BLACK 3.2' or 'spark absent'")
    return Line(_evidence(main, with_words, context))


def read_complaint(text: str, context: Context) -> Seen:
    """Read what a customer says: a function and how it fails.

    Parameters
    ----------
    text : str
        Such as ``spark absent`` or ``work lamp is dim``.
    context : Context
        The machine and its state.

    Returns
    -------
    Seen
        The function, in its setting; it may be said to work.

    Raises
    ------
    ReadingError
        It does not say how the function does.
    UnknownName
        A function that does not exist.
    """
    main, with_words = _parts(words_of(text))
    last = len(main)
    while last and not _without_levels(main[last - 1 : last]):
        last -= 1
    if last and len(context.names.functions_like(main[:last])) == 1:
        # a word that says how it does may be part of its name: 'work lamp dim'
        return _seen([context.names.function(main[:last]), *main[last:]], with_words, context)
    if not _called(main, context) and not _without_levels(main):
        raise UnknownName("function", " ".join(main), context.harness.functions)
    return _seen(main, with_words, context)


def _parts(words: list[str]) -> tuple[list[str], list[str]]:
    """What is said, without words that carry nothing, and how the machine was set."""
    cut = next((i for i, word in enumerate(words) if word.casefold() in CUTS), len(words))
    return [word for word in words[:cut] if word.casefold() not in FILLERS], words[cut:]


def words_of(text: str) -> list[str]:
    """Take a line apart; what is said in two words is put in one.

    Parameters
    ----------
    text : str
        The line.

    Returns
    -------
    list of str
        Words in the order of the line.

    Raises
    ------
    ReadingError
        The line is too long to be one reading.
    """
    if len(text) > _LONGEST:
        raise ReadingError(f"a reading is one line of at most {_LONGEST} characters; this has {len(text)}")
    text = re.sub(r"(?i)\btest lamp\b", "test-lamp", text)
    text = re.sub(r"(?i)\bover range\b", "over-range", text)
    text = re.sub(r"(?i)\bcomes and goes\b", "sometimes", text)
    text = re.sub(r"(?i)\bno (spark|light|sound)\b", r"\1 absent", text)
    return [word for item in text.split() if (word := item.rstrip(",;:") if not is_number(item) else item.rstrip(","))]


def _evidence(main: list[str], with_words: list[str], context: Context) -> Evidence:
    first = main[0].casefold()
    if first in LOOKS:
        return _looked(main[1:], context)
    if len(main) > 1 and _called(main, context):
        return _seen(main, with_words, context)
    if _bare(main):
        return _answer(main, with_words, context)
    if names_function(main, context):
        if len(main) == 1 and context.proposed is not None and not context.names.functions_like(main):
            raise ReadingError(f"{main[0]!r} is no function of this machine, and no answer to {_wanted(context.proposed)}")
        if len(main) == 1 and _NEARLY.match(main[0]) and main[0] not in context.harness.functions:
            raise ReadingError(f"{main[0]!r} is no value: write the number as the meter shows it, as in 12.3, 4.7k or OL")
        return _seen(main, with_words, context)
    return measured(main, with_words, context.harness, context.names, context.setting, context.meter, context.proposed)


#: what answers a step of each kind, or of a quantity that shows no number
_WANTED = {
    "lamp": "a test lamp: say bright, dim or out",
    "beep": "the beeper: say beeps or silent",
    "measure": "a reading: write the number as the meter shows it, as in 12.3, 4.7k or OL",
    "watch": "what was watched: say works, weak or fails",
    "look": "what was looked at: say sound or damaged",
    "mend": "a mend: say done once it is made",
}


def _wanted(step: Step) -> str:
    return _WANTED[step.quantity if step.kind == "measure" and step.quantity in _WANTED else step.kind]


def _bare(main: list[str]) -> bool:
    """Whether a line has a value and nothing else."""
    said = [word.casefold() for word in main]
    known = LEVELS.keys() | OVER_RANGE | FLICKERS | SOMETIMES | DAMAGE.keys() | _SHOWN_WORDS
    if is_number(main[0]):
        return len(said) == 1 or (len(said) == 2 and not is_number(main[1]) and "." not in main[1] and len(main[1]) < 6)
    return len(said) == 1 and said[0] in known and said[0] not in QUANTITY_WORDS


def _answer(main: list[str], with_words: list[str], context: Context) -> Evidence:
    """A bare value as the answer to the last proposal."""
    step, said = context.proposed, " ".join(main)
    if step is None:
        raise ReadingError(
            f"{said!r} answers nothing: ask for a proposal first ('ohmtrail next'), or write the whole reading, "
            "as in 'ohms RED BLACK 3.2'"
        )
    if step.kind == "mend":
        raise ReadingError(f"{said!r} does not answer a mend: once it is made, say 'done' at the bench, or 'ohmtrail mend'; the try comes after")
    if step.kind == "look":
        return Looked(step.element, _damage(main[0], step.element))
    inner = replace(context, setting=step.setting)
    if step.kind == "watch":
        level, sometimes = _level(main, step.function)
        setting = read_setting(context.harness, inner.setting, with_words[1:])
        return Seen(step.function, setting, level, sometimes=sometimes)
    full = [step.quantity, step.red, step.black, *main]
    return measured(full, with_words, inner.harness, inner.names, inner.setting, inner.meter, step)


def names_function(main: list[str], context: Context) -> bool:
    """Whether the words are a function and how it works, rather than a measurement.

    Parameters
    ----------
    main : list of str
        Words without the setting.
    context : Context
        Names that can be meant.

    Returns
    -------
    bool
        Whether they are.
    """
    said = _without_levels(main)
    if not said:
        return False
    if any(context.names.like_point(word) for word in said) or any(is_number(word) for word in said):
        return False
    found = context.names.functions_like(said)
    if len(said) == 1 and said[0].casefold() in QUANTITY_WORDS:
        # 'volts nothing' is a reading without its points, not a function with volts in its name
        return said[0].casefold() in found
    return bool(found) or main[0].casefold() not in QUANTITY_WORDS


def _called(main: list[str], context: Context) -> str:
    """The function whose very id comes first, before how it does: 'stops absent', where stops is one; "" where none does."""
    if not main or _without_levels(main[1:]):
        return ""
    return next((name for name in context.harness.functions if name.casefold() == main[0].casefold()), "")


def _without_levels(main: list[str]) -> list[str]:
    return [word for word in main if word.casefold() not in LEVELS.keys() | SOMETIMES | FLICKERS]


def _seen(main: list[str], with_words: list[str], context: Context) -> Seen:
    """A function watched; the battery is on for it unless the line says otherwise."""
    called = _called(main, context)
    said = main[1:] if called else [word for word in main if word not in _without_levels(main)]
    function = called or context.names.function(_without_levels(main))
    level, sometimes = _level(said, function)
    step, base = context.proposed, context.setting
    if step is not None and step.kind == "watch" and step.function == function:
        base = step.setting
    base = replace(base, battery=True)
    setting = function_setting(context.harness, context.harness.functions[function], base)
    return Seen(function, read_setting(context.harness, setting, with_words[1:]), level, sometimes=sometimes)


def _level(words: list[str], function: str) -> tuple[int, bool]:
    said = [word.casefold() for word in words]
    if any(word in SOMETIMES | FLICKERS for word in said):
        return 0, True
    found = [LEVELS[word] for word in said if word in LEVELS]
    if len(set(found)) > 1 and 0 in found:
        return 0, False  # "does not work", "no good"
    if not found:
        raise ReadingError(f"say how {function} does: works, weak, absent or sometimes, as in '{function} absent'")
    return found[0], False


def _looked(words: list[str], context: Context) -> Looked:
    if not words:
        raise ReadingError("say what was looked at and what it showed, as in 'looked stop-2 cracked'")
    element = context.names.element(words[0])
    if len(words) < 2:
        raise ReadingError(f"say what {element} looked like: sound or damaged, as in 'looked {element} sound'")
    return Looked(element, _damage(" ".join(words[1:]), element))


def _damage(text: str, element: str) -> bool:
    said = [DAMAGE[word] for word in text.casefold().replace(",", " ").split() if word in DAMAGE]
    if not said:
        raise ReadingError(f"{text!r} does not say whether {element} is damaged: write 'sound' or 'damaged'")
    return any(said)
