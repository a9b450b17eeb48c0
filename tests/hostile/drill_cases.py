"""Hostile drill files, one hazard each, with what must be answered; they are made from the first record of a sound drill."""

from __future__ import annotations

from collections.abc import Iterator

from tests.hostile.asked import Asked
from tests.hostile.harness_cases import SOUND
from tests.hostile.sealed import READING, START, Data, changed, journal

__all__ = ["GO_ON", "PLACEHOLDER", "drill_cases"]

GO_ON, SUM_UP = ("drill", "a.drill"), ("drill", "--summary", "a.drill")
#: a first record as far as it can be known without planting
PLACEHOLDER: Data = {"machine": "Hazard", "harness": "bike.yaml", "harness-sha256": START["harness-sha256"], "level": "single", "seed": "3", "draw": "0", "seal": "0" * 16, "complaint": "lamp-lights"}
END: Data = {
    "points": "50", "outcome": "given-up", "fault": "live open", "mends": "renew live", "minutes": "2.6", "best-minutes": "24.2", "readings": "1", "best-readings": "3", "vain": "0",
    "dangers": "0", "hints": "0", "nothing": "1", "stopped": "",
}  # fmt: skip


#: what is about the harness file, or about another version, and names no record
PLAIN = ("harness-gone", "harness-device", "harness-folder", "harness-itself", "harness-sum-another", "draw-beyond", "seed-another", "seal-another")


def _raw(name: str, data: bytes | str, status: int, *says: str, words: tuple[str, ...] = GO_ON) -> Asked:
    files = {"a.drill": data if isinstance(data, bytes) else data.encode(), "bike.yaml": SOUND.encode()}
    return Asked(name, files, words, status, says)


def _text(start: Data) -> Iterator[Asked]:
    whole = journal(("start", start), ("reading", READING), kind="drill")
    text = whole.decode()
    yield _raw("sound", whole, 0)
    yield _raw("empty", "", 2, "a.drill", "empty")
    yield _raw("heading-alone", text[: text.index("---")], 2, "no beginning", "ohmtrail drill HARNESS")
    yield _raw("other-kind", text.replace("ohmtrail: drill", "ohmtrail: job", 1), 2, "a job file")
    yield _raw("newer", text.replace("version: 1", "version: 7", 1), 2, "a.drill:2:", "version 7", "update it")
    yield _raw("byte-order-mark", b"\xef\xbb\xbf" + whole, 2, "save it as UTF-8 with LF")
    yield _raw("crlf", text.replace("\n", "\r\n"), 2, "save it as UTF-8 with LF")
    yield _raw("random-bytes", bytes((i * 7919) % 256 for i in range(4000)), 2, "byte 2 ", "save the file as UTF-8")
    yield _raw("cut-in-the-last-record", whole[:-20], 0)
    yield _raw("changed-by-hand", text.replace('"11.9"', '"12.9"', 1), 2, "record 2 is damaged", "undo the change")
    yield _raw("not-utf-8", whole.replace(b"Hazard", b"Haz\xffrd"), 2, "not UTF-8")


def _starts(start: Data) -> Iterator[Asked]:
    def one(name: str, says: str, **keys: object) -> Asked:
        return _raw(f"start-{name}", journal(("start", changed(start, **keys)), kind="drill"), 2, *(() if name.startswith(PLAIN) else ("a.drill:5: record 1: ",)), says)

    for key in ("level", "seed", "draw", "seal", "harness", "harness_sha256"):
        yield one(f"{key}-missing", "is missing", **{key: None})
        yield one(f"{key}-a-list", "is no text", **{key: ["x"]})
    for key in ("seed", "draw"):
        for name, value in (("word", "many"), ("negative", "-1"), ("fraction", "0.5"), ("huge", "9" * 5000), ("other-digits", "\u0663")):
            yield one(f"{key}-{name}", "no whole number", **{key: value})
    yield one("draw-beyond", "another version", draw="99999999")
    yield one("seed-another", "another version", seed="99999999")
    yield one("seal-another", "another version", seal="0123456789abcdef")
    yield one("level-unknown", "'impossible'", level="impossible")
    yield one("function-unknown", "no function 'horn'", function="horn")
    yield one("harness-gone", "put it back there", harness="other.yaml")
    yield one("harness-device", "/dev/zero", harness="/dev/zero")
    yield one("harness-folder", "folder", harness=".")
    yield one("harness-itself", "has changed", harness="a.drill")
    yield one("harness-sum-another", "has changed", harness_sha256="0" * 64)


