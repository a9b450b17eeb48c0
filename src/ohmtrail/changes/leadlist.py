"""A lead list as people keep it in a spreadsheet: read with forgiveness, and every guess told."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from ohmtrail.changes.cells import LONGEST, clipped, read_cells
from ohmtrail.changes.columns import Column, find_columns
from ohmtrail.errors import QuantityError, RecordError, UnknownName
from ohmtrail.harness.markings import colour_names, parse_colour
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.units import quantity

__all__ = ["HEADINGS", "LeadList", "Row", "read_lead_list", "rows_of", "write_lead_list"]

HEADINGS = ("lead", "from", "to", "colour", "size mm2", "length m", "loom", "covering", "note")
#: a median length over these, without a unit, is taken for centimetre and for millimetre; common practice, no source
_LONG_M, _LONG_CM = 8.0, 400.0
_FRAMES = frozenset(("frame", "chassis", "ground", "gnd", "earth", "mass", "masse", "massa"))
#: colour words of other lists than English ones -> letters of IEC 60757; common practice, no source
_COLOUR_WORDS = {
    "gray": "GY", "purple": "VT", "schwarz": "BK", "braun": "BN", "rot": "RD", "gelb": "YE", "grun": "GN", "grün": "GN", "blau": "BU",
    "violett": "VT", "grau": "GY", "weiss": "WH", "weiß": "WH", "rosa": "PK", "noir": "BK", "rouge": "RD", "jaune": "YE", "vert": "GN",
    "bleu": "BU", "blanc": "WH", "nero": "BK", "rosso": "RD", "giallo": "YE", "verde": "GN", "bianco": "WH",
}  # fmt: skip
_SIGNS = {";": "semicolons", "\t": "tabs"}
_TERMINAL = re.compile(r"[A-Za-z0-9+][A-Za-z0-9_+-]{0,31}|-")


@dataclass
class Row:
    """One lead of a list: texts, with their units; empty where nothing is said."""

    lead: str
    start: str
    end: str
    colour: str = ""
    size: str = ""
    length: str = ""
    loom: str = ""
    covering: str = ""
    note: str = ""
    line: int = 0


@dataclass
class LeadList:
    """A list as it was read, and what was guessed in reading it."""

    rows: list[Row] = field(default_factory=list)
    guesses: list[str] = field(default_factory=list)


def read_lead_list(text: str, *, file: str) -> LeadList:
    """Read a lead list.

    Parameters
    ----------
    text : str
        CSV with a line of headings; parted by commas, semicolons or tabs, with decimal points or commas.
    file : str
        Its name, for the sentences.

    Returns
    -------
    LeadList
        Leads, and a sentence for everything that was guessed.

    Raises
    ------
    RecordError
        It has no headings for a lead's ends, no leads, or a value that is none; the line is named.
    """
    sign, lines = read_cells(text, file=file)
    if not lines:
        raise RecordError(f"{file}: the list is empty; it begins with a line of headings such as lead, from, to, colour, size, length")
    columns = find_columns(lines[0][1], file=file)
    made = LeadList()
    if sign != ",":
        made.guesses.append(f"cells are parted by {_SIGNS.get(sign, repr(sign))}")
    made.guesses += [f"column {item.heading!r} is taken for {item.holds}" for item in columns if item.guessed]
    known = {item.index for item in columns}
    left = dict.fromkeys(clipped(item.strip()) for index, item in enumerate(lines[0][1]) if index not in known and item.strip())
    made.guesses += [f"column {item!r} is left out" for item in left]
    _fill(made, columns, lines[1:], file)
    if not made.rows:
        raise RecordError(f"{file}: there is no lead under the headings")
    return made


def _fill(made: LeadList, columns: tuple[Column, ...], lines: list[tuple[int, list[str]]], file: str) -> None:
    """Read all rows, with the units that go for whole columns."""
    units = {item.holds: item.unit or _usual(made, item, lines) for item in columns if item.holds in ("size", "length")}
    taken: dict[str, int] = {}
    renamed: dict[str, str] = {}
    heads: dict[str, str] = {}
    for number, cells in lines:
        said = {item.holds: cells[item.index].strip().removeprefix("'") if item.index < len(cells) else "" for item in columns}
        row = Row(_lead_id(made, said.get("lead", ""), taken, number), "", "", line=number)
        row.start, row.end = (_point(said[end], renamed, heads, f"{file}:{number}", end) for end in ("from", "to"))
        if row.start == row.end:
            raise RecordError(f"{file}:{number}: the lead begins and ends at {row.start!r}")
        row.colour = _colour(made, said.get("colour", ""), number)
        row.size = _measure(said.get("size", ""), units.get("size", ""), "square millimetre", f"{file}:{number}: size")
        row.length = _measure(said.get("length", ""), units.get("length", ""), "metre", f"{file}:{number}: length")
        row.loom, row.covering, row.note = _id(said.get("loom", "")), said.get("covering", "").casefold(), said.get("note", "")
        made.rows.append(row)
    made.guesses += [f"{old!r} is written {new}" for old, new in renamed.items() if old != new]


def _usual(made: LeadList, column: Column, lines: list[tuple[int, list[str]]]) -> str:
    """The unit of a column that names none, where its numbers are bare."""
    cells = [cells[column.index].strip().replace(",", ".") for _, cells in lines if column.index < len(cells)]
    bare = sorted(float(cell) for cell in cells if re.fullmatch(r"\d+(\.\d*)?", cell))
    if not bare:
        return ""
    middle = bare[len(bare) // 2]
    unit = "mm2" if column.holds == "size" else "m" if middle <= _LONG_M else "cm" if middle <= _LONG_CM else "mm"
    made.guesses.append(f"bare numbers under {column.heading!r} are taken for {unit.replace('mm2', 'mm²')}")
    return unit


def _measure(text: str, unit: str, dimension: str, place: str) -> str:
    """A size or length with its unit, sure to be one."""
    if not text:
        return ""
    said = text.replace("mm²", "mm2")
    if re.fullmatch(r"[\d.,]+", said):
        said = f"{said.replace(',', '.')} {unit}"
    try:
        quantity(clipped(said), dimension)
    except QuantityError as error:
        raise RecordError(f"{place}: {error}") from None
    return said


def _lead_id(made: LeadList, text: str, taken: dict[str, int], number: int) -> str:
    """An id of its own for each lead."""
    wanted = _id(text) or f"lead-{number - 1}"
    name, count = wanted, taken.get(wanted.casefold(), 1)
    while name.casefold() in taken:
        count += 1
        name = f"{wanted}-{count}"
    taken |= {name.casefold(): 1, wanted.casefold(): count}
    if text and name != text:
        made.guesses.append(f"line {number}: lead {clipped(text)!r} is called {name}")
    return name


def _id(text: str) -> str:
    return re.sub(r"[^A-Za-z0-9_]+", "-", text).strip("-_")[:64]


def _point(text: str, renamed: dict[str, str], heads: dict[str, str], place: str, end: str) -> str:
    """A terminal as ``part.terminal``; a part alone, or the frame. Parts that differ in capitals only are one."""
    if text in renamed:
        return renamed[text]
    if not text:
        raise RecordError(f"{place}: the lead has nothing under '{end}'; write where it ends, as part.terminal")
    if len(text) > LONGEST:
        raise RecordError(f"{place}: {clipped(text)!r} under '{end}' is no terminal: it has more than {LONGEST} characters")
    if text.casefold() in _FRAMES:
        made = FRAME
    else:
        head, tail = _parted(text)
        name = heads.setdefault(_id(head).casefold(), _id(head))
        made = name + (f".{tail}" if tail else "")
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]*(\..+)?", made):
        raise RecordError(f"{place}: {text!r} under '{end}' is no terminal; write it as part.terminal")
    renamed[text] = made
    return made


def _parted(text: str) -> tuple[str, str]:
    """Part and terminal: parted by a point, colon, slash, the word pin, or a last short word."""
    match = re.fullmatch(r"(.+?)\s*(?:[.:/]|\bpin\b|\bterminal\b|\bcavity\b|#)\s*(\S+)", text, re.IGNORECASE)
    if match is None:
        match = re.fullmatch(r"(.*[A-Za-z].*?)\s+(\d{1,3}[A-Za-z+]{0,2}|[A-Z+-][+-]?)", text)
    if match is None or not _TERMINAL.fullmatch(match.group(2)) or match.group(1).casefold() in _FRAMES:
        return text, ""
    return match.group(1), match.group(2)


def _colour(made: LeadList, text: str, number: int) -> str:
    """Colour letters of IEC 60757; words are turned into them, what is unknown stays."""
    if not text:
        return ""
    said = re.sub(r"\s*[-+ /,]\s*", "/", text.strip())
    letters = {name.casefold(): code for code, name in colour_names().items()} | _COLOUR_WORDS
    told = "/".join(letters.get(part.casefold(), part) for part in said.split("/"))
    try:
        read = parse_colour(told)
    except UnknownName:
        made.guesses.append(f"line {number}: colour {clipped(text)!r} is none of IEC 60757 and is left as it is")
        return text
    code = read.letters
    if code != text and (note := f"colour {text!r} is written {code}") not in made.guesses:
        made.guesses.append(note)
    return code


def rows_of(harness: Harness) -> list[Row]:
    """Give the leads of a harness as rows.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    list of Row
        In the order of the file; sizes in mm2, lengths in m, empty where the file says none.
    """
    return [
        Row(
            name,
            lead.from_,
            lead.to,
            lead.colour,
            "" if lead.size is None else f"{lead.size:.4g} mm2",
            "" if lead.length is None else f"{lead.length:.4g} m",
            lead.loom or "",
            lead.covering or "",
            lead.called or lead.note,
        )
        for name, lead in harness.leads.items()
    ]


def write_lead_list(rows: Iterable[Row], *, semicolons: bool = False) -> str:
    """Write rows as CSV that a spreadsheet opens.

    Parameters
    ----------
    rows : iterable of Row
        Leads.
    semicolons : bool
        Part the cells by semicolons and write decimal commas, as spreadsheets of many countries want it.

    Returns
    -------
    str
        Under a line of headings, with the byte order mark by which spreadsheets know UTF-8 (RFC 4180). A text
        that a spreadsheet would take for a formula begins with an apostrophe, which reading takes off again.
    """
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if semicolons else ",", lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for row in rows:
        numbers = [text.partition(" ")[0].replace(".", "," if semicolons else ".") for text in (row.size, row.length)]
        texts = (row.lead, row.start, row.end, row.colour), (row.loom, row.covering, row.note)
        first, last = ([f"'{text}" if text[:1] in ("=", "+", "-", "@") else text for text in part] for part in texts)
        writer.writerow([*first, *numbers, *last])
    return "\ufeff" + out.getvalue()
