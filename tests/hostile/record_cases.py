"""Hostile records of changes, one hazard each, with what must be answered."""

from __future__ import annotations

from collections.abc import Iterator

from tests.hostile.asked import Asked
from tests.hostile.harness_cases import SOUND

__all__ = ["RECORD", "RECORD_CASES"]

RECORD = """\
record: bike
version: 1
machine: Hazard
over: bike.yaml

changes:
  - date: 2024-05-11
    by: A. Keel
    why: covering rotten
    reversible: yes
    original: {kept: yes, where: tin 4}
    steps:
      - {lead: live, renewed: {covering: silicone}, was: {colour: BN}}
  - date: 2025-02
    by: B. Oar
    why: fuse blew
    steps:
      - {part: fuse, corrected: {rating: 15 A}, was: {rating: 10 A}}
"""
LIST = ("changes", "list", "a.record")
ADD = ("changes", "add", "a.record", "--by", "C. Rowe", "--why", "worn", "--step", "lead back renewed covering=silicone")


def _raw(name: str, text: str | bytes, status: int, *says: str, words: tuple[str, ...] = LIST, base: str = SOUND, lines: int = 1) -> Asked:
    data = text if isinstance(text, bytes) else text.encode()
    return Asked(name, {"a.record": data, "bike.yaml": base.encode()}, words, status, says, lines=lines)


def _edit(name: str, old: str, new: str, status: int, *says: str, words: tuple[str, ...] = LIST, lines: int = 1) -> Asked:
    assert RECORD.count(old) >= 1, old
    return _raw(name, RECORD.replace(old, new, 1), status, *says, words=words, lines=lines)


