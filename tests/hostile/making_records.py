"""What the fuzzers feed to the other readers: records, lead lists and job files with damage done to them."""

from __future__ import annotations

from hypothesis import strategies as st
from tests.hostile.csv_cases import LIST
from tests.hostile.making import damaged
from tests.hostile.record_cases import RECORD
from tests.hostile.sealed import READING, START, journal

__all__ = ["job_data", "lead_lists", "reasons", "record_texts", "step_lines"]

#: pieces of records, and what looks like them
_PIECES = (
    "{lead: live, removed: yes, was: {colour: BN}}", "undoes: [1]", "date: 1999", "date: 2024-05", "changes:", "steps:", "- ", "{", "}", "[", "]", ": ", "&a", "*a", "!x",
    "was: {}", "renewed: {size: 1e9 mm2}", "moved: {to: fuse.1}", "added: {from: key.L, to: lamp.1}", "machine: Hazard", "over: bike.yaml", "version: 2", "yes", "no", "~",
    "\t", "\n", "  ", "'", '"', "#", "é", "\u200b", "\x1b", "\ud7ff", "0", "-1", "1e400", "nan", "live", "fuse", "lamp", "=", ",",
)  # fmt: skip
_WORDS = (
    "lead", "part", "function", "place", "loom", "machine", "live", "back", "fuse", "lamp", "deck", "lamp-lights", "Hazard", "added", "removed", "renewed", "moved", "exchanged",
    "corrected", "rerouted", "covering=pvc", "colour=", "to=lamp.2", "from=frame", "size=1 mm2", "size=nan", "rating=5 A", "kind=fuse", "{from: fuse.1, to: lamp.1}", "{", "}", "[", "=",
    ",", "'", '"', "&a", "\n", "\x00", "x" * 300, "é", "",
)  # fmt: skip


def record_texts() -> st.SearchStrategy[str]:
    """Records with damage, or any text."""
    return st.one_of(damaged(RECORD, _PIECES), damaged(RECORD, _PIECES), st.text(max_size=200))


def lead_lists() -> st.SearchStrategy[str]:
    """Lead lists with damage, or any text."""
    return st.one_of(damaged(LIST, (*_PIECES, ";", "from", "to", "\r", "sep=;\n")), st.text(max_size=200))


#: what may be said of each, beside what may not
_SAID = {
    "lead live renewed": ("covering=pvc", "covering=silicone", "colour=RD/WH", "colour=", "size=1 mm2", "length=2 m", "note=a: b # c", "note='{x'", "called=é", "x=y", "to=lamp.2"),
    "lead back rerouted": ("length=2 m", "loom=none", "note=- x"),
    "lead live moved": ("to=lamp.2", "to=fuse.1", "from=fuse.1", "from=fuse.9", "to=key.L"),
    "lead new added": ("{from: fuse.1, to: lamp.1}", "{from: fuse.1, to: lamp.1, note: '#'}", "{from: fuse.1}", "from=fuse.1", "to=lamp.1"),
    "lead strap removed": ("", "x=y"),
    "part lamp exchanged": ("{kind: lamp, at: deck, watts: 10 W, volts: 12 V}", "{kind: fuse, at: deck, rating: 5 A}", "{kind: lamp}"),
    "part fuse corrected": ("rating=5 A", "rating=", "note=12", "called=on", "at=moon"),
    "part new added": ("{kind: splice, at: deck}", "{kind: splice, at: moon}"),
    "place deck corrected": ("reach=2 min", "how=lift: it", "called=no", "hot=yes", "hot=perhaps"),
    "machine it corrected": ("made=1976", "note=1.10", "harness=Other", "supply={nominal: 6 V}"),
}  # fmt: skip


def step_lines() -> st.SearchStrategy[str]:
    """Steps that may be, words of steps in any order, or any text."""
    likely = st.sampled_from(sorted(_SAID)).flatmap(lambda what: st.lists(st.sampled_from(_SAID[what]), min_size=1, max_size=2).map(lambda said: f"{what} {', '.join(said)}"))
    return st.one_of(likely, likely, st.lists(st.sampled_from(_WORDS), max_size=8).map(" ".join), st.text(max_size=60))


def reasons() -> st.SearchStrategy[str]:
    """Why something was done: words, signs of YAML, any text."""
    return st.one_of(st.sampled_from(("worn", "a: b", "# c", "'", '"x', "- y", "{", "&a", "no", "1.10", "2024-01-01", "é\u0301", "x" * 500)), st.text(max_size=60))


#: any content that a record can have
_LEAF = st.one_of(
    st.sampled_from(("on", "off", "0", "-1", "1", "2", "nan", "inf", "OL", "11.9", "lamp.1", "frame", "live", "key", "deck", "volts", "ohms", "fails")),
    st.text(st.characters(codec="utf-8"), max_size=8),
)
_INNER = st.sampled_from(("with", "positions", "key", "parted", "lifted", "out", "battery", "engine", "moved"))
_FLAT = st.one_of(_LEAF, st.lists(_LEAF, max_size=3), st.dictionaries(_INNER, _LEAF, max_size=3))
_VALUES = st.one_of(_LEAF, _LEAF, st.lists(_FLAT, max_size=3), st.dictionaries(_INNER, _FLAT, max_size=3))
_KEYS = tuple(dict.fromkeys((*START, *READING, "function", "seen", "looked", "shows", "number", "why", "mend", "text", "place", "state", "kind", "element", "survey", "harness-sha256")))
_KINDS = ("start", "reading", "mend", "strike", "proposal", "skip", "wanted", "place", "note", "harness", "prophecy")


@st.composite
def job_data(draw: st.DrawFn) -> bytes:
    """A job whose sums are right and whose records say anything."""
    records = [("start", {**START, **draw(st.dictionaries(st.sampled_from(("year", "date", "meter", "seen", "survey", "complaint")), _VALUES, max_size=2))})]
    for _ in range(draw(st.integers(1, 3))):
        said = {**READING, **draw(st.dictionaries(st.sampled_from(_KEYS), _VALUES, max_size=4))}
        for key in draw(st.lists(st.sampled_from(sorted(said)), max_size=2, unique=True)):
            del said[key]
        records.append((draw(st.sampled_from(_KINDS)), said))
    return journal(*records)
