"""What the fuzzers feed: harness texts with damage done to them, and lines that look like readings."""

from __future__ import annotations

from hypothesis import strategies as st
from tests.hostile.harness_cases import SOUND

__all__ = ["damaged", "harness_texts", "reading_lines"]

#: pieces of harness files, and what looks like them
_PIECES = (
    "kind: lamp", "kind: relay", "kind: winding", "kind: module", "volts: 1e9 V", "resistance: 0 Ω", "resistance: 1 µΩ", "{", "}", "[", "]",
    ": ", "- ", "&a", "*a", "!x", "frame", "lamp.1", "key.B", "battery.+", "0", "-1", "on", "off", "~", "\t", "\n", "  ", "'", '"', "#", "é", "\u200b",
    "length: 0 m", "size: 0.35 mm2", "needs: []", "when: {}", "positions: {on: [[B, L]]}", "between: [1, 2]", "inside: deck", "Ω", "±", "%",
)  # fmt: skip
_WORDS = (
    "ohms", "volts", "ac", "beep", "diode", "lamp", "amps", "peak", "look", "note", "with", "and", "lifted", "parted", "out", "back", "moved", "cold",
    "battery", "engine", "running", "cranking", "still", "on", "off", "frame", "ignition-module.STOP", "stop-1.from", "stop-button", "spark-top",
    "works", "fails", "weak", "absent", "sometimes", "OL", "beeps", "silent", "flickers", "3.3", "3,3", "-0.4", "1e400", "nan", "12 V", "4.7k", "kΩ",
    "mV", "MΩ", "±", "∞", "٣", "frame.frame", ".", "..", "=", "(", ")", "'", '"', "\\", "%s", "\x1b[2J", "x" * 200, "",
)  # fmt: skip


@st.composite
def damaged(draw: st.DrawFn, text: str, pieces: tuple[str, ...], least: int = 1) -> str:
    """A text with lines taken out, doubled, turned and indented otherwise, and pieces put in anywhere."""
    lines = text.splitlines()
    for _ in range(draw(st.integers(least, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        what = draw(st.sampled_from(("drop", "double", "swap", "indent", "piece", "cut")))
        if what == "drop" and len(lines) > 1:
            del lines[at]
        elif what == "double":
            lines.insert(at, lines[at])
        elif what == "swap":
            other = draw(st.integers(0, len(lines) - 1))
            lines[at], lines[other] = lines[other], lines[at]
        elif what == "indent":
            lines[at] = " " * draw(st.integers(0, 8)) + lines[at].lstrip()
        else:
            column = draw(st.integers(0, len(lines[at])))
            put = draw(st.sampled_from(pieces)) if what == "piece" else ""
            lines[at] = lines[at][:column] + put + lines[at][column + draw(st.integers(0, 6)) :]
    return "\n".join(lines) + "\n"


def harness_texts() -> st.SearchStrategy[str]:
    """A sound harness with damage, or without."""
    return damaged(SOUND, _PIECES, least=0)


def reading_lines() -> st.SearchStrategy[str]:
    """Words of readings in any order, or any text."""
    return st.one_of(st.lists(st.sampled_from(_WORDS), max_size=9).map(" ".join), st.text(max_size=60))
