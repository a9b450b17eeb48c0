"""What is marked on leads and terminals: IEC 60757 colour letters, DIN 72552 terminal numbers."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ohmtrail.errors import UnknownName
from ohmtrail.harness.tables import rows

__all__ = [
    "Colour",
    "colour_names",
    "old_terminal_codes",
    "parse_colour",
    "screen_colour",
    "terminal_meaning",
    "terminal_meanings",
]


@dataclass(frozen=True)
class Colour:
    """The colour of a lead: its base and, where it has one, its tracer, in IEC 60757 letters.

    On vehicles the order carries meaning (base first), so it is kept and never sorted.
    """

    base: str
    tracer: str | None = None

    @property
    def letters(self) -> str:
        """As written in a harness file, ``VT/WH``."""
        return self.base if self.tracer is None else f"{self.base}/{self.tracer}"

    @property
    def words(self) -> str:
        """As said, ``violet-white``."""
        names = colour_names()
        return names[self.base] if self.tracer is None else f"{names[self.base]}-{names[self.tracer]}"

    @property
    def screen(self) -> tuple[str, str | None]:
        """Screen values of base and tracer, ``#rrggbb``."""
        return screen_colour(self.base), None if self.tracer is None else screen_colour(self.tracer)

    def __str__(self) -> str:
        return self.letters


@functools.cache
def colour_names() -> Mapping[str, str]:
    """Give the colour letters and their English names.

    Returns
    -------
    mapping of str to str
        ``{"BK": "black", ...}`` in the standard's order.

    References
    ----------
    IEC 60757.
    """
    return MappingProxyType({row["letters"]: row["name"] for row in rows("colours", "colours")})


@functools.cache
def _screen() -> Mapping[str, str]:
    return MappingProxyType({row["letters"]: row["screen"] for row in rows("colours", "colours")})


def screen_colour(letters: str) -> str:
    """Give the screen value of one colour (own choice, no source).

    Parameters
    ----------
    letters : str
        Two letters, such as ``VT``.

    Returns
    -------
    str
        ``#rrggbb``.

    Raises
    ------
    UnknownName
        Not in IEC 60757.

    Examples
    --------
    >>> screen_colour("WH")
    '#ffffff'
    """
    return _screen()[_letters(letters, letters)]


def _meant(word: str) -> tuple[str, ...]:
    """Guess what may have been meant by a word that is no colour's letters."""
    names = colour_names()
    labels = {letters: f"{letters} ({name})" for letters, name in names.items()}
    for row in rows("colours", "other_letters"):
        if row["written"] == word:
            return (labels[row["letters"]],)
    if word[:2] in names and word[2:] in names:
        return (f"{word[:2]}/{word[2:]}",)
    start = word[:4].casefold()
    named = tuple(labels[letters] for letters, name in names.items() if start and name.startswith(start))
    alike = tuple(label for letters, label in labels.items() if letters[0] == word[:1])
    return named or alike or (" ".join(names),)


def _letters(word: str, text: str) -> str:
    """Two known letters, or the error that names the nearest."""
    letters = word.strip().upper()
    if letters not in colour_names():
        where = "" if word == text else repr(text)
        raise UnknownName("colour", word.strip(), _meant(letters), where=where)
    return letters


def parse_colour(text: str) -> Colour:
    """Read a lead's colour, base alone or base/tracer.

    Parameters
    ----------
    text : str
        IEC 60757 letters, such as ``BK`` or ``VT/WH``; small letters will do.

    Returns
    -------
    Colour
        Base and tracer in capital letters.

    Raises
    ------
    UnknownName
        A part of it is no colour, or there are more than two; names what was likely meant.

    References
    ----------
    IEC 60757 for the letters. Base/tracer in this order is vehicle practice.

    Examples
    --------
    >>> parse_colour("vt/wh").words
    'violet-white'
    """
    parts = text.split("/")
    if len(parts) > 2:
        raise UnknownName("colour", text, ("/".join(part.strip() for part in parts[:2]),))
    found = [_letters(part, text) for part in parts]
    return Colour(*found)


@functools.cache
def terminal_meanings() -> Mapping[str, str]:
    """Give the terminal numbers in force and what each is for.

    Returns
    -------
    mapping of str to str
        ``{"15": "battery positive, switched by the ignition switch", ...}``.

    References
    ----------
    DIN 72552.
    """
    return MappingProxyType({row["number"]: row["meaning"] for row in rows("terminals", "terminals")})


@functools.cache
def old_terminal_codes() -> Mapping[str, tuple[str, ...]]:
    """Give the codes of older machines and the numbers that took their place.

    Returns
    -------
    mapping of str to tuple of str
        ``{"15/54": ("15", "49", "54"), ...}``.
    """
    return MappingProxyType(
        {row["code"]: tuple(row["now"].split()) for row in rows("terminals", "old_codes")}
    )


def terminal_meaning(number: str) -> str:
    """Say what a terminal's number stands for.

    Parameters
    ----------
    number : str
        As stamped beside the terminal, such as ``15`` or the older ``15/54``.

    Returns
    -------
    str
        The meaning; for an old code, the numbers it became and their meanings.

    Raises
    ------
    UnknownName
        Neither a number in force nor an old code.

    References
    ----------
    DIN 72552.

    Examples
    --------
    >>> terminal_meaning("31")
    'battery negative or earth, direct'
    >>> terminal_meaning("HL")
    'old code, now L: indicators, left'
    """
    meanings, old = terminal_meanings(), old_terminal_codes()
    if number in meanings:
        return meanings[number]
    if number not in old:
        raise UnknownName("terminal number", number, (*meanings, *old))
    return "old code, now " + "; ".join(f"{now}: {meanings[now]}" for now in old[number])
