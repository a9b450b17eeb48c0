"""Hostile harness files, one hazard each, with what must be answered.

A case is its bytes, the exit status wanted, and what the answer must contain; status 0 or 1 means that the file
loads, and then the words must stand in the machine that was read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["CASES", "SOUND", "Case"]

SOUND = """\
harness: Hazard
supply: {nominal: 12 V, earthed: negative}
places:
  deck: {reach: 1 min, how: lift it}
parts:
  battery: {kind: battery, at: deck}
  fuse: {kind: fuse, at: deck, rating: 10 A}
  key: {kind: switch, at: deck, rests: off, positions: {off: [], on: [[B, L]]}}
  lamp: {kind: lamp, at: deck, watts: 5 W, volts: 12 V}
  E1: {kind: earth, at: deck, on: frame}
leads:
  feed-1: {from: battery.+, to: fuse.1, colour: RD, size: 1 mm2}
  feed-2: {from: fuse.2, to: key.B, colour: RD}
  live: {from: key.L, to: lamp.1, colour: BN}
  back: {from: lamp.2, to: E1, colour: BK}
  strap: {from: battery.-, to: frame, colour: BK}
functions:
  lamp-lights:
    when: {key: on}
    needs: [{lit: lamp}]
"""


@dataclass(frozen=True)
class Case:
    """One hazard."""

    name: str
    data: bytes
    status: int
    says: tuple[str, ...]


def _edit(name: str, old: str, new: str, status: int, *says: str) -> Case:
    assert SOUND.count(old) >= 1, old
    return Case(name, SOUND.replace(old, new, 1).encode(), status, says)


def _raw(name: str, text: str | bytes, status: int, *says: str) -> Case:
    return Case(name, text if isinstance(text, bytes) else text.encode(), status, says)


def _bomb(levels: int, width: int) -> str:
    lines = ["a0: &a0 [x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * width)}]" for i in range(1, levels)]
    return "\n".join(lines) + "\n"


def _yaml_words() -> Iterator[Case]:
    """Words that other readers of YAML 1.1 turn into truth values, numbers and dates stay words."""
    for word in ("ON", "Off", "no", "yes", "y", "n", "true", "null", "1_000", "0o17", "0x1F", "2024-01-02", "1e3"):
        trick = SOUND.replace("off: [], on: [[B, L]]", f"off: [], {word}: [[B, L]]").replace("{key: on}", f"{{key: {word}}}")
        yield Case(f"position-called-{word}", trick.encode(), 0, ("1 function",))
    for word in ("~", "12:30:45", ".inf"):
        yield _edit(f"position-called-{word}", "{off: []", f"{{off: [], {word}: []", 2, "8:", word)
    yield _edit("lead-called-1.10", "live:", "1.10:", 2, "14:3", "1.10")
    yield _edit("lead-called-007", "live:", "007:", 0, "5 leads")
    yield _edit("quoted-key", "lamp-lights:", '"lamp-lights":', 0, "1 function")
    yield _edit("sexagesimal-reach", "reach: 1 min", "reach: 1:30", 2, "4:10", "1:30", "min")
    yield _edit("truth-for-a-number", "nominal: 12 V", "nominal: yes", 2, "2:10", "yes", "V")
    yield _edit("octal-power", "watts: 5 W", "watts: 0o5 W", 2, "0o5 W")
    yield _edit("null-part", "  lamp: {kind: lamp, at: deck, watts: 5 W, volts: 12 V}", "  lamp: ~", 2, "9:", "lamp")
    yield _edit("empty-part", "  lamp: {kind: lamp, at: deck, watts: 5 W, volts: 12 V}", "  lamp:", 2, "9:", "lamp")


def _structure() -> Iterator[Case]:
    yield _edit("key-twice", "  back:", "  live:", 2, "15:3", "live", "twice", "line 14")
    yield _edit("section-twice", "functions:", "leads:", 2, "leads", "twice")
    yield _edit("tab-indent", "  deck:", "\tdeck:", 2, "4:1", "tab")
    yield _edit("bad-indent", "  fuse:", "   fuse:", 2, "7:")
    yield _edit("unclosed-brace", "rating: 10 A}", "rating: 10 A", 2, "YAML")
    yield _edit("unclosed-quote", "how: lift it", 'how: "lift it', 2, "YAML")
    yield _edit("merge-key", "{kind: lamp, at: deck", "{<<: {at: deck}, kind: lamp", 2, "9:", "merge key")
    yield _edit("anchor", "at: deck, watts", "at: &here deck, watts", 2, "9:", "anchor", "here")
    yield _edit("foreign-tag", "watts: 5 W", "watts: !!python/object/apply:os.system [id]", 2, "9:", "tag")
    yield _edit("named-tag", "watts: 5 W", "watts: !watt 5", 2, "tag")
    yield _edit("binary-tag", "watts: 5 W", "watts: !!binary aGVsbG8=", 2, "tag")
    yield _edit("list-for-a-word", "at: deck, watts", "at: [deck], watts", 2, "9:", "at")
    yield _edit("mapping-for-a-word", "watts: 5 W", "watts: {W: 5}", 2, "9:", "watts")
    yield _edit("word-for-a-section", "leads:\n", "leads: none\nleads-2:\n", 2, "11:")
    yield _edit("mapping-as-key", "{key: on}", "{{key: x}: on}", 2, "key")
    yield _raw("list-at-the-top", "- harness: x\n", 2, "1:1", "harness")
    yield _raw("scalar-at-the-top", "harness\n", 2, "1:1", "harness")
    yield _raw("two-documents", SOUND + "---\nharness: other\n", 2, "second document")
    yield _raw("empty", "", 2, "1:1", "empty")
    yield _raw("blank-lines-only", "\n\n  \n", 2, "empty")
    yield _raw("comment-only", "# nothing\n", 2, "empty")
    yield _raw("truncated", SOUND[: len(SOUND) // 2], 2)
    yield _raw("truncated-in-a-word", SOUND[: SOUND.index("colour: BK}") + 9], 2)
    yield _raw("json", '{"harness": "J", "supply": {"nominal": "12 V", "earthed": "negative"}, "places": {}, "parts": {}, "leads": {}}', 2, "1:", "parts")
    yield _raw("directive", "%YAML 1.1\n---\n" + SOUND, 0, "5 leads")
    yield _raw("unknown-directive", "%FOO bar\n---\n" + SOUND, 2, "1:", "directive")


def _bytes() -> Iterator[Case]:
    yield _raw("byte-order-mark", b"\xef\xbb\xbf" + SOUND.encode(), 0, "5 leads")
    yield _raw("crlf", SOUND.replace("\n", "\r\n"), 0, "5 leads")
    yield _raw("cr-only", SOUND.replace("\n", "\r"), 0, "5 leads")
    yield _raw("nul", SOUND.replace("lift it", "lift\x00it"), 2, "4:", "U+0000")
    yield _raw("escape-sequence", SOUND.replace("lift it", "\x1b[2Jit"), 2, "4:", "U+001B")
    yield _raw("latin-1", SOUND.replace("lift it", "öffnen").encode("latin-1"), 2, "UTF-8")
    yield _raw("utf-16", SOUND.encode("utf-16"), 2, "UTF-8")
    yield _raw("overlong-utf-8", SOUND.encode().replace(b"lift it", b"\xc0\xaf"), 2, "UTF-8")
    yield _raw("lone-surrogate", SOUND.encode().replace(b"lift it", b"\xed\xa0\x80"), 2, "UTF-8")
    yield _raw("random-bytes", bytes((i * 7919) % 256 for i in range(4000)), 2)
    yield _raw("right-to-left-override", SOUND.replace("lift it", "lift \u202e it"), 2, "U+202E")
    yield _raw("zero-width-in-an-id", SOUND.replace("live:", "li\u200bve:"), 2, "14:")
    yield _raw("homoglyph-id", SOUND.replace("to: lamp.1", "to: l\u0430mp.1"), 2, "14:23", "not a terminal")
    yield _raw("combining-name", SOUND.replace("live:", "live\u0301:"), 2, "14:")
    yield _raw("full-width-digit", SOUND.replace("watts: 5 W", "watts: \uff15 W"), 0, "5 leads")
    yield _raw("no-break-space", SOUND.replace("5 W", "5\u00a0W"), 0, "5 leads")


def _large() -> Iterator[Case]:
    yield _raw("alias-bomb-linear", "a: &a [x]\nb: [" + ", ".join(["*a"] * 100_000) + "]\n", 2, "anchor")
    yield _raw("alias-bomb-quadratic", "a: &a " + "x" * 100_000 + "\nb: [" + ", ".join(["*a"] * 10_000) + "]\n", 2, "anchor")
    yield _raw("alias-bomb-exponential", _bomb(20, 9), 2, "anchor")
    yield _raw("alias-of-itself", "a: &a [*a]\n", 2, "anchor")
    yield _raw("deep-nesting-flow", "[" * 50_000, 2)
    yield _raw("deep-nesting-block", "\n".join(" " * i + "a:" for i in range(1500)), 2, "nested")
    yield _raw("million-item-list", "harness: [" + ",".join(["1"] * 1_000_000) + "]\n", 2, "1:")
    yield _raw("many-unknown-keys", "harness: x\n" + "".join(f"k{i}: v\n" for i in range(50_000)), 2, "more")
    yield _raw("many-broken-leads", SOUND.replace("functions:", "".join(f"  x{i}: {{from: no.{i}, to: none.{i}}}\n" for i in range(3_000)) + "functions:"), 2, "more")
    yield _raw("long-line", SOUND + "# " + "x" * 3_000_000 + "\n", 0, "5 leads")
    yield _raw("long-word", SOUND.replace("lift it", "x" * 1_000_000), 0, "5 leads")
    yield _raw("long-id", SOUND.replace("live:", "l" * 5_000 + ":"), 2, "14:")
    yield _raw("too-large", SOUND + "#" * 6_000_000, 2, "larger than")


def _numbers() -> Iterator[Case]:
    for name, value in (("nan", "nan V"), ("infinity", "inf V"), ("huge", "1e400 V"), ("negative", "-12 V"), ("nought", "0 V"), ("no-unit", "12"), ("wrong-unit", "12 A"), ("many-digits", "1" * 400 + " V")):
        yield _edit(f"supply-{name}", "nominal: 12 V", f"nominal: {value}", 2, "2:10")
    yield _edit("resistance-nan", "colour: BN}", "colour: BN, resistance: nan Ω}", 2, "14:")
    yield _edit("tolerance-huge", "colour: BN}", "colour: BN, resistance: 5 Ω ± 1e9 %}", 2, "14:")
    yield _edit("length-negative", "colour: BN}", "colour: BN, length: -1 m}", 2, "14:")
    yield _edit("size-nought", "size: 1 mm2", "size: 0 mm2", 2, "12:")
    yield _edit("year-beyond", "colour: BN}", "colour: BN, made: 99999}", 2, "14:")
    yield _edit("power-tiny", "watts: 5 W", "watts: 1e-300 W", 2, "9:")


def _names() -> Iterator[Case]:
    for name, value in (("path", "../../etc/passwd"), ("markup", "<script>alert(1)</script>"), ("shell", "$(rm -rf x)"), ("backticks", "`id`"), ("percent", "%s%n"), ("spreadsheet", "=1+1")):
        yield Case(f"called-{name}", SOUND.replace("harness: Hazard", f"harness: '{value}'").encode(), 0, (value,))
    yield _edit("id-path", "live:", "../live:", 2, "14:")
    yield _edit("id-markup", "live:", "<b>live:", 2, "14:")
    yield _edit("id-empty", "live:", "'':", 2, "14:")
    yield _edit("id-spaces", "live:", "'li ve':", 2, "14:")
    yield _edit("part-called-frame", "  lamp:", "  frame:", 2, "9:", "frame")
    yield _edit("inside-of-itself", "reach: 1 min", "reach: 1 min, inside: deck", 2, "4:", "deck")
    yield _edit("lead-to-itself", "to: lamp.1", "to: key.L", 2, "14:")


CASES: tuple[Case, ...] = (*_yaml_words(), *_structure(), *_bytes(), *_large(), *_numbers(), *_names())
