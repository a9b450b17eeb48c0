"""The cells of a list that a spreadsheet wrote: CSV by RFC 4180, parted by whatever stands there most."""

from __future__ import annotations

import csv
import io
import re

from ohmtrail.errors import RecordError
from ohmtrail.harness.text import CONTROL

__all__ = ["LONGEST", "clipped", "read_cells"]

#: characters of a heading or a terminal that are looked at; own choice, far beyond any that people write
LONGEST = 200
#: most lines of a list; a harness of more leads cannot be read anyway (100 000 values)
_MOST_LINES = 10_000
_SHOWN = 60
#: how some spreadsheets say in a first line what parts the cells
_SAID = re.compile(r"(?:\"?sep=(.)\"?)[ \t]*(?=\r?\n|\r)", re.IGNORECASE)


def clipped(text: str) -> str:
    """Give a text short enough for a sentence.

    Parameters
    ----------
    text : str
        As it stands in the list.

    Returns
    -------
    str
        The same, or its beginning and three points.
    """
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}..."


def read_cells(text: str, *, file: str) -> tuple[str, list[tuple[int, list[str]]]]:
    """Take a list apart.

    Parameters
    ----------
    text : str
        All of it.
    file : str
        Its name, for the sentences.

    Returns
    -------
    tuple of str and list of (int, list of str)
        What parts the cells, and the lines that hold anything: their numbers and cells.

    Raises
    ------
    RecordError
        It is no text of lines and cells; the line is named.
    """
    body = text.removeprefix("\ufeff")
    if body.startswith("PK\x03\x04"):
        raise RecordError(f"{file}: this is a spreadsheet's own file; save it as CSV from there")
    if bad := CONTROL.search(body):
        line = body.count("\n", 0, bad.start()) + 1
        raise RecordError(f"{file}:{line}: the sign U+{ord(bad.group()):04X} cannot be seen and has no place in a list; delete it")
    said = _SAID.match(body)
    sign = said[1] if said else _sign(body)
    body = body[said.end() :] if said else body
    return sign, [(number, cells) for number, cells in _lines(body, sign, file) if any(cell.strip() for cell in cells)]


def _sign(text: str) -> str:
    """What parts the cells: the sign that stands most often in the first line that is not empty."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max((",", ";", "\t"), key=first.count)


def _lines(text: str, sign: str, file: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True)
    found: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            found.append((reader.line_num, cells))
            if len(found) > _MOST_LINES:
                raise RecordError(f"{file}:{reader.line_num}: more than {_MOST_LINES} lines; one list, one machine")
    except csv.Error as error:
        line = found[-1][0] + 1 if found else 1
        raise RecordError(f"{file}:{line}: {_reason(str(error))}") from None
    return found


def _reason(said: str) -> str:
    """The library's reasons in our words."""
    if "end of data" in said:
        return "a cell begins with a quote that is never closed; close it, or take it out"
    if "expected after" in said:
        return "something stands between a closing quote and the next cell; write a quote within a cell twice"
    if "field larger" in said:
        return f"a cell of more than {csv.field_size_limit()} characters; a quote may have been left open"
    return f"the line cannot be read: {said}"
