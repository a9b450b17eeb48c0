"""Text for a terminal: wrapped to its width, without control characters, in ASCII where it has nothing else."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field

__all__ = ["NARROWEST", "Paper", "clean", "held"]

NARROWEST, WIDEST = 30, 100
#: what stands in where only ASCII can be shown
_PLAIN = {
    "Ω": "ohm",
    "µ": "u",
    "²": "2",
    "°": " deg ",
    "±": "+-",
    "·": "-",
    "–": "-",
    "—": "-",
    "…": "...",
    "→": "->",
    "█": "#",
    "▌": "-",
    "≥": ">=",
    "≤": "<=",
    "×": "x",
    "’": "'",
    "“": '"',
    "”": '"',
}
#: the blank between a number and its unit, where no line is broken, and what stands in for it meanwhile
_UNIT = re.compile(r"(?<=\d) (?=(?:[kMmµu]?(?:Ω|ohm|V|A)|%|min)(?![\w-]))")
_KEPT = "\x1f"
#: kinds of character that never reach a terminal: controls, direction marks and the like, lone surrogates
_BARRED = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))


def clean(text: str) -> str:
    """Take out what could steer a terminal.

    Parameters
    ----------
    text : str
        From a file or from a person.

    Returns
    -------
    str
        Without control characters; a tab or a line end becomes a blank.

    Examples
    --------
    >>> clean("red\\x1b[31m lead\\n")
    'red[31m lead '
    """
    if text.isascii() and text.isprintable():
        return text
    kept = (" " if mark in "\t\n\r" else mark for mark in text)
    return "".join(mark for mark in kept if unicodedata.category(mark) not in _BARRED)


def held(text: str) -> str:
    """Keep every number and its unit on one line.

    Parameters
    ----------
    text : str
        For a page that breaks its lines itself.

    Returns
    -------
    str
        With a blank that does not break between them.

    Examples
    --------
    >>> held("10.8 to 11.4 V")
    '10.8 to 11.4\xa0V'
    """
    return _UNIT.sub("\u00a0", text)


def _columns(text: str) -> int:
    """Columns a text takes on a terminal."""
    if text.isascii():
        return len(text)
    wide = sum(unicodedata.east_asian_width(mark) in "WF" for mark in text)
    return len(text) + wide - sum(bool(unicodedata.combining(mark)) for mark in text)


@dataclass
class Paper:
    """Lines of text for one terminal.

    Attributes
    ----------
    width : int
        Columns; no line is longer.
    plain : bool
        Whether to keep to ASCII.
    aloud : bool
        Whether a screen reader speaks it: no columns, no bars, one thing on a line.
    lines : list of str
        What was written so far.
    """

    width: int = 80
    plain: bool = False
    aloud: bool = False
    lines: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.width = min(max(self.width, NARROWEST), WIDEST)

    @property
    def narrow(self) -> bool:
        """Whether there is no room for columns side by side."""
        return self.width < 60

    def text(self, text: str) -> str:
        """Give a text as it can be shown here.

        Parameters
        ----------
        text : str
            Any text.

        Returns
        -------
        str
            Cleaned, in ASCII where need be.
        """
        shown = clean(text)
        if not self.plain or shown.isascii():
            return shown
        swapped = "".join(_PLAIN.get(mark, mark) for mark in shown)
        apart = unicodedata.normalize("NFKD", swapped)
        return "".join(m for m in apart if not unicodedata.combining(m)).encode("ascii", "replace").decode("ascii")

    def blank(self) -> None:
        """Leave a line free; never two."""
        if self.lines and self.lines[-1]:
            self.lines.append("")

    def line(self, text: str, *, indent: int = 0, hang: int | None = None) -> None:
        """Write a text, wrapped.

        Parameters
        ----------
        text : str
            One paragraph.
        indent : int
            Columns before its first line.
        hang : int, optional
            Columns before its further lines; as the first where not given.
        """
        if self.aloud:
            text, indent, hang = ", ".join(filter(None, re.split(r" {2,}", text))), 0, 0
        hang = indent if hang is None else hang
        self.lines += self._wrapped(self.text(text), indent, min(hang, self.width // 2))

    def _wrapped(self, text: str, indent: int, hang: int) -> list[str]:
        found: list[str] = []
        row, room = "", self.width - indent
        for word in _UNIT.sub(_KEPT, text).split(" "):
            if row and _columns(row) + 1 + _columns(word) > room:
                found.append(row)
                row, room = "", self.width - hang
            row = f"{row} {word}" if row else word
            while _columns(row) > room:
                found.append(row[:room])
                row, room = row[room:], self.width - hang
        found.append(row)
        pads = (" " * indent, *(" " * hang for _ in found[1:]))
        return [f"{pad}{item}".rstrip().replace(_KEPT, " ") for pad, item in zip(pads, found, strict=True)]

    def pair(self, head: str, text: str, *, indent: int = 1, column: int = 16) -> None:
        """Write a label and what belongs to it: side by side, or one under the other where it is narrow.

        Parameters
        ----------
        head : str
            The label.
        text : str
            What belongs to it.
        indent : int
            Columns before the label.
        column : int
            Column at which the text stands.
        """
        shown = self.text(head)
        if self.aloud:
            self.line(f"{head}: {text}" if text else head)
            return
        if self.narrow or _columns(shown) + indent + 1 > column:
            self.line(head, indent=indent, hang=indent + 2)
            if text:
                self.line(text, indent=indent + 2)
            return
        self.line(f"{shown}{' ' * (column - indent - _columns(shown))}{text}", indent=indent, hang=column)

    def edges(self, left: str, right: str) -> None:
        """Write a text at the left edge and one at the right.

        Parameters
        ----------
        left, right : str
            The two texts; under one another where they do not fit.
        """
        one, two = self.text(left), self.text(right)
        if self.aloud:
            self.line(f"{one.strip()}, {two}")
            return
        gap = self.width - _columns(one) - _columns(two)
        if gap < 2:
            self.line(left, hang=2)
            self.line(right, indent=1)
        else:
            self.lines.append(f"{one}{' ' * gap}{two}".rstrip())

    def bar(self, share: float, length: int) -> str:
        """Draw a share as a bar.

        Parameters
        ----------
        share : float
            0 to 1.
        length : int
            Columns of a whole bar.

        Returns
        -------
        str
            Padded to the length.
        """
        halves = round(min(max(share, 0.0), 1.0) * length * 2)
        return self.text("█" * (halves // 2) + ("▌" if halves % 2 else "")).ljust(length)

    def table(self, rows: Sequence[Sequence[str]], *, indent: int = 1) -> None:
        """Write rows in columns; where they do not fit, one row's cells under one another.

        Parameters
        ----------
        rows : sequence of sequence of str
            Cells; all rows of one length.
        indent : int
            Columns before each row.
        """
        shown = [[self.text(cell) for cell in row] for row in rows]
        if not shown:
            return
        widths = [max(_columns(row[i]) for row in shown) for i in range(len(shown[0]))]
        if indent + sum(widths) + 2 * (len(widths) - 1) > self.width:
            for row in shown:
                self.line(row[0], indent=indent, hang=indent + 2)
                for cell in filter(None, row[1:]):
                    self.line(cell, indent=indent + 4)
            return
        for row in shown:
            cells = (cell + " " * (width - _columns(cell)) for cell, width in zip(row, widths, strict=True))
            self.lines.append((" " * indent + "  ".join(cells)).rstrip())

    def __str__(self) -> str:
        return "\n".join(self.lines) + "\n" if self.lines else ""
