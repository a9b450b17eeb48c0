"""The heading of a lead list: which column is which, whatever words and signs a person used."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from ohmtrail.changes.cells import LONGEST, clipped
from ohmtrail.errors import RecordError, nearest

__all__ = ["COLUMNS", "Column", "find_columns"]

#: what a column may be headed in English, German, French, Italian and Spanish; common practice, no source
COLUMNS: dict[str, tuple[str, ...]] = {
    "lead": ("lead", "wire", "id", "name", "number", "no", "nr", "lead no", "wire no", "leitung", "fil", "filo", "cable", "circuit"),
    "from": ("from", "start", "source", "origin", "end a", "a", "from terminal", "from pin", "von", "de", "da", "desde"),
    "to": ("to", "end", "target", "destination", "end b", "b", "to terminal", "to pin", "nach", "zu", "vers", "fino a", "hasta"),
    "colour": ("colour", "color", "col", "colours", "farbe", "couleur", "colore"),
    "size": ("size", "area", "cross section", "section", "csa", "gauge", "awg", "mm2", "sqmm", "querschnitt", "sezione", "seccion"),
    "length": ("length", "len", "long", "lange", "longueur", "lunghezza", "longitud", "m", "cm", "mm"),
    "loom": ("loom", "harness", "bundle", "route", "kabelbaum", "faisceau"),
    "covering": ("covering", "insulation", "isolation", "cover", "jacket"),
    "note": ("note", "notes", "remark", "remarks", "comment", "called", "description", "bemerkung", "kommentar"),
}
#: units that may stand in a heading: "length (cm)", "size [mm²]"
_UNITS = {"mm2": "mm2", "mm²": "mm2", "sqmm": "mm2", "awg": "AWG", "gauge": "AWG", "cm": "cm", "mm": "mm", "m": "m"}
#: columns whose headings are looked at; own choice, far more than any lead list has
_LOOKED_AT = 200
#: so many headings are told where one is missing; own choice
_SEEN = 12
_OF = {"size": ("mm2", "AWG"), "length": ("m", "cm", "mm")}


@dataclass(frozen=True)
class Column:
    """One column that was understood: what it holds, where it stands, its unit, and how it was headed."""

    holds: str
    index: int
    unit: str
    heading: str
    guessed: bool


def find_columns(headings: Sequence[str], *, file: str) -> tuple[Column, ...]:
    """Find out what the columns of a list hold.

    Parameters
    ----------
    headings : sequence of str
        The first line of the list.
    file : str
        Its name, for the sentence.

    Returns
    -------
    tuple of Column
        Those that were understood, each kind once, in the order of the list.

    Raises
    ------
    RecordError
        There is no column for one of a lead's two ends.
    """
    found: dict[str, Column] = {}
    for exact in (True, False):
        for index, heading in enumerate(headings[:_LOOKED_AT]):
            holds = None if any(item.index == index for item in found.values()) else _holds(_plain(heading), exact=exact)
            if holds is not None and holds not in found:
                found[holds] = Column(holds, index, _unit(heading[:LONGEST], holds), clipped(heading.strip()), not exact or _plain(heading) != holds)
    for end in ("from", "to"):
        if end not in found:
            told = [repr(clipped(item.strip())) for item in headings if item.strip()]
            seen = ", ".join(told[:_SEEN]) + (f" and {len(told) - _SEEN} more" if len(told) > _SEEN else "") or "nothing"
            raise RecordError(f"{file}:1: no column is headed '{end}': a lead list has a line of headings with from and to; found {seen}")
    return tuple(sorted(found.values(), key=lambda item: item.index))


def _plain(heading: str) -> str:
    """A heading in small letters, without accents, signs and what stands in brackets."""
    text = unicodedata.normalize("NFKD", heading[:LONGEST].casefold().replace("mm²", "mm2"))
    text = "".join(mark for mark in text if not unicodedata.combining(mark))
    text = re.sub(r"[(\[{].*?[)\]}]", " ", text) if re.sub(r"[(\[{].*?[)\]}]", "", text).strip() else text
    return " ".join(re.findall(r"[a-z0-9]+", text))


def _holds(heading: str, *, exact: bool) -> str | None:
    """What a heading stands for: the word itself, then a word in it, then one much like it."""
    for name, words in COLUMNS.items():
        if heading in words:
            return name
    if exact or not heading:
        return None
    for name, words in COLUMNS.items():
        if any(len(word) > 2 and re.search(rf"\b{word}\b", heading) for word in words) or heading.split()[0] in words[:1]:
            return name
    every = {word: name for name, words in COLUMNS.items() for word in words if len(word) > 3}
    near = nearest(heading, every, count=1) if len(heading) > 3 else ()
    return every[near[0]] if near and _close(heading, near[0]) else None


def _close(one: str, other: str) -> bool:
    """Whether two words differ in a letter or two: much alike and begun alike."""
    return one[:2] == other[:2] and abs(len(one) - len(other)) <= 2


def _unit(heading: str, holds: str) -> str:
    """The unit that a heading names, if it does."""
    words = re.findall(r"mm²|mm2|[a-z]+", heading.casefold())
    return next((_UNITS[word] for word in words if word in _UNITS and _UNITS[word] in _OF.get(holds, ())), "")
