"""Hostile lead lists, one hazard each, with what must be answered."""

from __future__ import annotations

from collections.abc import Iterator

from tests.hostile.asked import Asked

__all__ = ["CSV_CASES", "LIST"]

HEAD = "lead,from,to,colour,size mm2,length m,loom,covering,note\n"
ROWS = "feed,battery.+,fuse.1,RD,1,0.5,,,\nlive,fuse.2,lamp.1,BN,0.75,1.2,main,pvc,to the lamp\nback,lamp.2,frame,BK,1,0.4,,,\n"
LIST = HEAD + ROWS
IMPORT = ("import", "leads.csv", "-o", "new.yaml")


def _raw(name: str, text: str | bytes, status: int, *says: str, words: tuple[str, ...] = IMPORT) -> Asked:
    data = text if isinstance(text, bytes) else text.encode()
    return Asked(name, {"leads.csv": data, "old.yaml": b"mine\n"}, words, status, says, makes=("new.yaml",))


def _edit(name: str, old: str, new: str, status: int, *says: str) -> Asked:
    assert LIST.count(old) >= 1, old
    return _raw(name, LIST.replace(old, new, 1), status, *says)


def _text() -> Iterator[Asked]:
    yield _raw("sound", LIST, 0, "3 leads")
    yield _raw("empty", "", 2, "the list is empty", "begins with a line of headings")
    yield _raw("blank-lines", "\n\n \n", 2, "the list is empty", "line of headings")
    yield _raw("only-commas", ",,,\n,,,\n", 2, "the list is empty")
    yield _raw("headings-alone", HEAD, 2, "no lead under the headings")
    yield _raw("no-headings", ROWS, 2, "leads.csv:1:", "no column is headed 'from'", "'battery.+'")
    yield _raw("headings-twice", HEAD + HEAD + ROWS, 2, "leads.csv:2:", "'size mm2'", "0.75 mm2")
    yield _raw("byte-order-mark", b"\xef\xbb\xbf" + LIST.encode(), 0, "3 leads")
    yield _raw("two-byte-order-marks", b"\xef\xbb\xbf\xef\xbb\xbf" + LIST.encode(), 0, "3 leads")
    yield _raw("crlf", LIST.replace("\n", "\r\n"), 0, "3 leads")
    yield _raw("cr-only", LIST.replace("\n", "\r"), 0, "3 leads")
    yield _raw("no-last-line-end", LIST.rstrip("\n"), 0, "3 leads")
    yield _raw("semicolons", LIST.replace(",", ";").replace("0.75", "0,75"), 0, "3 leads", "parted by semicolons")
    yield _raw("tabs", LIST.replace(",", "\t"), 0, "3 leads", "parted by tabs")
    yield _raw("bars", LIST.replace(",", "|"), 2, "leads.csv:1:", "from and to", "lead|from")
    yield _raw("spaces", LIST.replace(",", "  "), 2, "leads.csv:1:", "from and to")
    yield _raw("not-utf-8", LIST.replace("to the lamp", "für").encode("latin-1"), 2, "byte 133", "save the file as UTF-8")
    yield _raw("utf-16", LIST.encode("utf-16"), 2, "byte 1 ", "UTF-8")
    yield _raw("nul", LIST.replace("lamp.1", "lamp\x00.1"), 2, "leads.csv:3:", "U+0000", "delete it")
    yield _raw("escape-sequence", LIST.replace("to the lamp", "\x1b[2Jlamp"), 2, "leads.csv:3:", "U+001B", "delete it")
    yield _raw("random-bytes", bytes((i * 7919) % 256 for i in range(4000)), 2, "byte 2 ", "UTF-8")
    yield _raw("random-letters", "".join(chr(33 + (i * 7919) % 90) for i in range(4000)), 2, "leads.csv:1:", "from and to")
    yield _raw("zip-of-a-spreadsheet", b"PK\x03\x04\x14\x00\x06\x00" + bytes(200), 2, "leads.csv", "a spreadsheet's own file", "save it as CSV")
    yield _raw("harness-for-a-list", "harness: x\nparts: {}\n", 2, "leads.csv:1:", "'harness: x'")
    yield _raw("page-for-a-list", "<!doctype html><html><body><table><tr><td>from</td></tr></table>\n", 2, "leads.csv:1:", "from and to")
    yield _raw("too-large", LIST + "#" * 6_000_000, 2, "larger than 5 MB")
    yield _raw("separator-line", "sep=;\n" + LIST.replace(",", ";"), 0, "3 leads", "parted by semicolons")


