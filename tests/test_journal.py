"""The journal keeps what it was given, shows damage, and cuts only what was never finished."""

from __future__ import annotations

import errno
import os
import threading
import zlib
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmtrail import journal
from ohmtrail.errors import Bug, BusyError, InputError, JobError, StorageError
from ohmtrail.journal import sealing, yamltext
from ohmtrail.storage import locks

NOW = datetime(2031, 5, 4, 9, 12, 30, 999, tzinfo=UTC)

NASTY = (
    "", " ", "on", "OFF", "y", "No", "null", "~", "1.10", "010", "0x1f", "12E4", "1_000", "31:15", "2031-05-04",
    "2031-05-04 10:00:00 Z", ".inf", "NaN", "=", "<<", "-", "- a", "---", "...", "--- a", "a: b", "a:", ":a",
    "a #b", "#b", "?", "? a", "&a", "*a", "!a", "|", ">", "%YAML", "@a", "`a", "[", "]", "{a}", "'", '"', "'a'",
    '"a"', "a\\nb", "a\nb", "a\nb\n", "a\n\nb", "\na", "a\n", "a\n\n", "a \nb", " a\nb", "a\n  b", "---\nsum: 1 0",
    "x\nsum: 1 00000000\n---\nx", "a\tb", "\ta", "a\r\nb", "\r", "\0", "\x1b[31m", "\x7f", "\x85", "\u2028", "a\u2029b",
    "\ufeff", "\ufffe", "\uffff", "\u202e", "\xa0", "Ω", "4.7 kΩ ± 10 %", "0.4 Ω", "µA", "é", "e\u0301", "漢字", "🔧",
    "\U000e0001", "a" * 5000, "OL", "sum: 1 00000000", "true", "Infinity", "1e5", "1 e5", "a ", "12 V: x",
)  # fmt: skip
TEXT = st.one_of(
    st.sampled_from(NASTY),
    st.text(st.characters(codec="utf-8"), max_size=40),
    st.text("ab-:#\n \t'\"0.1Ω", max_size=12),
)
NAME = st.one_of(
    st.sampled_from([item for item in NASTY if len(item) <= 100]), TEXT.map(lambda text: text[:40])
)
VALUE = st.recursive(
    TEXT,
    lambda inner: st.one_of(st.lists(inner, max_size=4).map(tuple), st.dictionaries(NAME, inner, max_size=4)),
    max_leaves=12,
)


def plain(value: object) -> object:
    """Turn a frozen value into ordinary dicts and tuples."""
    if isinstance(value, Mapping):
        return {name: plain(item) for name, item in value.items()}
    return tuple(map(plain, value)) if isinstance(value, tuple) else value


def listed(value: object) -> object:
    """Turn a value into ordinary dicts and lists."""
    if isinstance(value, Mapping):
        return {name: listed(item) for name, item in value.items()}
    return list(map(listed, value)) if isinstance(value, tuple) else value


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """An empty job in a folder of its own."""
    path = tmp_path / "bench" / "bike.job"
    path.parent.mkdir()
    journal.create(path, kind="job", version=1)
    return path


def add(path: Path, value: str = "0.4 Ω", **more: object) -> journal.Entry:
    """Add one reading."""
    data = {"value": value, "at": ["plug.3a", "frame"], "setting": {"key": "on"}}
    return journal.append(
        path,
        kind="job",
        version=1,
        record="reading",
        data=data,
        now=NOW,
        **more,  # type: ignore[arg-type]
    )


def load(path: Path) -> tuple[journal.Entry, ...]:
    """Read the job."""
    return journal.load(path, kind="job", version=1)


@settings(deadline=None)
@given(st.dictionaries(NAME, VALUE, max_size=5))
def test_every_text_comes_back_as_it_went_in(data: dict[str, yamltext.Value]) -> None:
    """Whatever text is recorded is read back letter for letter, with all of YAML's traps in it."""
    assert plain(yamltext.parse(yamltext.write({"data": data}))) == plain({"data": data})