def _text() -> Iterator[Asked]:
    yield _raw("sound", RECORD, 0, "covering rotten", "fuse blew")
    yield _raw("empty", "", 2, "1:1", "empty", "begin with")
    yield _raw("blank", "\n \n", 2, "1:1", "empty", "begin with")
    yield _raw("comment-only", "# nothing\n", 2, "1:1", "empty", "begin with")
    yield _raw("truncated", RECORD[: RECORD.index("renewed")], 2, "14:1", "broken YAML", "look here")
    yield _raw("list-at-the-top", "- record: x\n", 2, "1:1", "no record", "begin with")
    yield _raw("two-documents", RECORD + "---\nrecord: other\n", 2, "19:1", "second document")
    yield _raw("byte-order-mark", b"\xef\xbb\xbf" + RECORD.encode(), 0, "fuse blew")
    yield _raw("crlf", RECORD.replace("\n", "\r\n"), 0, "fuse blew")
    yield _raw("not-utf-8", RECORD.replace("rotten", "völlig").encode("latin-1"), 2, "byte 123", "save the file as UTF-8")
    yield _raw("utf-16", RECORD.encode("utf-16"), 2, "byte 1 ", "UTF-8")
    yield _raw("nul", RECORD.replace("rotten", "rot\x00ten"), 2, "9:22", "U+0000", "delete it")
    yield _raw("escape-sequence", RECORD.replace("rotten", "\x1b[2J"), 2, "9:19", "U+001B", "delete it")
    yield _raw("random-bytes", bytes((i * 7919) % 256 for i in range(4000)), 2, "byte 2 ", "UTF-8")
    yield _raw("alias-bomb", "a0: &a0 [x, x]\n" + "".join(f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]\n" for i in range(1, 20)), 2, "1:5", "anchor '&a0'", "write the value out")
    yield _raw("alias-of-itself", "record: &a [*a]\n", 2, "1:9", "anchor")
    yield _raw("deep-nesting", RECORD.replace("{covering: silicone}", "{covering: " + "[" * 5000), 2, "13:", "nesting")
    yield _raw("million-items", "record: [" + ",".join("1" * 1_000_000) + "]\n", 2, "1:", "more than 100000 values")
    yield _raw("too-large", RECORD + "#" * 6_000_000, 2, "larger than 5 MB")
    yield _raw("harness-for-a-record", SOUND, 2, "1:1", "this is a harness file", "give the record")
    yield _raw("job-for-a-record", "ohmtrail: job\nversion: 1\n", 2, "1:1", "this is a job file", "give the harness")
    yield _edit("tab-indent", "    by: A. Keel", "\tby: A. Keel", 2, "8:1", "tab", "indent with spaces")
    yield _edit("key-twice", "    by: A. Keel", "    by: A. Keel\n    by: Z", 2, "9:5", "'by' stands twice", "keep one")
    yield _edit("foreign-tag", "rating: 15 A", "rating: !!python/object/apply:os.system [id]", 2, "18:42", "tag", "delete it")
    yield _edit("merge-key", "{rating: 15 A}", "{<<: {rating: 15 A}}", 2, "18:34", "merge key", "write the values out")


def _keys() -> Iterator[Asked]:
    yield _edit("newer-version", "version: 1", "version: 2", 2, "2:1", "version 2", "update Ohmtrail")
    yield _edit("version-no-number", "version: 1", "version: latest", 2, "2:1", "latest", "write '1'")
    yield _edit("key-unknown", "    by: A. Keel", "    bye: A. Keel", 2, "8:5", "bye", "did you mean 'by'", lines=2)
    yield _edit("machine-missing", "machine: Hazard\n", "", 2, "1:1", "'machine' is missing")
    yield _edit("machine-another", "machine: Hazard", "machine: Gannet", 2, "a.record:3", "Gannet", "Hazard", "right harness file")
    yield _edit("by-empty", "by: A. Keel", "by:", 2, "8:5", "by", "nothing is said")
    yield _edit("by-a-list", "by: A. Keel", "by: [A, B]", 2, "8:5", "by", "one value")
    yield _edit("by-a-mapping", "by: A. Keel", "by: {name: A}", 2, "8:5", "by", "one value")
    yield _edit("note-a-list", "record: bike", "record: bike\nnote: [a]", 2, "2:1", "note", "one value")
    yield _edit("changes-a-word", RECORD[RECORD.index("changes:") :], "changes: none\n", 2, "6:1", "'changes' must be a list, and 'none' is none", "- ")
    yield _edit("changes-a-mapping", RECORD[RECORD.index("changes:") :], "changes: {date: 2024}\n", 2, "6:1", "'changes' must be a list, and a mapping is none")
    yield _edit("changes-of-words", RECORD[RECORD.index("changes:") :], "changes: [one, two]\n", 2, "6:11", "entry 1 of 'changes'", "'one'", "entry 2", lines=2)
    yield _edit("change-empty", RECORD[RECORD.index("  - date: 2025") :], "  -\n", 2, "14:4", "entry 2 of 'changes'", "says nothing yet")
    yield _edit("steps-a-word", "steps:\n      - {lead: live, renewed: {covering: silicone}, was: {colour: BN}}", "steps: none", 2, "12:5", "'steps' must be a list", "none")
    yield _edit("reversible-maybe", "reversible: yes", "reversible: maybe", 2, "10:5", "maybe", "yes or no")
    yield _edit("kept-maybe", "kept: yes", "kept: perhaps", 2, "11:16", "perhaps", "yes or no")
    yield _edit("files-a-mapping", "reversible: yes", "files: {a: b}", 2, "10:5", "'files' must be a list")


def _dates() -> Iterator[Asked]:
    for name, value in (
        ("no-day", "2024-02-30"), ("month-13", "2024-13"), ("words", "last spring"), ("two-digits", "24-05-11"), ("year-9999", "9999-01-01"),
        ("year-0", "0000-01-01"), ("time", "2024-05-11T09:12:00Z"), ("other-digits", "２０２４-05-11"), ("infinite", ".inf"), ("empty", "''"),
    ):  # fmt: skip
        yield _edit(f"date-{name}", "date: 2024-05-11", f"date: {value}", 2, "7:5", value.strip("'"), "such as 2024-05-11" if name not in ("no-day", "month-13") else "calendar")
    yield _edit("date-order", "date: 2025-02", "date: 2023", 2, "14:5", "2023", "before change 1 of 2024-05-11", "put it where it belongs")


def _steps() -> Iterator[Asked]:
    step = "{lead: live, renewed: {covering: silicone}, was: {colour: BN}}"
    for name, new, says in (
        ("names-nothing", "{renewed: {covering: silicone}, was: {colour: BN}}", ("13:9", "names exactly one of lead, part")),
        ("names-two", "{lead: live, part: fuse, renewed: {covering: silicone}, was: {colour: BN}}", ("13:9", "names exactly one of lead, part")),
        ("does-nothing", "{lead: live, was: {colour: BN}}", ("13:9", "says exactly one of added")),
        ("does-two", "{lead: live, renewed: {covering: silicone}, moved: {to: fuse.1}, was: {colour: BN}}", ("13:9", "says exactly one of added")),
        ("does-what-cannot-be", "{part: fuse, renewed: {rating: 5 A}, was: {rating: 10 A}}", ("13:9", "a part cannot be renewed", "added or removed or exchanged")),
        ("says-nothing", "{lead: live, renewed: {}, was: {colour: BN}}", ("13:9", "'renewed' says nothing", "{covering: pvc}")),
        ("was-missing", "{lead: live, renewed: {covering: silicone}}", ("13:9", "'was' is missing", "{covering: rubber}")),
        ("was-a-word", "{lead: live, renewed: {covering: silicone}, was: BN}", ("13:53", "'BN'", "{key: value}")),
        ("was-a-list", "{lead: live, renewed: {covering: silicone}, was: [BN]}", ("13:53", "'was'", "a list", "{key: value}")),
        ("was-otherwise", "{lead: live, renewed: {covering: silicone}, was: {colour: RD}}", (":13:", "'BN', where 'RD' is expected")),
        ("was-unknown-key", "{lead: live, renewed: {covering: silicone}, was: {sort: RD}}", (":13:", "sort")),
        ("lead-unknown", "{lead: lived, renewed: {covering: silicone}, was: {colour: BN}}", (":13:", "lived", "did you mean 'live'")),
        ("lead-a-list", "{lead: [live], renewed: {covering: silicone}, was: {colour: BN}}", ("13:10", "one value")),
        ("lead-path", "{lead: ../../etc/passwd, renewed: {covering: silicone}, was: {colour: BN}}", ("13:10", "../../etc/passwd", "as in 'head-plug'")),
        ("lead-empty", "{lead: '', renewed: {covering: silicone}, was: {colour: BN}}", ("13:10", "is not an id")),
        ("homoglyph", "{lead: l\u0456ve, renewed: {covering: silicone}, was: {colour: BN}}", ("13:10", "l\u0456ve", "is not an id")),
        ("covering-unknown", "{lead: live, renewed: {covering: cheese}, was: {colour: BN}}", (":7:", "cheese", "write 'rubber'")),
        ("covering-a-list", "{lead: live, renewed: {covering: [silicone]}, was: {colour: BN}}", (":7:", "a list is not allowed for 'covering'")),
        ("key-unknown-in-lead", "{lead: live, renewed: {colr: RD}, was: {colour: BN}}", (":7:", "colr", "did you mean 'colour'")),
        ("size-nan", "{lead: live, renewed: {size: nan mm2}, was: {colour: BN}}", (":7:", "nan mm2", "0.75 mm2")),
        ("length-huge", "{lead: live, renewed: {length: 1e400 m}, was: {colour: BN}}", (":7:", "1e400 m", "0.6 m")),
        ("moved-to-nothing", "{lead: live, moved: {to: lamp.9}, was: {to: lamp.1}}", (":7:", "lamp.9", "lamp has lamp.1, lamp.2")),
        ("moved-to-itself", "{lead: live, moved: {to: key.L}, was: {to: lamp.1}}", (":7:", "begins and ends at 'key.L'")),
        ("moved-without-end", "{lead: live, moved: {colour: RD}, was: {colour: BN}}", ("13:9", "from, to, or both")),
        ("removed-no", "{lead: live, removed: no, was: {colour: BN}}", ("13:22", "write 'removed: yes'")),
        ("part-still-wired", "{part: lamp, removed: yes, was: {kind: lamp}}", (":7:", "lamp.1")),
        ("added-twice", "{lead: live, added: {from: fuse.1, to: lamp.1}}", (":13:", "there is a lead 'live' already")),
        ("added-was", "{lead: new, added: {from: fuse.1, to: lamp.1}, was: {colour: BN}}", ("13:9", "'was' has no place")),
        ("place-in-use", "{place: deck, removed: yes, was: {reach: 1 min}}", (":7:", "places")),
        ("function-without-part", "{function: lamp-lights, corrected: {needs: [{lit: lump}]}, was: {needs: [{lit: lamp}]}}", (":7:", "lump", "did you mean 'lamp'")),
        ("machine-otherwise", "{machine: Gannet, corrected: {note: x}, was: {note: ''}}", (":13:", "Hazard", "Gannet")),
        ("machine-renamed-empty", "{machine: Hazard, corrected: {harness: ''}, was: {harness: Hazard}}", (":7:", "harness: NAME")),
        ("machine-parts-a-word", "{machine: Hazard, corrected: {parts: none}, was: {made: ''}}", ("13:9", "'was' does not say what parts")),
        ("word", "lead live renewed", ("13:9", "lead live renewed", "{key: value}")),
        ("list", "[lead, live]", ("13:9", "a list", "{key: value}")),
        ("empty", "", ("13:8", "says nothing yet")),
    ):  # fmt: skip
        yield _edit(f"step-{name}", step, new, 2, *says)


def _undoing() -> Iterator[Asked]:
    steps = "steps:\n      - {part: fuse, corrected: {rating: 15 A}, was: {rating: 10 A}}"
    for name, new, *says in (
        ("itself", "undoes: [2]", "17:14", "change 2 undoes change 2", "an earlier one"),
        ("later", "undoes: [3]", "17:14", "change 3", "an earlier one"),
        ("nought", "undoes: [0]", "17:14", "'0' is not the number"),
        ("negative", "undoes: [-1]", "17:14", "'-1' is not the number"),
        ("word", "undoes: [one]", "17:14", "'one' is not the number"),
        ("huge", "undoes: [99999999999999999999]", "17:14", "'99999999999999999999' is not the number"),
        ("fraction", "undoes: [1.5]", "17:14", "'1.5' is not the number"),
        ("bare", "undoes: 1", "17:5", "'undoes' must be a list, and '1' is none"),
        ("nothing", "undoes: []", "14:5", "entry 2", "its steps, or the numbers"),
        ("mapping", "undoes: {1: 2}", "17:5", "a mapping is none"),
        ("other-digits", "undoes: [\u0661]", "17:14", "'\u0661' is not the number"),
        ("both", f"undoes: [1]\n    {steps}", "14:5", "its steps, or the numbers"),
    ):
        yield _edit(f"undoes-{name}", steps, new, 2, *says)


def _bases() -> Iterator[Asked]:
    for name, value, *says in (
        ("missing", "other.yaml", ":4:", "'other.yaml' is not beside the record", "write its path"),
        ("folder", ".", ":4:", "'over'", "folder"),
        ("device", "/dev/zero", ":4:", "/dev/zero is not a regular file"),
        ("itself", "a.record", ":3:", "a.record names no machine", "right harness file"),
        ("outside", "../../../../nowhere.yaml", ":4:", "nowhere.yaml", "write its path"),
        ("nul", '"a\\0b"', ":4:", "a\\x00b", "write its path"),
        ("long", "x" * 5000, ":4:", "xxx", "write its path"),
        ("empty", "''", "4:1", "nothing is said"),
        ("list", "[bike.yaml]", "4:1", "one value"),
    ):
        yield _edit(f"over-{name}", "over: bike.yaml", f"over: {value}", 2, *says)
    yield _raw("base-broken", RECORD, 2, "a.record:13", "live", "did you mean 'li ve'", base=SOUND.replace("live:", "li ve:"))
    yield _raw("base-changed", RECORD, 2, "a.record:18", "20 A", "10 A", "change 2 of 2025-02", base=SOUND.replace("rating: 10 A", "rating: 20 A"))
    yield _raw("base-empty", RECORD, 2, "a.record:3", "names no machine", base="")


def _adding() -> Iterator[Asked]:
    """A record that cannot be read is not written to either; and words that cannot be noted leave a sound one alone."""
    yield _raw("add-to-broken", RECORD.replace("by: A. Keel", "bye: A. Keel"), 2, "8:5", "bye", "did you mean", words=ADD, lines=2)
    yield _raw("add-to-truncated", RECORD[: RECORD.index("renewed")], 2, "14:1", "broken YAML", words=ADD)
    yield _raw("add-to-newer", RECORD.replace("version: 1", "version: 9"), 2, "2:1", "version 9", words=ADD)
    yield _raw("add-to-binary", b"\x00\xff" * 100, 2, "byte 2 ", "UTF-8", words=ADD)
    yield _raw("add-to-empty", "", 2, "1:1", "empty", words=ADD)
    for name, place, value, *says in (
        ("step-empty", -1, "", "'' is no step", "lead ID renewed"),
        ("step-unknown", -1, "lead nothing renewed covering=pvc", "no lead 'nothing'", "there is feed-1"),
        ("step-nonsense", -1, "{{{", "'{{{' is no step", "lead ID renewed"),
        ("step-control", -1, "lead back renewed note='\x1b[2J'", "U+001B", "leave it out"),
        ("step-surrogate", -1, "lead back renewed note='\udcff'", "U+DCFF", "leave it out"),
        ("step-newline", -1, "lead back\nrenewed covering=pvc\nlead live removed", "line end"),
        ("step-markup", -1, "lead <b>back</b> renewed covering=pvc", "no lead '<b>back</b>'"),
        ("step-yaml", -1, "lead back renewed covering=&a", "'&a' is not allowed for 'covering'", "write 'rubber'"),
        ("step-colon", -1, "lead back renewed covering: pvc", "'covering: pvc' is no KEY=VALUE", "write it as"),
        ("step-alias-bomb", -1, "part x added {kind: &a [" + "x," * 1000 + "*a]}", "anchor '&a'"),
        ("step-deep", -1, "part x added " + "{a: " * 3000, "nested deeper than 20 levels"),
        ("by-empty", 4, "", "--by 'A. Keel'"),
        ("by-control", 4, "A\x00B", "U+0000", "leave it out"),
        ("why-direction", 6, "worn \u202e out", "U+202E", "leave it out"),
        ("why-surrogate", 6, "worn \ud800", "U+D800", "leave it out"),
    ):
        words = list(ADD)
        words[place] = value
        yield _raw(f"add-{name}", RECORD, 2, *says, words=tuple(words))
    yield _raw("add-date-that-is-none", RECORD, 2, "1899-99", words=(*ADD, "--date", "1899-99"))
    yield _raw("add-date-before-the-last", RECORD, 2, "1999", "change 2 of 2025-02", "give a date from then on", words=(*ADD, "--date", "1999"))


RECORD_CASES: tuple[Asked, ...] = (*_text(), *_keys(), *_dates(), *_steps(), *_undoing(), *_bases(), *_adding())
