"""Begin a job file and read it back."""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import datetime
from functools import cached_property
from pathlib import Path

from ohmtrail import journal
from ohmtrail.circuit import Network, Setting
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Bench, Evidence, Mended, Seen, Step
from ohmtrail.errors import JobError, OhmtrailError
from ohmtrail.faults import Mend, faults_of
from ohmtrail.harness import Harness, load_harness
from ohmtrail.job.fitting import check_fits
from ohmtrail.job.records import KIND, VERSION, Data, Start, evidence_data, evidence_of, step_of, word
from ohmtrail.job.state import Event, JobState, after, step_for
from ohmtrail.journal import Entry, Value

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
        It cannot be read.
    """
    try:
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
    path: str, *, harness_path: str, machine: str, complaint: str, seen: Sequence[Seen], meter: Meter, year: int, now: datetime
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
            found[item.name] = text == "True" if isinstance(usual, bool) else type(usual)(text)
    return replace(Meter(), **found)  # type: ignore[arg-type]  # names and types are the fields' own


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
    start = _start(entries)
    harness_path, harness, digest = _harness(path, start, accept_changed)
    state = _Replay(harness, replace(start, sha256=digest)).run(path, harness_path, entries)
    return replace(state, changed=digest != start.sha256)


def _start(entries: Sequence[Entry]) -> Start:
    """The first record, with the last harness that was accepted."""
    data: Data = entries[0].data
    changed = [item.data for item in entries if item.kind == "harness"]
    return Start(
        harness=word(data, "harness"),
        sha256=word(changed[-1] if changed else data, "harness-sha256"),
        machine=word(data, "machine"),
        meter=_meter_of(data.get("meter")),
        date=word(data, "date"),
        year=int(word(data, "year")),
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
    return path, load_harness(path), digest


@dataclass
class _Replay:
    """Records taken one by one."""

    harness: Harness
    start: Start
    events: list[Event] = field(default_factory=list)
    bench: Bench = field(default_factory=lambda: Bench(Setting()))
    proposed: Data | None = None
    notes: list[str] = field(default_factory=list)

    def run(self, path: str, harness_path: str, entries: Sequence[Entry]) -> JobState:
        """Take all records."""
        takers: dict[str, Callable[[Entry], None]] = {
            "start": self._begin,
            "reading": self._reading,
            "mend": self._mend,
            "strike": self._strike,
            "proposal": self._proposal,
            "skip": self._skip,
            "place": self._place,
            "note": self._note,
            "harness": lambda entry: None,
        }
        for entry in entries:
            if entry.kind not in takers:
                raise JobError(f"{path}:{entry.line}: a newer Ohmtrail wrote the record {entry.kind!r}; use that one")
            try:
                takers[entry.kind](entry)
            except (OhmtrailError, ValueError) as error:
                raise JobError(f"{path}:{entry.line}: record {entry.number}: {error}") from None
        proposed = None if self.proposed is None else step_of(self.proposed, self._mend_of)
        return JobState(
            path, self.start, harness_path, self.harness, tuple(self.events), self.bench, proposed, tuple(self.notes), len(entries)
        )

    @property
    def _mend_of(self) -> Callable[[str], Mend]:
        mends = self._mends

        def find(name: str) -> Mend:
            if name not in mends:
                raise JobError(f"this machine has no mend {name!r}; its harness was changed")
            return mends[name]

        return find

    @cached_property
    def _mends(self) -> Mapping[str, Mend]:
        """Every mend of the machine by its id."""
        return {fault.mend.id: fault.mend for fault in faults_of(Network.of(self.harness), year=self.start.year)}

    def _do(self, entry: Entry, what: Evidence | Mended, said: str, *, complaint: bool = False) -> None:
        check_fits(self.harness, what)
        mend = self._mend_of(what.mend) if isinstance(what, Mended) else None
        step = step_for(what, self.bench.setting, mend)
        if complaint:
            minutes = 0.0
        else:
            self.bench, minutes = after(self.harness, self.bench, step)
        self.events.append(Event(len(self.events) + 1, what, said, entry.at, minutes, complaint))
        self.proposed = None

    def _begin(self, entry: Entry) -> None:
        seen = entry.data.get("seen", ())
        for item in seen if isinstance(seen, tuple) else ():
            if isinstance(item, Mapping):
                self._do(entry, evidence_of(item), self.start.complaint, complaint=True)

    def _reading(self, entry: Entry) -> None:
        self._do(entry, evidence_of(entry.data), word(entry.data, "said", default=""))

    def _mend(self, entry: Entry) -> None:
        self._do(entry, Mended(word(entry.data, "mend")), word(entry.data, "said", default=""))

    def _strike(self, entry: Entry) -> None:
        number = int(word(entry.data, "number"))
        self.events[number - 1] = replace(self.events[number - 1], struck=True)
        self.proposed = None

    def _proposal(self, entry: Entry) -> None:
        self.proposed = entry.data

    def _skip(self, entry: Entry) -> None:
        step: Step = step_of(entry.data, self._mend_of)
        self.bench = replace(self.bench, skipped=self.bench.skipped | {step})
        self.proposed = None

    def _place(self, entry: Entry) -> None:
        name, barred = word(entry.data, "place"), word(entry.data, "state") == "unreachable"
        self.bench = replace(self.bench, barred=self.bench.barred | {name} if barred else self.bench.barred - {name})
        self.proposed = None

    def _note(self, entry: Entry) -> None:
        self.notes.append(word(entry.data, "text"))
