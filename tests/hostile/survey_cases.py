"""Hostile surveys and results off their form, one hazard each, with what must be answered."""

from __future__ import annotations

from collections.abc import Iterator

from tests.hostile.asked import Asked
from tests.hostile.harness_cases import SOUND
from tests.hostile.sealed import START, Data, changed, journal

__all__ = ["SHOW", "SURVEY_CASES"]

SHOW = ("survey", "s.job")
FUSE: Data = {
    "stage": "1", "minutes": "1.40", "kind": "measure", "quantity": "ohms", "red": "fuse.1", "black": "fuse.2", "with": {"battery": "off"},
    "sound": "0.313", "low": "0.0", "high": "0.916", "opens": ["deck"],
}  # fmt: skip
LIT: Data = {"stage": "4", "minutes": "1.00", "kind": "watch", "function": "lamp-lights", "with": {"positions": {"key": "on"}}}


def _start(survey: object) -> Data:
    return changed(START, complaint="", seen=[], survey=survey)


def _job(*rows: object) -> bytes:
    return journal(("start", _start({"readings": list(rows)})))


def _raw(name: str, data: bytes, status: int, *says: str, words: tuple[str, ...] = SHOW, makes: tuple[str, ...] = ()) -> Asked:
    return Asked(name, {"s.job": data, "bike.yaml": SOUND.encode()}, words, status, says, makes=makes)


def _plans() -> Iterator[Asked]:
    yield _raw("sound", _job(FUSE, LIT), 0, "fuse.1 to fuse.2")
    for name, survey in (("a-word", "all of it"), ("a-list", ["x"]), ("readings-a-word", {"readings": "all"}), ("readings-of-words", {"readings": ["one"]}), ("readings-of-lists", {"readings": [["x"]]})):
        yield _raw(f"plan-{name}", journal(("start", _start(survey))), 2, "s.job:5: record 1: ", "not written by this program")
    yield _raw("plan-empty", _job(), 2, "did not begin with a survey", "plan one from the harness file")
    for key in ("stage", "minutes", "kind", "quantity", "red", "black"):
        yield _raw(f"{key}-missing", _job(changed(FUSE, **{key: None})), 2, "s.job:5: record 1: ", f"'{key}' is missing")
        yield _raw(f"{key}-a-list", _job(changed(FUSE, **{key: ["x"]})), 2, "s.job:5: record 1: ", f"'{key}' is no text")
    for key, values in {
        "stage": ("0", "9", "-1", "one", "1.5", "9" * 5000),
        "minutes": ("long", "nan", "inf", "-1"),
        "sound": ("nan", "much", "-inf"),
        "low": ("nan", "little"),
        "high": ("nan", "lots"),
        "kind": ("dance", ""),
        "quantity": ("furlongs", ""),
    }.items():
        for value in values:
            yield _raw(f"{key}-{value[:6] or 'empty'}", _job(changed(FUSE, **{key: value})), 2, "s.job:5: record 1: ", value[:50])
    yield _raw("kind-mend", _job({**FUSE, "kind": "mend", "mend": "renew live"}), 2, "s.job:5: record 1: ", "renew live")
    yield _raw("low-missing", _job(changed(FUSE, low=None)), 2, "s.job:5: record 1: ", "'low' is missing")
    yield _raw("high-over-range", _job(changed(FUSE, sound="inf", high="inf")), 0, "fuse.1 to fuse.2")
    yield _raw("band-turned", _job(changed(FUSE, low="5", high="1")), 2, "s.job:5: record 1: ", "'low' is 5", "above 'high'")
    yield _raw("opens-a-word", _job(changed(FUSE, opens="deck")), 2, "'opens' is no list of names")
    yield _raw("opens-nowhere", _job(changed(FUSE, opens=["moon"])), 0, "fuse.1 to fuse.2")
    yield _raw("setting-a-word", _job(changed(FUSE, **{"with": "battery off"})), 2, "'with' is no setting")
    # what the machine no longer has a place for is left out, and the numbers stay
    yield _raw("terminal-gone", _job(changed(FUSE, red="lump.1"), FUSE), 0, " 2 ")
    yield _raw("function-gone", _job({**LIT, "function": "horn"}, FUSE), 0, " 2 ")
    yield _raw("place-gone", _job(changed(FUSE, **{"with": {"battery": "off", "moved": "moon"}}), FUSE), 0, " 2 ")
    yield _raw("thousand-readings", _job(*[FUSE] * 1000), 0)


