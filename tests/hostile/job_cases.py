"""Hostile job files, one hazard each, with what must be answered."""

from __future__ import annotations

from collections.abc import Iterator

from tests.hostile.asked import Asked
from tests.hostile.harness_cases import SOUND
from tests.hostile.sealed import READING, START, Data, changed, journal

__all__ = ["JOB", "JOB_CASES", "SHOW"]

JOB = journal(("start", START), ("reading", READING), ("note", {"text": "the cowl is cracked"}), ("strike", {"number": "2", "why": "slipped"}))
SHOW = ("suspects", "a.job")
READ = ("read", "a.job", "volts lamp.1 frame 11.9 with key on")


def _raw(name: str, data: bytes | str, status: int, *says: str, words: tuple[str, ...] = SHOW, base: str = SOUND) -> Asked:
    files = {"a.job": data if isinstance(data, bytes) else data.encode(), "bike.yaml": base.encode()}
    return Asked(name, files, words, status, says)


def _edit(name: str, old: str, new: str, status: int, *says: str) -> Asked:
    text = JOB.decode()
    assert old in text, old
    return _raw(name, text.replace(old, new, 1), status, *says)


def _start(name: str, status: int, *says: str, **keys: object) -> Asked:
    """A first record that says something else; a refusal names its place, unless it is about the harness file."""
    place = () if status == 0 or (name.startswith(("harness-", "sum-")) and "missing" not in name and "list" not in name) else ("a.job:5: record 1: ",)
    return _raw(f"start-{name}", journal(("start", changed(START, **keys)), ("reading", READING)), status, *place, *says)


def _record(name: str, record: str, data: Data, status: int, *says: str) -> Asked:
    """A third record; a refusal names its place."""
    place = ("a.job:39: ",) if status else ()
    return _raw(name, journal(("start", START), ("reading", READING), (record, data)), status, *place, *says)


def _reading(name: str, status: int, *says: str, **keys: object) -> Asked:
    return _record(f"reading-{name}", "reading", changed(READING, **keys), status, *says)


def _text() -> Iterator[Asked]:
    text = JOB.decode()
    yield _raw("sound", JOB, 0, "lamp-lights absent")
    yield _raw("empty", "", 2, "a.job: empty, so not a job file")
    yield _raw("blank", "\n\n", 2, "a.job:1:", "ohmtrail: job")
    yield _raw("heading-alone", text[: text.index("---")], 2, "no beginning", "ohmtrail start")
    yield _raw("heading-cut", "ohmtrail: j", 2, "a.job:1:", "not a job file")
    yield _raw("other-kind", text.replace("ohmtrail: job", "ohmtrail: drill", 1), 2, "a.job:1:", "this is a drill file")
    yield _raw("unknown-kind", text.replace("ohmtrail: job", "ohmtrail: shopping", 1), 2, "a.job:1:", "this is a shopping file")
    yield _raw("newer", text.replace("version: 1", "version: 2", 1), 2, "a.job:2:", "version 2", "update it")
    yield _raw("version-nought", text.replace("version: 1", "version: 0", 1), 2, "a.job:1:", "and a version")
    yield _raw("version-huge", text.replace("version: 1", "version: " + "9" * 50, 1), 2, "a.job:1:", "and a version")
    yield _raw("harness-for-a-job", SOUND, 2, "a.job:1:", "not a job file")
    yield _raw("byte-order-mark", b"\xef\xbb\xbf" + JOB, 2, "a.job", "save it as UTF-8 with LF")
    yield _raw("crlf", text.replace("\n", "\r\n"), 2, "a.job", "save it as UTF-8 with LF")
    yield _raw("utf-16", text.encode("utf-16"), 2, "a.job", "save it as UTF-8 with LF")
    yield _raw("random-bytes", bytes((i * 7919) % 256 for i in range(4000)), 2, "a.job:1:", "not UTF-8")
    yield _raw("nul-alone", b"\x00" * 4096, 2, "a.job:1:", "not a job file")
    yield _raw("cut-in-the-last-record", JOB[:-20], 0, "11.9")
    yield _raw("zeros-after-the-last", JOB + b"\x00" * 4096, 0, "lamp-lights absent")
    yield _raw("lines-after-the-last", JOB + b"\n\n", 0, "lamp-lights absent")
    yield _raw("words-after-the-last", JOB + b"and then some\n", 2, "a.job:54:", "record 5", "copy it aside")
    yield _raw("cut-in-the-first-record", text[: text.index("complaint")], 2, "no beginning", "ohmtrail start")
    yield _edit("value-changed-by-hand", 'value: "11.9"', 'value: "12.9"', 2, "a.job:25:", "record 2 is damaged", "undo the change")
    yield _raw("not-utf-8", JOB.replace(b"cracked", b"cr\xffcked"), 2, "a.job:44:", "not UTF-8")
    yield _edit("sum-missing", "sum: 2", "some: 2", 2, "a.job:25:", "record 2 is damaged")
    yield _edit("number-changed", 'number: "3"', 'number: "4"', 2, "a.job:39:", "record 3 is damaged")
    first, *records = text.split("---\n")
    yield _raw("record-missing", "---\n".join((first, records[0], *records[2:])), 2, "a.job:25:", "record 2 is missing", "copy it aside")
    yield _raw("record-twice", "---\n".join((first, records[0], records[1], records[1], *records[2:])), 2, "a.job:39:", "record 3 is missing", "copy it aside")
    yield _raw("records-turned", "---\n".join((first, records[0], records[2], records[1], records[3])), 2, "a.job:25:", "record 2 is missing")
    yield _raw("start-missing", journal(("reading", READING)), 2, "no beginning", "ohmtrail start")
    yield _raw("start-twice", journal(("start", START), ("start", START)), 0, "lamp-lights absent")
    yield _raw("too-large", JOB + b"#" * 51_000_000, 2, "a.job", "over 50 MB")
    yield _raw("many-records", journal(("start", START), *[("note", {"text": f"n{i}"}) for i in range(3000)]), 0, "lamp-lights absent")


