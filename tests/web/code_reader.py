"""Reads a QR code (ISO/IEC 18004) as a phone would, from the characters that a terminal shows.

Versions 2 to 5 at levels L and M alone, without mending errors: the address of a page is one of them. The numbers
of the standard are from memory; that what a library made comes back as its text is what holds them up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

__all__ = ["lines_of", "read_code"]

#: modules of light around the code
QUIET = 4
#: blocks and codewords of data in each, by version and bits of the level: 01 is L, 00 is M
BLOCKS = {(2, "01"): (1, 34), (3, "01"): (1, 55), (4, "01"): (1, 80), (5, "01"): (1, 108)}
BLOCKS |= {(2, "00"): (1, 28), (3, "00"): (1, 44), (4, "00"): (2, 32), (5, "00"): (2, 43)}
#: the format's first five bits are turned over by these
FORMAT_MASK = 0b10101
#: what turns a module over; row i, column j
MASKS: tuple[Callable[[int, int], bool], ...] = (
    lambda i, j: (i + j) % 2 == 0,
    lambda i, j: i % 2 == 0,
    lambda i, j: j % 3 == 0,
    lambda i, j: (i + j) % 3 == 0,
    lambda i, j: (i // 2 + j // 3) % 2 == 0,
    lambda i, j: i * j % 2 + i * j % 3 == 0,
    lambda i, j: (i * j % 2 + i * j % 3) % 2 == 0,
    lambda i, j: ((i + j) % 2 + i * j % 3) % 2 == 0,
)
COLOURS, PLAIN = "\x1b[38;5;16;48;5;231m", "\x1b[0m"
#: upper and lower half with ink
INKED = {"█": (True, True), "▀": (True, False), "▄": (False, True), " ": (False, False)}


def _bare(line: str) -> str:
    return line.removeprefix(COLOURS).removesuffix(PLAIN)


def lines_of(source: Iterable[str]) -> list[str]:
    """Take the next code out of what a terminal shows, not a line more than it has."""
    lines: list[str] = []
    for line in (item.rstrip("\r\n") for item in source):
        if not lines and not (line and set(_bare(line)) <= {"#", *INKED}):
            continue
        lines.append(line)
        width = len(_bare(line))
        if len(lines) == (width // 2 if "#" in lines[0] else (width + 1) // 2):
            return lines
    raise AssertionError(lines)


def _rows(lines: list[str]) -> list[list[bool]]:
    """Give the modules, dark ones True, without the light around them.

    Ink is black where the colours are said; else it shines on a dark ground, and so do the letters of ASCII.
    """
    black = lines[0].startswith(COLOURS)
    bare = [_bare(line) for line in lines]
    if set("".join(bare)) <= {"#", " "}:
        rows = [[line[at : at + 2] == "  " for at in range(0, len(line), 2)] for line in bare]
    else:
        rows = [[INKED[sign][half] is black for sign in line] for line in bare for half in (0, 1)]
    size = len(rows[0]) - 2 * QUIET
    inside = [row[QUIET : QUIET + size] for row in rows[QUIET : QUIET + size]]
    assert sum(map(sum, rows)) == sum(map(sum, inside)), "nothing dark may stand in the light around a code"
    return inside


def _taken(size: int) -> list[list[bool]]:
    """Where no data stands: finders with their formats, timing, the one alignment pattern."""
    centre = size - 7

    def fixed(i: int, j: int) -> bool:
        finder = (i < 9 and (j < 9 or j >= size - 8)) or (i >= size - 8 and j < 9)
        return finder or 6 in (i, j) or (abs(i - centre) <= 2 and abs(j - centre) <= 2)

    return [[fixed(i, j) for j in range(size)] for i in range(size)]


def _codewords(rows: list[list[bool]], number: int) -> list[int]:
    """Two columns at a time from the right, upwards and downwards by turns; the mask taken off."""
    size, taken = len(rows), _taken(len(rows))
    right = [column for column in range(size - 1, 0, -2) if column > 6] + [5, 3, 1]
    bits = ""
    for turn, column in enumerate(right):
        for i in range(size - 1, -1, -1) if turn % 2 == 0 else range(size):
            bits += "".join("01"[rows[i][j] ^ MASKS[number](i, j)] for j in (column, column - 1) if not taken[i][j])
    return [int(bits[at : at + 8], 2) for at in range(0, len(bits) - 7, 8)]


def read_code(lines: list[str]) -> str:
    """Give the text of a code as it is shown."""
    rows = _rows(lines)
    version, rest = divmod(len(rows) - 17, 4)
    assert rest == 0, len(rows)
    told = f"{int(''.join('01'[dark] for dark in rows[8][:5]), 2) ^ FORMAT_MASK:05b}"
    count, length = BLOCKS[version, told[:2]]
    found = _codewords(rows, int(told[2:], 2))[: count * length]
    # the blocks stand interleaved, a codeword of each by turns
    bits = "".join(f"{word:08b}" for block in range(count) for word in found[block::count])
    assert bits[:4] == "0100", "said in bytes"
    most = int(bits[4:12], 2)
    return bytes(int(bits[at : at + 8], 2) for at in range(12, 12 + 8 * most, 8)).decode("ascii")