@settings(deadline=None)
@given(st.dictionaries(NAME, VALUE, max_size=4))
def test_other_readers_agree(data: dict[str, yamltext.Value]) -> None:
    """A YAML 1.1 reader that guesses types finds the same text everywhere: nothing is left to guess."""
    assert yaml.safe_load(yamltext.write({"data": data})) == listed({"data": data})


@settings(deadline=None)
@given(st.dictionaries(NAME, VALUE, max_size=4))
def test_written_text_can_be_looked_at(data: dict[str, yamltext.Value]) -> None:
    """No character that cannot be seen reaches the file, and no line begins as the journal's own marks do."""
    lines = yamltext.write({"data": data}).split("\n")
    assert all(line.isprintable() for line in lines)
    assert not any(line.startswith(("sum:", "---", "...")) for line in lines)


@pytest.mark.parametrize("text", NASTY)
def test_nasty_text_survives_in_the_file(job: Path, text: str) -> None:
    """The same holds through the file, as a value, in a list and as a name."""
    data = {"value": text, "list": [text, [text], {"in": text}], "names": {text[:100]: text}}
    made = journal.append(job, kind="job", version=1, record="note", data=data, now=NOW, token=text)
    found = load(job)
    assert found == (made,)
    assert listed(made.data) == data


def test_words_and_quantities_stay_bare() -> None:
    """What no reader can mistake is written without quotes, several lines as a block: people read it."""
    data = {
        "value": "4.7 kΩ ± 10 %",
        "key": "on",
        "size": "1.10",
        "note": "looked rotten,\n  so cut back\n\nby 5 cm",
    }
    assert yamltext.write(data) == (
        'value: 4.7 kΩ ± 10 %\nkey: "on"\nsize: "1.10"\nnote: |-\n  looked rotten,\n    so cut back\n\n  by 5 cm\n'
    )


def test_the_file_as_it_looks(job: Path) -> None:
    """The form on disk is a promise to later versions: this very text must stay readable."""
    add(job, token="phone-7")
    made = job.read_text(encoding="utf-8")
    assert made == (
        "ohmtrail: job\nversion: 1\n"
        "# This file only grows. Each record ends with its number and a sum of its lines, which shows damage.\n"
        "# To correct a record, add another one with the program; do not change it here.\n"
        '---\nnumber: "1"\nrecord: reading\nat: "2031-05-04T09:12:30Z"\ntoken: phone-7\ndata:\n'
        '  value: 0.4 Ω\n  at:\n    - plug.3a\n    - frame\n  setting:\n    key: "on"\nsum: 1 932af8b5\n'
    )
    [entry] = load(job)
    assert (entry.number, entry.at, entry.kind, entry.line) == (1, "2031-05-04T09:12:30Z", "reading", 5)


def test_times_are_kept_in_utc(job: Path) -> None:
    """A local time is turned into UTC; a time without zone is our own mistake."""
    local = datetime(2031, 5, 4, 11, 12, 30, tzinfo=timezone(timedelta(hours=2)))
    options = {"kind": "job", "version": 1, "record": "note", "data": {}}
    assert journal.append(job, now=local, **options).at == "2031-05-04T09:12:30Z"  # type: ignore[arg-type]
    with pytest.raises(Bug, match="no zone"):
        journal.append(job, now=local.replace(tzinfo=None), **options)  # type: ignore[arg-type]


def test_lines_point_into_the_file(job: Path) -> None:
    """Each entry knows the line its record begins on, and append says the same as load."""
    made = tuple(add(job, f"{count} V") for count in range(3))
    lines = job.read_text(encoding="utf-8").splitlines()
    assert load(job) == made
    assert [lines[entry.line - 1] for entry in made] == ["---"] * 3


def test_entries_cannot_be_changed(job: Path) -> None:
    """What is read is frozen all the way down."""
    entry = add(job)
    with pytest.raises(TypeError):
        entry.data["value"] = "other"  # type: ignore[index]
    with pytest.raises(TypeError):
        entry.data["setting"]["key"] = "off"  # type: ignore[index]


def test_nothing_stays_beside_the_job(job: Path) -> None:
    """After normal use the folder holds the job and nothing else."""
    add(job)
    load(job)
    assert os.listdir(job.parent) == ["bike.job"]


# Torn and damaged files