def _quotes() -> Iterator[Asked]:
    yield _edit("quote-unclosed", "to the lamp", '"to the lamp', 2, "leads.csv:3:", "never closed", "close it, or take it out")
    yield _edit("quote-in-a-cell", "to the lamp", 'to "the" lamp', 0, "3 leads")
    yield _edit("quote-with-line-end", "to the lamp", '"to the\nlamp"', 0, "3 leads")
    yield _edit("quote-with-commas", "to the lamp", '"to, the, lamp"', 0, "3 leads")
    yield _edit("quoted-id-with-line-end", "live,", '"li\nve",', 0, "3 leads")
    yield _edit("cell-of-megabytes", "to the lamp", "x" * 2_000_000, 2, "leads.csv:3:", "more than 131072 characters")
    yield _edit("cell-just-too-long", "to the lamp", "x" * 131_073, 2, "leads.csv:3:", "more than 131072 characters")
    yield _edit("thousand-columns", "note\n", "note" + ",x" * 1000 + "\n", 0, "3 leads", "'x' is left out")
    yield _edit("sixty-thousand-columns", "note\n", "note" + ",columns" * 60_000 + "\n", 0, "3 leads", "'columns' is left out")
    yield _edit("million-commas", "to the lamp", "," * 1_000_000, 0, "3 leads")
    yield _raw("many-leads", HEAD + "".join(f"l{i},a{i}.1,b{i}.1,RD,1,1,,,\n" for i in range(2000)), 0, "2000 leads")
    yield _raw("too-many-leads", HEAD + "".join(f"l{i},a{i}.1,b{i}.1,RD,1,1,,,\n" for i in range(60_000)), 2, "leads.csv:10001:", "more than 10000 lines", "one machine")
    yield _raw("many-alike", HEAD + "x,a.1,b.1,,,,,,\n" * 300, 0, "300 leads")
    yield _raw("short-rows", HEAD + "feed,battery.+,fuse.1\nlive,fuse.2,lamp.1\n", 0, "2 leads")
    yield _raw("long-rows", HEAD + ROWS.replace("\n", ",more,cells\n"), 0, "3 leads")


def _ends() -> Iterator[Asked]:
    yield _edit("from-empty", "fuse.2,", ",", 2, "leads.csv:3:", "nothing under 'from'", "part.terminal")
    yield _edit("to-empty", "lamp.1,", ",", 2, "leads.csv:3:", "nothing under 'to'", "part.terminal")
    yield _edit("to-itself", "fuse.2,lamp.1", "lamp.1,lamp.1", 2, "leads.csv:3:", "begins and ends at 'lamp.1'")
    yield _edit("frame-to-frame", "fuse.2,lamp.1", "frame,chassis", 2, "leads.csv:3:", "begins and ends at 'frame'")
    yield _edit("from-only-signs", "fuse.2,", "!!!,", 2, "leads.csv:3:", "'!!!' under 'from'", "part.terminal")
    yield _edit("from-a-point", "fuse.2,", ".,", 2, "leads.csv:3:", "'.' under 'from'", "part.terminal")
    yield _edit("from-many-points", "fuse.2,", "a.b.c.d,", 0, "3 leads")
    yield _edit("from-path", "fuse.2,", "../../etc/passwd,", 0, "3 leads")
    yield _edit("from-markup", "fuse.2,", "<script>alert(1)</script>,", 0, "3 leads")
    yield _edit("from-formula", "fuse.2,", "=1+1,", 0, "3 leads")
    yield _edit("from-shell", "fuse.2,", "$(rm -rf x),", 0, "3 leads")
    yield _edit("from-other-script", "fuse.2,", "предохранитель.2,", 2, "leads.csv:3:", "предохранитель.2", "part.terminal")
    yield _edit("from-homoglyph", "fuse.2,", "fus\u0435.2,", 0, "3 leads")
    yield _edit("from-blanks", "fuse.2,", "fuse" + " " * 100_000 + "2,", 2, "leads.csv:3:", "more than 200 characters")
    yield _edit("from-points", "fuse.2,", "fuse" + "." * 100_000 + " 2,", 2, "leads.csv:3:", "more than 200 characters")
    yield _edit("heading-of-brackets", "note\n", "(" * 100_000 + "\n", 0, "3 leads")
    yield _edit("colour-of-blanks", ",BN,", "," + "B N" * 30_000 + ",", 0, "3 leads")
    yield _edit("from-long", "fuse.2,", "x" * 5000 + ".2,", 2, "leads.csv:3:", "xxx", "more than 200 characters")
    yield _edit("from-long-terminal", "fuse.2,", "fuse." + "2" * 500 + ",", 2, "leads.csv:3:", "fuse.222", "more than 200 characters")
    yield _edit("from-reserved-engine", "fuse.2,", "engine.1,", 0, "3 leads")
    yield _edit("from-reserved-battery-state", "fuse.2,", "battery-state.1,", 0, "3 leads")
    yield _edit("from-yaml-word", "fuse.2,", "null,", 0, "3 leads")
    yield _edit("from-yaml-tag", "fuse.2,", "!!python/object,", 0, "3 leads")
    yield _edit("from-yaml-number", "fuse.2,", "1e5,", 0, "3 leads")
    yield _edit("capitals", "fuse.2,", "FUSE.2,", 0, "3 leads")
    yield _edit("part-called-as-lead", "live,", "lamp,", 0, "3 leads")
    yield _edit("part-with-and-without-terminal", "fuse.2,", "fuse,", 0, "3 leads")
    yield _edit("no-column-from", ",from,", ",begins,", 2, "leads.csv:1:", "headed 'from'", "'begins'")
    yield _edit("no-column-to", ",to,", ",finish,", 2, "leads.csv:1:", "headed 'to'", "'finish'")
    yield _edit("two-columns-from", "lead,from", "from,from", 0, "3 leads")
    yield _edit("heading-empty", "lead,from", ",from", 0, "3 leads")
    yield _edit("heading-long", "note\n", "x" * 100_000 + "\n", 0, "3 leads")