def _starts() -> Iterator[Asked]:
    for key in ("machine", "harness", "harness_sha256", "date", "year", "complaint"):
        yield _start(f"{key}-missing", 2, f"'{key.replace('_', '-')}' is missing", "not written by this program", **{key: None})
        yield _start(f"{key}-a-list", 2, f"'{key.replace('_', '-')}' is no text", **{key: ["x"]})
    for name, value in (("word", "soon"), ("huge", "9" * 5000), ("nan", "nan"), ("negative", "-5"), ("fraction", "20.5"), ("empty", "")):
        yield _start(f"year-{name}", 2, "'year' is", value[:60], "no whole number", year=value)
    for name, value in (("gone", "other.yaml"), ("folder", "."), ("device", "/dev/zero"), ("itself", "a.job"), ("nul", "a\0b"), ("long", "x" * 5000), ("empty", "")):
        yield _start(f"harness-{name}", 2, "the harness file", "accept-changed" if name == "itself" else "put ", harness=value)
    yield _start("sum-of-another-harness", 2, "bike.yaml", "--accept-changed", harness_sha256="0" * 64)
    yield _start("meter-bare", 0, meter="handheld")
    for name, meter in (
        ("word", {"input_ohm": "much"}), ("nan", {"input_ohm": "nan"}), ("negative", {"input_ohm": "-1"}), ("nought", {"input_ohm": "0"}), ("infinite", {"input_ohm": "inf"}),
        ("list", {"name": ["a"]}), ("top-nought", {"top_ohm": "0"}), ("unknown", {"colour": "red"}),
    ):  # fmt: skip
        yield _start(f"meter-of-{name}", 0 if name == "unknown" else 2, *(() if name == "unknown" else (f"'{next(iter(meter))}' is",)), meter=meter)
    yield _start("seen-a-word", 2, "'seen'", seen="lamp-lights fails")
    yield _start("seen-of-words", 2, "'seen'", seen=["lamp-lights fails"])
    yield _start("seen-nothing", 0, seen=[])
    yield _start("seen-unknown-function", 2, "no function 'horn'", "lamp-lights", seen=[{"function": "horn", "seen": "fails"}])
    yield _start("seen-somehow", 2, "'perhaps'", seen=[{"function": "lamp-lights", "seen": "perhaps"}])
    yield _raw("harness-changed", JOB, 2, "bike.yaml", "has changed since", "--accept-changed", base=SOUND + "# more\n")
    yield _raw("harness-broken", JOB, 2, "bike.yaml", "has changed since", "--accept-changed", base="harness: [\n")