def test_torn_tail_at_every_byte(job: Path) -> None:
    """Cut anywhere in its last record, a file gives the records before it, and takes a new one cleanly."""
    first = add(job, "first")
    sound = job.stat().st_size
    second = add(job, "zweite Ω\nüber zwei Zeilen")
    whole = job.read_bytes()
    for size in range(sound, len(whole)):
        job.write_bytes(whole[:size])
        complete = size == len(whole) - 1  # only the last line feed is missing: the sum shows all is there
        assert load(job) == ((first, second) if complete else (first,)), size
        assert job.read_bytes() == whole[:size], "reading changes nothing"
        third = add(job, "third")
        assert load(job) == ((first, second, third) if complete else (first, third)), size


def test_torn_first_record_at_every_byte(job: Path) -> None:
    """The same holds when the first record is the last one."""
    sound = job.stat().st_size
    add(job)
    whole = job.read_bytes()
    for size in range(sound, len(whole) - 1):
        job.write_bytes(whole[:size])
        assert load(job) == ()
        add(job)
        assert job.read_bytes() == whole


@pytest.mark.parametrize(
    "tail", [b"\0" * 300, b"---\nnumber: \0\0\0\0\nsum: 2 00000000\n", b"\n", b"\n \n\n"]
)
def test_zeros_after_a_power_cut_are_cut(job: Path, tail: bytes) -> None:
    """A file system may leave zeros where data did not arrive; an editor may leave empty lines."""
    first = add(job)
    job.write_bytes(job.read_bytes() + tail)
    assert load(job) == (first,)
    add(job)
    assert [entry.number for entry in load(job)] == [1, 2]


def test_heading_without_its_last_line_feed(job: Path) -> None:
    """An editor that drops the last line feed does no harm."""
    job.write_text("ohmtrail: job\nversion: 1", encoding="utf-8")
    assert load(job) == ()
    made = add(job)
    assert (made.line, load(job)) == (3, (made,))


def refused(path: Path, said: str) -> None:
    """Reading and adding stop with the sentence, and the file stays as it was."""
    before = path.read_bytes()
    for act in (load, add):
        with pytest.raises(JobError, match=said) as caught:
            act(path)
        assert "\n" not in str(caught.value)
    assert path.read_bytes() == before


def test_damage_at_any_byte_is_seen(job: Path) -> None:
    """One changed byte in any record but a torn last one stops reading, naming file, line and record."""
    for count in range(3):
        add(job, f"{count} V")
    whole = job.read_bytes()
    entries = load(job)
    starts = [whole.index(b"---\n")]
    starts.append(whole.index(b"---\n", starts[0] + 1))
    starts.append(whole.index(b"---\n", starts[1] + 1))
    for at in range(starts[0], starts[2]):
        job.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        number = 1 if at < starts[1] else 2
        with pytest.raises(JobError, match=rf"bike\.job:\d+: record {number} "):
            load(job)
    job.write_bytes(whole)
    assert load(job) == entries


def test_damage_names_line_and_record(job: Path) -> None:
    """The sentence says where, why, and what to do."""
    for count in range(3):
        add(job, f"{count} V")
    line = load(job)[1].line
    job.write_text(job.read_text(encoding="utf-8").replace("value: 1 V", "value: 9 V"), encoding="utf-8")
    refused(job, rf"bike\.job:{line}: record 2 is damaged or was changed by hand.*copy it aside")


def test_last_record_changed_by_hand_is_not_cut(job: Path) -> None:
    """A finished last record with a wrong sum is damage, not an unfinished one: it must not be lost."""
    add(job)
    job.write_text(job.read_text(encoding="utf-8").replace("0.4", "0.5"), encoding="utf-8")
    refused(job, "record 1 is damaged")


def test_words_added_by_hand_are_not_cut(job: Path) -> None:
    """What a person typed below the last record is not thrown away."""
    add(job)
    job.write_text(job.read_text(encoding="utf-8") + "customer rang\n", encoding="utf-8")
    refused(job, "record 2 is damaged or was changed by hand")