def _records(start: Data) -> Iterator[Asked]:
    def one(name: str, record: str, data: Data, *says: str, status: int = 2) -> Asked:
        return _raw(name, journal(("start", start), (record, data), kind="drill"), status, *says)

    yield one("record-unknown", "prophecy", {}, "'prophecy'", "newer Ohmtrail")
    yield one("reading-of-nothing", "reading", {}, "record 2", "is missing")
    yield one("reading-nan", "reading", changed(READING, value="nan"), "record 2", "'nan'")
    yield one("reading-red-unknown", "reading", changed(READING, red="lump.1"), "record 2", "'lump.1'", "did you mean")
    yield one("reading-setting-a-word", "reading", changed(READING, **{"with": "on"}), "record 2", "'with'")
    yield one("set-nowhere", "set", {"with": {"positions": {"ley": "on"}}}, "record 2", "no switch 'ley'")
    yield one("set-a-word", "set", {"with": "on"}, "record 2", "'with'")
    yield one("mend-missing", "mend", {}, "record 2", "no such mend")
    yield one("mend-unknown", "mend", {"mend": "renew nothing", "tried": {"function": "lamp-lights", "seen": "works"}}, "record 2", "no such mend")
    yield one("mend-tried-a-word", "mend", {"mend": "renew live", "tried": "yes"}, "record 2", "no such mend")
    yield one("mend-tried-somehow", "mend", {"mend": "renew live", "tried": {"function": "lamp-lights", "seen": "odd"}}, "record 2", "'odd'")
    yield one("mend-tried-unknown", "mend", {"mend": "renew live", "tried": {"function": "horn", "seen": "works"}}, "record 2", "no function 'horn'")
    yield one("hint-missing", "hint", {}, "record 2", "is missing")
    yield one("danger-a-list", "danger", {"note": ["x"]}, "record 2", "is no text")
    yield one("danger-unknown", "danger", {"note": "moon"}, "record 2", "no caution 'moon'")
    for name, keys in (
        ("points-word", {"points": "many"}), ("points-missing", {"points": None}), ("points-list", {"points": ["1"]}), ("points-nan", {"points": "nan"}), ("points-huge", {"points": "9" * 5000}),
        ("outcome-unknown", {"outcome": "eaten"}), ("minutes-word", {"minutes": "long"}), ("minutes-nan", {"minutes": "nan"}), ("minutes-infinite", {"best_minutes": "inf"}), ("minutes-negative", {"minutes": "-3"}),
        ("readings-fraction", {"readings": "1.5"}), ("readings-negative", {"readings": "-1"}), ("fault-missing", {"fault": None}),
    ):  # fmt: skip
        ended = changed(END, **keys)
        key, value = next(iter(keys.items()))
        shown = key.replace("_", "-")
        yield one(f"end-{name}", "end", ended, "record 2", f"'{shown}' is", str(value)[:50] if isinstance(value, str) else "")
        yield _raw(f"summary-{name}", journal(("start", start), ("end", ended), kind="drill"), 2, "record 2", f"'{shown}' is", words=SUM_UP)
    yield _raw("summary-of-nothing", "", 2, "empty", words=SUM_UP)
    yield _raw("summary-of-a-harness", SOUND, 2, words=SUM_UP)
    yield _raw("summary-machine-a-list", journal(("start", changed(start, machine=["x"])), ("end", END), kind="drill"), 2, "record 1", "'machine' is no text", words=SUM_UP)


def drill_cases(start: Data) -> tuple[Asked, ...]:
    """All cases, from the first record of a drill on the sound harness."""
    return (*_text(start), *_starts(start), *_records(start))