def _readings() -> Iterator[Asked]:
    for key in ("quantity", "red", "black", "value"):
        yield _reading(f"{key}-missing", 2, f"'{key}' is missing", **{key: None})
        yield _reading(f"{key}-a-list", 2, f"'{key}' is no text", **{key: ["x"]})
        yield _reading(f"{key}-empty", 2, **{key: ""})
    for name, value in (("nan", "nan"), ("word", "much"), ("infinite", "inf"), ("negative-infinite", "-inf"), ("huge", "1e400"), ("hex", "0x10"), ("long", "9" * 100_000)):
        yield _reading(f"value-{name}", 2, "'volts' is", value[:50], "cannot be", value=value)
    yield _reading("value-flickers", 0, value="flickers")
    yield _reading("quantity-unknown", 2, "'furlongs'", quantity="furlongs")
    yield _reading("red-unknown", 2, "'lump.1'", "did you mean 'lamp.1'", red="lump.1")
    yield _reading("red-path", 2, "../../etc/passwd", red="../../etc/passwd")
    yield _reading("both-alike", 0, red="frame", black="frame")
    yield _reading("ohms-negative", 2, "'ohms' is '-5'", quantity="ohms", value="-5", **{"with": {"battery": "off"}})
    yield _reading("amps-of-a-terminal", 2, "no lead 'lamp.1'", quantity="amps")
    yield _reading("beep-of-three", 2, "'beep' is '3'", quantity="beep", value="3")
    for name, setting, *says in (
        ("word", "key on", "'with' is no setting"),
        ("list", ["key"], "'with' is no setting"),
        ("unknown-switch", {"positions": {"ley": "on"}}, "no switch 'ley'", "did you mean 'key'"),
        ("unknown-position", {"positions": {"key": "sideways"}}, "no position 'sideways'", "off, on"),
        ("positions-a-list", {"positions": ["key"]}, "'positions'"),
        ("position-a-list", {"positions": {"key": ["on"]}}, "'key' is no text"),
        ("unknown-key", {"colour": "red"}, "'with'", "battery, engine"),
        ("parted-unknown", {"parted": ["nothing"]}, "no connector 'nothing'"),
        ("parted-a-word", {"parted": "key"}, "'parted' is no list of names"),
        ("lifted-unknown", {"lifted": ["nothing.from"]}, "no lead end 'nothing.from'"),
        ("out-unknown", {"out": ["nothing"]}, "no fuse or lamp 'nothing'", "fuse, lamp"),
        ("battery-maybe", {"battery": "maybe"}, "'battery' is 'maybe'"),
        ("engine-flying", {"engine": "flying"}, "no engine state 'flying'", "cranking"),
        ("moved-nowhere", {"moved": "moon"}, "no place 'moon'"),
    ):
        yield _reading(f"with-{name}", 2, *says, **{"with": setting})
    yield _record("reading-of-nothing", "reading", {}, 2, "is missing")
    yield _record("looked-nowhere", "reading", {"looked": "nothing", "shows": "damaged"}, 2, "no lead or part 'nothing'", "feed-1")
    yield _record("looked-somehow", "reading", {"looked": "live", "shows": "odd"}, 2, "'odd'")
    yield _record("seen-somehow", "reading", {"function": "lamp-lights", "seen": "odd"}, 2, "'odd'")