def test_missing_record_is_named(job: Path) -> None:
    """A record taken out of the middle is missed, though all sums are right."""
    for count in range(3):
        add(job, f"{count} V")
    head, one, _two, three = job.read_text(encoding="utf-8").split("---\n")
    job.write_text(f"{head}---\n{one}---\n{three}", encoding="utf-8")
    refused(job, "record 2 is missing: number 3 stands in its place")


def test_lost_sum_in_the_middle_is_damage(job: Path) -> None:
    """A record that lost its sum, with another after it, is not taken for an unfinished one."""
    add(job)
    add(job)
    text = job.read_text(encoding="utf-8")
    at = text.index("sum: 1 ")
    torn = text[: text.index("sum: 2")]
    for damaged in (text[:at] + text[at + 16 :], torn[:at] + torn[at + 16 :]):
        job.write_text(damaged, encoding="utf-8")
        refused(job, "record 1 is damaged")


def test_not_utf8(job: Path) -> None:
    """A file saved in another coding is named as that, with its line."""
    add(job, "Zündung")
    whole = job.read_text(encoding="utf-8")
    job.write_bytes(whole.encode("latin-1", "replace"))
    refused(job, r"bike\.job:10: not UTF-8 text")
    job.write_bytes(whole.encode("utf-16"))
    refused(job, "coding or line ends")
    job.write_bytes(whole.replace("\n", "\r\n").encode())
    refused(job, "coding or line ends")
    job.write_bytes(b"\x89PNG\x80 and so on")
    refused(job, "not UTF-8 text")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty, so not a job file"),
        ("harness: Skerry 9\n", r"bike\.job:1: does not begin with 'ohmtrail: job'"),
        ("ohmtrail: record\nversion: 1\n", "this is a record file, not a job file"),
        (
            "ohmtrail: job\nversion: 2\n",
            r"bike\.job:2: written by a newer Ohmtrail \(version 2, this one knows up to 1\)",
        ),
        ("ohmtrail: job\nversion: one\n", "does not begin with"),
        ("ohmtrail: job\n", "does not begin with"),
    ],
)
def test_other_files_are_refused(job: Path, text: str, said: str) -> None:
    """Another kind, a newer version or another file altogether is one sentence each."""
    job.write_text(text, encoding="utf-8")
    refused(job, said)


def test_older_version_is_read_only(job: Path) -> None:
    """An older file is read by a newer program, which does not mix its own records in."""
    made = add(job)
    assert journal.load(job, kind="job", version=2) == (made,)
    with pytest.raises(JobError, match="older version 1; it can be read but not added to"):
        journal.append(job, kind="job", version=2, record="note", data={}, now=NOW)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("record: a\nat: b\ndata: &x {}\n", "anchor"),
        ("record: a\nat: b\ndata: {k: *x}\n", "alias"),
        ("record: a\nat: b\ndata: !!python/name:os.system {}\n", "tag"),
        ("record: a\nat: b\ndata: " + "[" * 500 + "]" * 500 + "\n", "levels"),
        ("record: a\nat: b\ndata: {k: 1, k: 2}\n", "twice"),
        ("record: a\nat: b\ndata: {[k]: 1}\n", "name is not text"),
        ("record: a\nat: b\ndata: {&x k: 1}\n", "anchor"),
        ("record: a\nat: b\ndata: text\n", "data are missing"),
        ("record: a\ndata: {}\n", "kind or time is missing"),
        ("- a\n", "not a list of names"),
        ("", "not a list of names"),
        ("a: [\n", "not plain YAML"),
        ("a: b\n--- \nc: d\n", "more than one document"),
    ],
)
def test_forged_records_do_no_harm(job: Path, lines: str, said: str) -> None:
    """A record with a right sum that is none of ours is refused in a sentence, whatever it holds."""
    job.write_text(sealing.heading("job", 1) + sealing.sealed(1, lines), encoding="utf-8")
    with pytest.raises(JobError, match=rf"record 1 was not written by Ohmtrail: .*{said}"):
        load(job)


def test_forged_record_that_is_no_text(job: Path) -> None:
    """A right sum over bytes that are no text is refused too."""
    body = b"---\nrecord: \xff\n"
    job.write_bytes(sealing.heading("job", 1).encode() + body + b"sum: 1 %08x\n" % zlib.crc32(body))
    refused(job, "not UTF-8 text")