def _results() -> Iterator[Asked]:
    """Lines as they are copied off the form."""
    for name, line, says in (
        ("number-beyond", "99: 5", ("99 is no reading of this survey", "1 to 2")),
        ("number-nought", "0: 5", ("0 is no reading of this survey", "1 to 2")),
        ("number-negative", "-1: 5", ("does not say what was read",)),
        ("number-huge", "9" * 400 + ": 5", ("300 characters",)),
        ("number-word", "one: 5", ("does not say what was read",)),
        ("value-missing", "1:", ("1 wants its value", "1: 3.2")),
        ("value-blank", "1:   ", ("1 wants its value", "1: 3.2")),
        ("value-word", "1: much", ("much",)),
        ("value-nan", "1: nan", ("nan",)),
        ("value-infinite", "1: inf", ("inf",)),
        ("value-huge", "1: 1e400", ("1e400",)),
        ("value-negative", "1: -5", ("-5 is less than no resistance",)),
        ("value-of-another-unit", "1: 5 V", ("'5 V' is not a quantity in ohm",)),
        ("value-two", "1: 5 6", ("5 6",)),
        ("value-control", "1: 5\x1b[2J", ()),
        ("value-markup", "1: <b>5</b>", ("<b>5</b>",)),
        ("value-shell", "1: $(id)", ("$(id)",)),
        ("works-for-ohms", "1: works", ("'works' is no figure",)),
        ("figure-for-a-function", "2: 5", ("say how lamp-lights does", "absent")),
        ("setting-unknown", "1: 5 with ley on", ("ley",)),
        ("second-line-wrong", "1: 0.3\n99: 5", ("99",)),
        ("survey-within-a-survey", "1: 2: 5", ("2",)),
    ):
        yield _raw(f"result-{name}", _job(FUSE, LIT), 2, *says, words=("read", "s.job", line))
    yield _raw("result-full-width-digits", _job(FUSE, LIT), 0, words=("read", "s.job", "1: \uff10.3"), makes=("s.job",))
    yield _raw("result-of-a-job", journal(("start", START)), 2, words=("read", "s.job", "1: 5"))


def _planning() -> Iterator[Asked]:
    """Planning a survey, and the form to fill in."""
    sound = _job(FUSE)
    for name, words, status, says in (
        ("out-is-there", ("-o", "s.job"), 2, ("'s.job' is there already", "another name")),
        ("out-is-the-harness", ("-o", "bike.yaml"), 2, ("'bike.yaml' is there already", "another name")),
        ("form-is-the-harness", ("--form", "bike.yaml"), 2, ("bike.yaml",)),
        ("form-of-another-kind", ("--form", "form.txt"), 2, ("form.txt", ".html")),
        ("form-in-no-folder", ("--form", "none/form.html"), 74, ("none/form.html",)),
        ("minutes-nan", ("--minutes", "nan"), 2, ("--minutes", "'nan'", "no number")),
        ("minutes-negative", ("--minutes", "-5"), 2, ("--minutes", "'-5'", "write 1 or more")),
        ("minutes-word", ("--minutes", "soon"), 2, ("--minutes", "'soon'", "no number")),
        ("minutes-infinite", ("--minutes", "inf"), 0, ("readings",)),
    ):
        yield _raw(f"plan-{name}", sound, status, *says, words=("survey", "bike.yaml", *words))


SURVEY_CASES: tuple[Asked, ...] = (*_plans(), *_results(), *_planning())