def _values() -> Iterator[Asked]:
    for name, value in (
        ("nan", "nan"), ("infinite", "inf"), ("huge", "1e400"), ("negative", "-1"), ("words", "thick"), ("two-points", "1.2.3"), ("wrong-unit", "3 V"),
        ("many-digits", "9" * 400), ("formula", "=1+1"), ("markup", "<b>1</b>"), ("fraction", "1/2"),
    ):  # fmt: skip
        yield _edit(f"size-{name}", "BN,0.75,", f"BN,{value},", 2, "leads.csv:3:", "size", value[:50], "0.75 mm2")
        yield _edit(f"length-{name}", "0.75,1.2,", f"0.75,{value},", 2, "leads.csv:3:", "length", value[:50], "0.6 m")
    yield _edit("size-nought", "BN,0.75,", "BN,0,", 2, "leads.csv:3:", "0 mm2", "above 0 mm2")
    yield _edit("length-nought", "0.75,1.2,", "0.75,0,", 0, "3 leads")
    yield _edit("size-other-digits", "BN,0.75,", "BN,\u0663,", 0, "3 leads")
    yield _edit("size-gauge", "BN,0.75,", "BN,18 AWG,", 0, "3 leads")
    yield _edit("size-decimal-comma", "BN,0.75,", 'BN,"0,75",', 0, "3 leads")
    yield _edit("length-vast", "0.75,1.2,", "0.75,123456789 m,", 2, "leads.csv:3:", "123456789 m", "1000 m")
    yield _edit("colour-unknown", ",BN,", ",mauve,", 0, "mauve")
    yield _edit("colour-of-ten", ",BN,", ",BN/RD/GN/YE/BU/VT/GY/WH/PK/OG,", 0, "3 leads")
    yield _edit("colour-markup", ",BN,", ",<b>,", 0, "3 leads")
    yield _edit("colour-long", ",BN,", f",{'BN' * 3000},", 0, "3 leads")
    yield _edit("covering-unknown", ",pvc,", ",cheese,", 0, "cheese")
    yield _edit("loom-only-signs", ",main,", ",!!!,", 0, "3 leads")
    yield _edit("loom-yaml-word", ",main,", ",on,", 0, "3 leads")
    yield _edit("note-yaml", "to the lamp", "'{a: [*b'", 0, "3 leads")
    yield _edit("note-direction", "to the lamp", "to \u202e lamp", 2, "leads.csv:3:", "U+202E", "delete it")
    yield _edit("note-comment", "to the lamp", "x # y: z", 0, "3 leads")
    yield _edit("lead-path", "live,", "../../live,", 0, "3 leads")
    yield _edit("lead-only-signs", "live,", "!!!,", 0, "3 leads")
    yield _edit("lead-twice", "live,", "feed,", 0, "3 leads")
    yield _edit("lead-other-capitals", "live,", "FEED,", 0, "3 leads")
    yield _edit("lead-frame", "live,", "frame,", 0, "3 leads")


def _files() -> Iterator[Asked]:
    yield _raw("out-is-there", LIST, 2, "old.yaml", words=("import", "leads.csv", "-o", "old.yaml"))
    yield _raw("out-is-the-list", LIST, 2, "leads.csv", words=("import", "leads.csv", "-o", "leads.csv"))
    yield _raw("out-in-no-folder", LIST, 74, "none", words=("import", "leads.csv", "-o", "none/new.yaml"))
    yield _raw("out-is-a-folder", LIST, 2, "'.' is there already", "choose another name", words=("import", "leads.csv", "-o", "."))
    yield _raw("out-too-long", LIST, 74, "xxx", words=("import", "leads.csv", "-o", "x" * 300))
    yield _raw("name-of-yaml-signs", LIST, 0, "3 leads", words=(*IMPORT, "--name", "{a: &b"))
    yield _raw("name-with-line-end", LIST, 0, "3 leads", words=(*IMPORT, "--name", "a\nparts: {}"))
    yield _raw("name-with-control", LIST, 2, "U+001B", "--name", words=(*IMPORT, "--name", "a\x1b[2J"))
    yield _raw("name-surrogate", LIST, 2, "U+D800", "--name", words=(*IMPORT, "--name", "a\ud800"))
    yield _raw("name-empty-blank", LIST, 0, "3 leads", words=(*IMPORT, "--name", " "))


CSV_CASES: tuple[Asked, ...] = (*_text(), *_quotes(), *_ends(), *_values(), *_files())