# Paths and refusals


def test_paths_that_are_no_journal(tmp_path: Path, job: Path) -> None:
    """A folder, a device, a missing file, an impossible name: one sentence each."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, said in (
        (tmp_path, "is a folder, not a job file"),
        (Path("/dev/full"), "is a device or pipe, not a job file"),
        (pipe, "is a device or pipe"),
        (job.with_name("bke.job"), "there is no job file .*did you mean 'bike.job'"),
        (tmp_path / "nowhere" / "bike.job", "there is no job file"),
        (job / "below", "cannot read"),
        (Path("a\0b"), "cannot be the name of a file"),
        (tmp_path / ("x" * 300), "cannot read"),
    ):
        for act in (load, add):
            with pytest.raises(JobError, match=said):
                act(path)


def test_too_large(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Over 50 MB is refused before it is read, and a record that would lead there is not added."""
    monkeypatch.setattr("ohmtrail.journal.book.SIZE_LIMIT_BYTES", job.stat().st_size + 100)
    before = job.read_bytes()
    with pytest.raises(JobError, match="is full"):
        add(job, "x" * 100)
    assert job.read_bytes() == before
    monkeypatch.undo()
    os.truncate(job, journal.SIZE_LIMIT_BYTES + 1)
    with pytest.raises(JobError, match="over 50 MB"):
        load(job)


def test_create_does_not_overwrite(job: Path) -> None:
    """A file that is there is left alone, and so is the folder."""
    add(job)
    before = job.read_bytes()
    with pytest.raises(JobError, match="is there already"):
        journal.create(job, kind="job", version=1)
    assert job.read_bytes() == before
    assert os.listdir(job.parent) == ["bike.job"]
    with pytest.raises(JobError, match="is there already"):
        journal.create(job.parent, kind="job", version=1)


@pytest.mark.parametrize(
    ("data", "error", "said"),
    [
        ({"a": 1}, Bug, "1 is not text"),
        ({"a": None}, Bug, "None is not text"),
        ({1: "a"}, Bug, "the name 1 is not text"),
        ({"a": "0.4 \udcb0"}, JobError, "half a character"),
        ({"\udcb0": "a"}, JobError, "half a character"),
        ({"n" * 101: "a"}, JobError, "more than 100 characters"),
    ],
)
def test_data_that_cannot_be_kept(
    job: Path, data: dict[str, object], error: type[Exception], said: str
) -> None:
    """Only text is kept; what is none is refused before the file is touched."""
    before = job.read_bytes()
    with pytest.raises(error, match=said):
        journal.append(job, kind="job", version=1, record="note", data=data, now=NOW)
    assert job.read_bytes() == before


def test_too_deep() -> None:
    """Levels are limited on the way in as on the way out."""
    deep: object = "a"
    for _ in range(25):
        deep = [deep]
    with pytest.raises(InputError, match="levels"):
        yamltext.freeze(deep)


def test_kinds_are_words(job: Path) -> None:
    """A kind that could break the heading or a record is our own mistake."""
    with pytest.raises(Bug, match="cannot name"):
        journal.create(job.with_name("b.job"), kind="job\n---", version=1)
    with pytest.raises(Bug, match="cannot name"):
        journal.append(job, kind="job", version=1, record="A b", data={}, now=NOW)


def failing(real: Callable[..., int], code: int, kept: int) -> Callable[..., int]:
    """Make a system call that takes a few bytes and then refuses."""
    taken: list[int] = []

    def call(descriptor: int, data: bytes = b"") -> int:
        if taken or not kept:
            raise OSError(code, os.strerror(code))
        taken.append(real(descriptor, bytes(data)[:kept]))
        return taken[0]

    return call


