"""One typed line to what is asked for: a reading, a look, the machine set, a mend."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from ohmtrail.circuit import Setting, function_setting
from ohmtrail.diagnosis import Step
from ohmtrail.errors import ReadingError, UnknownName
from ohmtrail.grammar.measured import questioned
from ohmtrail.grammar.reading import Context, names_function, words_of
from ohmtrail.grammar.settings import read_setting
from ohmtrail.grammar.words import CUTS, FILLERS, LEVELS, LOOKS

__all__ = ["Asked", "Put", "ToMend", "mend_named", "read_question"]

#: words that may stand before what is asked for
_ASKING = frozenset(["measure", "test", "check", "what", "ask", "take", "meter"])
_WATCHING = frozenset(["watch", "try", "see", "does"])
_MENDING = frozenset(["mend", "repair", "fix"])
#: words that set the machine, and the state that each puts things in
_PUTTING: Mapping[str, str] = {
    **dict.fromkeys(["lift"], "lifted"),
    **dict.fromkeys(["part", "unplug"], "parted"),
    **dict.fromkeys(["mate", "join"], "mated"),
    **dict.fromkeys(["refit", "replace", "fit"], "back"),
    **dict.fromkeys(["remove"], "out"),
}
_SETTING = frozenset(["set", "put", "turn", "switch"])


@dataclass(frozen=True)
class Asked:
    """A reading, a look or a function to watch."""

    step: Step


@dataclass(frozen=True)
class Put:
    """The machine set, and nothing read."""

    setting: Setting


@dataclass(frozen=True)
class ToMend:
    """A mend, as it was named."""

    name: str


def read_question(text: str, context: Context) -> Asked | Put | ToMend:
    """Read one line of a person who asks.

    Parameters
    ----------
    text : str
        As typed.
    context : Context
        The machine and its state.

    Returns
    -------
    Asked, Put or ToMend
        What is wanted.

    Raises
    ------
    ReadingError
        It cannot be understood.
    UnknownName, SettingError
        A name that does not exist, or a setting the machine cannot be put in.
    """
    words = words_of(text.rstrip(" ?!."))
    if not words:
        raise ReadingError("ask for a reading, as in 'ohms RED to BLACK', watch a FUNCTION, look LEAD, or mend NAME")
    first = words[0].casefold()
    if first in _MENDING:
        return ToMend(" ".join(words[1:]))
    if first in CUTS or first in _SETTING:
        return Put(read_setting(context.harness, context.setting, _named(words[1:], text)))
    if first in _PUTTING:
        things = [word for word in _named(words[1:], text) if word.casefold() not in ("and", "off", "out")]
        phrases = [part for thing in things for part in (thing, _PUTTING[first])]
        return Put(read_setting(context.harness, context.setting, phrases))
    return Asked(_step(words, text, context))


def _named(words: list[str], text: str) -> list[str]:
    if not words:
        raise ReadingError(f"{text.strip()!r} does not say what: write it as in 'lift LEAD.from' or 'with SWITCH POSITION'")
    return words


def _step(words: list[str], text: str, context: Context) -> Step:
    cut = next((i for i, word in enumerate(words) if word.casefold() in CUTS), len(words))
    head, with_words = words[:cut], words[cut:]
    watched = head[0].casefold() in _WATCHING
    if watched or head[0].casefold() in _ASKING:
        head = head[1:]
    main = [word for word in head if word.casefold() not in FILLERS]
    if not main:
        raise ReadingError(f"{text.strip()!r} does not say what to read: write it as in 'ohms RED to BLACK' or 'watch FUNCTION'")
    if main[0].casefold() in LOOKS:
        return _look(main[1:], context)
    if watched or names_function(main, context):
        return _watch(main, with_words, context)
    return questioned(main, with_words, context.harness, context.names, context.setting)


def _look(words: list[str], context: Context) -> Step:
    if len(words) != 1:
        raise ReadingError("say one thing to look at, a lead or a part, as in 'look stop-2'")
    return Step("look", context.setting, element=context.names.element(words[0]))


def _watch(words: list[str], with_words: list[str], context: Context) -> Step:
    said = [word for word in words if word.casefold() not in LEVELS]
    function = context.names.function(said or words)
    base = function_setting(context.harness, context.harness.functions[function], replace(context.setting, battery=True))
    return Step("watch", read_setting(context.harness, base, with_words[1:]), function=function)


def mend_named(name: str, known: Mapping[str, str], *, likely: Iterable[str] = ()) -> str:
    """Give the mend that a name means.

    Parameters
    ----------
    name : str
        Its id, or what is worked on where that says enough.
    known : mapping of str to str
        Id of every mend -> what is worked on.
    likely : iterable of str
        Ids to name first where several may be meant.

    Returns
    -------
    str
        Id of the mend.

    Raises
    ------
    ReadingError
        Several may be meant.
    UnknownName
        None is; names the nearest.
    """
    said = " ".join(name.casefold().split())
    folded = {mend.casefold(): mend for mend in known}
    if said in folded:
        return folded[said]
    near = [mend for mend, element in known.items() if said == element.casefold()]
    near = near or [mend for mend in known if said and said in mend.casefold().split()]
    if len(near) == 1:
        return near[0]
    if near:
        leading = [mend for mend in likely if mend in near]
        raise ReadingError(f"{name!r} may mean {' or '.join(map(repr, (leading or near)[:4]))}: write it out")
    raise UnknownName("mend", name, known)
