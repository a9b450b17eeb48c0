"""Begin a job file and read it back."""

from __future__ import annotations

import contextlib
import functools
import hashlib
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, replace
from datetime import datetime
from pathlib import Path

from ohmtrail import journal, storage
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Seen
from ohmtrail.errors import JobError
from ohmtrail.harness import Harness, load_harness
from ohmtrail.harness.text import MAX_BYTES
from ohmtrail.job.records import KIND, VERSION, Start, evidence_data
from ohmtrail.job.replay import Replay
from ohmtrail.job.state import JobState
from ohmtrail.job.surveyed import survey_data
from ohmtrail.job.texts import Data, amount, whole, word
from ohmtrail.journal import Entry, Value
from ohmtrail.survey import Survey

#: perfect leads, and no test lamp
_MAY_BE_NOUGHT = ("lead_ohm", "lead_spread_ohm", "test_lamp_w")

__all__ = ["begin", "fingerprint", "harness_name", "read_job"]


def fingerprint(path: str) -> str:
    """Give the SHA-256 of a harness file.

    Parameters
    ----------
    path : str
        The file.

    Returns
    -------
    str
        Hexadecimal.

    Raises
    ------
    JobError
        It cannot be read, or can be no harness file.
    """
    try:
        if odd := storage.oddity(path):
            raise JobError(f"the harness file {path!r} is {odd}: put the file back there, or begin anew with 'ohmtrail start'")
        if os.stat(path).st_size > MAX_BYTES:
            raise JobError(f"the harness file {path!r} is larger than {MAX_BYTES // 1_000_000} MB, the most that is read")
        return hashlib.sha256(Path(path).read_bytes()).hexdigest()
    except OSError as error:
        raise JobError(f"the harness file {path!r} cannot be read: {error.strerror or error}") from None


def harness_name(job: str, harness: str) -> str:
    """Give the path of a harness as a job file keeps it: from the job's folder where that can be said.

    Parameters
    ----------
    job, harness : str
        The two files.

    Returns
    -------
    str
        With ``/`` between folders.
    """
    folder = os.path.dirname(os.path.abspath(job))
    try:
        return Path(os.path.relpath(os.path.abspath(harness), folder)).as_posix()
    except ValueError:  # another drive
        return Path(os.path.abspath(harness)).as_posix()


def begin(
    path: str, *, harness_path: str, machine: str, complaint: str, seen: Sequence[Seen], meter: Meter, year: int, now: datetime,
    survey: Survey | None = None,
) -> None:
    """Begin a job file; it is there whole, with its complaint, or not at all.

    Parameters
    ----------
    path : str
        The job file to make.
    harness_path : str
        The harness file.
    machine : str
        The harness's name.
    complaint : str
        What the customer says, as typed.
    seen : sequence of Seen
        The same as evidence.
    meter : Meter
        What readings are taken with.
    year : int
        The year that ages are counted to.
    now : datetime
        With its zone.
    survey : Survey, optional
        The readings that are planned, where it begins with a survey.

    Raises
    ------
    JobError
        Something has that name already.
    StorageError
        It cannot be written.
    """
    data: dict[str, object] = {
        "machine": machine,
        "harness": harness_name(path, harness_path),
        "harness-sha256": fingerprint(harness_path),
        "date": now.date().isoformat(),
        "year": str(year),
        "meter": _meter_data(meter),
        "complaint": complaint,
        "seen": [evidence_data(item) for item in seen],
        **({"survey": survey_data(survey)} if survey is not None else {}),
    }
    journal.create(path, kind=KIND, version=VERSION)
    try:
        journal.append(path, kind=KIND, version=VERSION, record="start", data=data, now=now, expect=0)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(path)
        raise


def _meter_data(meter: Meter) -> dict[str, str]:
    """What a meter has that an ordinary one has not."""
    usual = Meter()
    named = ((item.name, getattr(meter, item.name), getattr(usual, item.name)) for item in fields(Meter))
    made = {name: str(value) for name, value, other in named if value != other}
    return {"name": meter.name} | made


def _meter_of(data: Value | None) -> Meter:
    if not isinstance(data, Mapping):
        return Meter()
    found: dict[str, object] = {}
    for item in fields(Meter):
        if item.name in data:
            text, usual = word(data, item.name), getattr(Meter(), item.name)
            found[item.name] = text == "True" if isinstance(usual, bool) else text if isinstance(usual, str) else _tool(item.name, text)
    return replace(Meter(), **found)  # type: ignore[arg-type]  # names and types are the fields' own


def _tool(name: str, text: str) -> float:
    """An amount of a meter; only what may be absent may be nought."""
    return amount(text, name, least=0.0) if name in _MAY_BE_NOUGHT else amount(text, name, above=0.0)


def read_job(path: str, *, accept_changed: bool = False) -> JobState:
    """Read a job file and its harness, and say how things stand.

    Parameters
    ----------
    path : str
        The job file.
    accept_changed : bool
        Go on although the harness file is not what it was.

    Returns
    -------
    JobState
        With ``start.sha256`` as the harness file is now.

    Raises
    ------
    JobError
        No job file, damaged, or its harness is gone or changed.
    HarnessError
        The harness file has mistakes.
    """
    entries = journal.load(path, kind=KIND, version=VERSION)
    if not entries or entries[0].kind != "start":
        raise JobError(f"{path!r} has no beginning: begin the job anew with 'ohmtrail start'")
    start = _start(path, entries)
    harness_path, harness, digest = _harness(path, start, accept_changed)
    state = Replay(harness, replace(start, sha256=digest)).run(path, harness_path, entries)
    return replace(state, changed=digest != start.sha256)


@contextlib.contextmanager
def _placed(path: str, entry: Entry) -> Iterator[None]:
    """Whatever is wrong with a record is told with its place."""
    try:
        yield
    except JobError as error:
        raise JobError(f"{path}:{entry.line}: record {entry.number}: {error}") from None


def _start(path: str, entries: Sequence[Entry]) -> Start:
    """The first record, with the last harness that was accepted."""
    with _placed(path, entries[0]):
        start = _start_of(entries[0].data)
    for entry in entries:
        if entry.kind == "harness":
            with _placed(path, entry):
                start = replace(start, sha256=word(entry.data, "harness-sha256"))
    return start


def _start_of(data: Data) -> Start:
    return Start(
        harness=word(data, "harness"),
        sha256=word(data, "harness-sha256"),
        machine=word(data, "machine"),
        meter=_meter_of(data.get("meter")),
        date=word(data, "date"),
        year=whole(data, "year"),
        complaint=word(data, "complaint"),
    )


def _harness(job: str, start: Start, accept_changed: bool) -> tuple[str, Harness, str]:
    folder = os.path.dirname(job)
    path = os.path.normpath(os.path.join(folder, start.harness))
    if not os.path.exists(path):
        raise JobError(
            f"the harness file {path!r} of this job is gone: put it back there, or begin anew with 'ohmtrail start'"
        )
    digest = fingerprint(path)
    if digest != start.sha256 and not accept_changed:
        raise JobError(
            f"the harness file {path!r} has changed since this job began on {start.date}: "
            "go on with it as it is now by '--accept-changed', or begin anew with 'ohmtrail start'"
        )
    return path, _parsed(path, digest), digest


@functools.lru_cache(maxsize=8)
def _parsed(path: str, digest: str) -> Harness:
    """The harness of a file that was read before, while its bytes are the same."""
    del digest
    return load_harness(path)