@pytest.mark.parametrize(
    ("call", "code", "kept", "said"),
    [
        ("write", errno.ENOSPC, 0, "No space left on device; make room"),
        ("write", errno.ENOSPC, 17, "No space left on device; make room"),
        ("write", errno.EIO, 60, "Input/output error"),
        ("fsync", errno.ENOSPC, 0, "No space left"),
        ("fsync", errno.EIO, 0, "Input/output error"),
    ],
)
def test_full_disk_leaves_the_job_as_it_was(
    job: Path, monkeypatch: pytest.MonkeyPatch, call: str, code: int, kept: int, said: str
) -> None:
    """A record that does not fit is taken back whole; once there is room the next one is added."""
    add(job)
    before = job.read_bytes()
    monkeypatch.setattr(os, call, failing(getattr(os, call), code, kept))
    with pytest.raises(StorageError, match=said):
        add(job)
    monkeypatch.undo()
    assert job.read_bytes() == before
    assert add(job).number == 2


def test_interrupt_takes_the_record_back(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C between writing and settling leaves no half-acknowledged record."""
    before = job.read_bytes()

    def interrupted(_descriptor: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        add(job)
    assert job.read_bytes() == before


def test_read_only_job(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A job that may only be read is read, and adding to it is refused in a sentence."""
    made = add(job)
    real = os.open

    def read_only(path: str, flags: int, mode: int = 0o777) -> int:
        if flags & os.O_RDWR:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), path)
        return real(path, flags, mode)

    monkeypatch.setattr(os, "open", read_only)
    assert load(job) == (made,)
    with pytest.raises(StorageError, match="Permission denied; the file or its folder is read-only"):
        add(job)


# Several at once


@pytest.fixture(params=["the file is the lock", "a lock file elsewhere"])
def locking(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Iterator[None]:
    """Both ways of locking."""
    if request.param == "a lock file elsewhere":
        (tmp_path / "temporary").mkdir()
        monkeypatch.setattr(locks, "LOCKS_FILES", False)
        monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "temporary"))
    yield


@pytest.mark.usefixtures("locking")
def test_busy_job_says_so(job: Path) -> None:
    """While another holds the job, adding waits for its time and then says so, with the file's name."""
    with locks.open_held(job, os.O_RDWR), pytest.raises(BusyError, match=r"bike\.job' is in use") as caught:
        add(job, timeout_s=0.05)
    assert caught.value.exit_code == 75
    assert add(job).number == 1
    assert os.listdir(job.parent) == ["bike.job"]


@pytest.mark.usefixtures("locking")
def test_threads_do_not_lose_records(job: Path) -> None:
    """Four threads of one program, as the web page has them, lose and double nothing."""
    together = threading.Barrier(4)

    def work(name: str) -> None:
        together.wait()
        for count in range(10):
            add(job, f"{name}-{count}")

    threads = [threading.Thread(target=work, args=(name,)) for name in "abcd"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    values = [str(entry.data["value"]) for entry in load(job)]
    assert sorted(values) == sorted(f"{name}-{count}" for name in "abcd" for count in range(10))
    assert [value for value in values if value[0] == "a"] == [f"a-{count}" for count in range(10)]


def test_job_exchanged_while_waiting(job: Path) -> None:
    """If the file is exchanged while a writer waits, it writes to the new one."""
    other = job.with_name("other.job")
    journal.create(other, kind="job", version=1)
    with locks.open_held(job, os.O_RDWR):
        thread = threading.Thread(target=add, args=(job,))
        thread.start()
        thread.join(0.05)
        os.replace(other, job)
    thread.join()
    assert len(load(job)) == 1


def test_expected_number_guards_against_unseen_records(job: Path) -> None:
    """Whoever adds in the belief that nothing changed is told when something did."""
    add(job, expect=0)
    with pytest.raises(BusyError, match="has 1 records where 0 were seen"):
        add(job, expect=0)
    assert add(job, expect=1).number == 2


def test_request_sent_twice_is_recorded_once(job: Path) -> None:
    """A page that resends gets the record it made, even with an outdated count."""
    first = add(job, token="a1", expect=0)
    add(job, token="a2")
    assert add(job, "other", token="a1", expect=0) == first
    assert [entry.token for entry in load(job)] == ["a1", "a2"]


def test_token_in_the_data_is_no_token(job: Path) -> None:
    """Text that looks like a token line does not pass for one."""
    data = {"note": "x\ntoken: a1\ny", "token": "a1"}
    journal.append(job, kind="job", version=1, record="note", data=data, now=NOW)
    assert add(job, token="a1").number == 2