def _others() -> Iterator[Asked]:
    yield _record("unknown-record", "prophecy", {"text": "x"}, 2, "'prophecy'", "newer Ohmtrail")
    for name, number in (("nought", "0"), ("negative", "-1"), ("beyond", "99"), ("word", "two"), ("huge", "9" * 5000), ("fraction", "1.5"), ("other-digits", "\u0662")):
        yield _record(f"strike-{name}", "strike", {"number": number, "why": ""}, 2, f"no reading {number}" if number in ("0", "99") else number[:50])
    yield _record("strike-missing", "strike", {}, 2, "is missing")
    yield _record("mend-unknown", "mend", {"mend": "renew nothing", "said": ""}, 2, "no mend 'renew nothing'")
    yield _record("mend-missing", "mend", {}, 2, "is missing")
    yield _record("mend-path", "mend", {"mend": "../../etc/passwd"}, 2, "../../etc/passwd")
    yield _record("note-missing", "note", {}, 2, "is missing")
    yield _record("note-a-list", "note", {"text": ["a"]}, 2, "'text' is no text")
    yield _record("note-with-an-escape-sequence", "note", {"text": "\x1b[2J"}, 0)
    yield _record("place-missing", "place", {}, 2, "is missing")
    yield _record("place-unknown", "place", {"place": "moon", "state": "unreachable"}, 0)
    yield _record("place-somehow", "place", {"place": "deck", "state": "odd"}, 0)
    yield _record("skip-unknown-kind", "skip", {"kind": "dance"}, 2, "'dance'")
    yield _record("skip-missing", "skip", {}, 2, "is missing")
    yield _record("skip-mend-unknown", "skip", {"kind": "mend", "mend": "renew nothing"}, 2, "renew nothing")
    yield _record("skip-quantity-unknown", "skip", {"kind": "measure", "quantity": "furlongs", "red": "lamp.1", "black": "frame"}, 2, "'furlongs'")
    yield _record("skip-red-unknown", "skip", {"kind": "measure", "quantity": "volts", "red": "lump.1", "black": "frame"}, 0)
    yield _record("wanted-never-skipped", "wanted", {"kind": "watch", "function": "lamp-lights"}, 0)
    yield _record("proposal-unknown-kind", "proposal", {"kind": "dance"}, 2, "'dance'")
    yield _record("proposal-red-unknown", "proposal", {"kind": "measure", "quantity": "volts", "red": "lump.1", "black": "frame"}, 0)
    yield _record("proposal-function-unknown", "proposal", {"kind": "watch", "function": "horn"}, 0)
    yield _record("proposal-element-unknown", "proposal", {"kind": "look", "element": "nothing"}, 0)
    yield _record("proposal-mend-unknown", "proposal", {"kind": "mend", "mend": "renew nothing"}, 0)
    yield _record("harness-record-missing", "harness", {}, 2, "is missing")
    yield _record("harness-a-list", "harness", {"harness-sha256": ["x"]}, 2, "is no text")


def _adding() -> Iterator[Asked]:
    """A file that cannot be read is not written to either."""
    text = JOB.decode()
    yield _raw("add-to-damaged", text.replace("11.9", "12.9", 1), 2, "a.job:25:", "record 2", words=READ)
    yield _raw("add-to-newer", text.replace("version: 1", "version: 2", 1), 2, "a.job:2:", "update it", words=READ)
    yield _raw("add-to-empty", "", 2, "a.job: empty", words=READ)
    yield _raw("add-to-binary", b"\x00\xff" * 100, 2, "a.job:1:", "not UTF-8", words=READ)
    yield _raw("add-after-a-record-of-a-newer", journal(("start", START), ("prophecy", {"text": "x"})), 2, "a.job:25:", "prophecy", "newer Ohmtrail", words=READ)
    yield _raw("add-with-harness-gone", journal(("start", changed(START, harness="other.yaml"))), 2, "other.yaml", "put it back", words=READ)
    yield _raw("strike-asked-beyond", JOB, 2, "no reading 99", "1 to 2", words=("strike", "a.job", "99"))
    yield _raw("mend-nothing", JOB, 2, "renew nothing", "did you mean", words=("mend", "a.job", "renew nothing"))
    for name, line, status, says in (
        ("control", "note a\x1b[2Jb\x00", 0, "a[2Jb"),
        ("surrogate", "note \ud800", 2, "half a character"),
        ("empty", "", 2, "no reading was given"),
        ("long", "note " + "x" * 5000, 2, "at most 300 characters; this has 5005"),
        ("yaml", "note --- sum: 5 00000000", 0, "--- sum: 5"),
    ):
        yield Asked(f"read-{name}", {"a.job": JOB, "bike.yaml": SOUND.encode()}, ("read", "a.job", line), status, (says,), makes=("a.job",))


JOB_CASES: tuple[Asked, ...] = (*_text(), *_starts(), *_readings(), *_others(), *_adding())
