"""The drill on disk: what was wanted and everything the learner did, in a file that only grows.

It holds the seed from which the fault follows, and a seal that tells whether the same one was planted again;
the fault itself is written down only when the drill has ended.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from ohmtrail import journal
from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Case, Seen, all_cautions
from ohmtrail.errors import InputError, JobError, OhmtrailError, UnknownName
from ohmtrail.harness import Harness, load_harness
from ohmtrail.job.file import fingerprint, harness_name
from ohmtrail.job.fitting import check_fits
from ohmtrail.job.records import evidence_data, evidence_of, setting_data, setting_of
from ohmtrail.job.state import step_for
from ohmtrail.job.texts import whole, word
from ohmtrail.journal import Entry, Value
from ohmtrail.reports.drill_results import Ended, OpenDrill
from ohmtrail.training import YEAR, Course, Done, Drill, Wish, planted_again
from ohmtrail.workbench.files import begins_with

__all__ = ["add_done", "add_end", "begin_drill", "is_drill", "read_drill", "read_end", "refuse_taken"]

KIND, VERSION = "drill", 1
_MARK = b"ohmtrail: drill"


def is_drill(name: str) -> bool:
    """Say whether a file is a drill, by its first words.

    Parameters
    ----------
    name : str
        The file.

    Returns
    -------
    bool
        Whether it is.
    """
    return begins_with(name, _MARK)


def begin_drill(path: str, drill: Drill, *, harness_path: str, by: str, now: datetime) -> None:
    """Begin a drill file; it is there whole or not at all.

    Parameters
    ----------
    path : str
        The file to make.
    drill : Drill
        What is planted; only its seed is written.
    harness_path : str
        The harness file.
    by : str
        Who practises.
    now : datetime
        With its zone.

    Raises
    ------
    JobError
        Something has that name already.
    StorageError
        It cannot be written.
    """
    wish = drill.wish
    data: dict[str, object] = {
        "machine": drill.case.harness.harness,
        "harness": harness_name(path, harness_path),
        "harness-sha256": fingerprint(harness_path),
        "level": wish.level,
        "seed": str(wish.seed),
        "draw": str(drill.draw),
        "seal": drill.seal,
        "complaint": drill.complaint.function,
        **({"function": wish.function} if wish.function else {}),
        **({"unsplit": "yes"} if wish.unsplit else {}),
        **({"by": by} if by else {}),
    }
    journal.create(path, kind=KIND, version=VERSION)
    try:
        journal.append(path, kind=KIND, version=VERSION, record="start", data=data, now=now, expect=0)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(path)
        raise


def refuse_taken(path: str) -> None:
    """Refuse a name that something has already, before any work is done.

    Parameters
    ----------
    path : str
        The name wanted.

    Raises
    ------
    JobError
        With what to do instead.
    """
    if os.path.lexists(path):
        what = f"go on with it: ohmtrail drill {path}" if is_drill(path) else "choose another name with --file"
        raise JobError(f"{path!r} is there already; {what}")


def _add(opened: OpenDrill, record: str, data: Mapping[str, object], now: datetime) -> None:
    """Add one record, sure that nobody else has added since the drill was read."""
    journal.append(opened.path, kind=KIND, version=VERSION, record=record, data=data, now=now, expect=opened.records)
    opened.records += 1


def add_done(opened: OpenDrill, done: Done, now: datetime) -> None:
    """Add what the learner did; it is safe on the disk before the learner sees it.

    Parameters
    ----------
    opened : OpenDrill
        The drill, which counts its records.
    done : Done
        What was done.
    now : datetime
        With its zone.

    Raises
    ------
    BusyError
        The file was added to elsewhere, or is held.
    StorageError
        It cannot be written.
    """
    data: dict[str, object] = {"said": done.said}
    if done.kind == "reading" and done.result is not None:
        data |= evidence_data(done.result)  # type: ignore[arg-type]  # a mend is none
    elif done.kind == "set" and done.step is not None:
        data["with"] = setting_data(done.step.setting)
    elif done.kind == "mend" and done.step is not None and done.step.mend is not None and done.tried is not None:
        data |= {"mend": done.step.mend.id, "tried": evidence_data(done.tried)}
    else:
        data["note"] = done.note
    _add(opened, done.kind, data, now)


def add_end(opened: OpenDrill, ended: Ended, now: datetime) -> None:
    """Add how the drill ended, with what was planted.

    Parameters
    ----------
    opened : OpenDrill
        The drill.
    ended : Ended
        Its result.
    now : datetime
        With its zone.
    """
    _add(opened, "end", ended.as_text(), now)


def read_end(path: str) -> tuple[Mapping[str, str], Ended | None]:
    """Read what a drill file says of its beginning and its end, without planting it again.

    Parameters
    ----------
    path : str
        The file.

    Returns
    -------
    tuple of mapping and (Ended or None)
        Machine, level, seed, complaint, by; and the result where the drill has ended.

    Raises
    ------
    JobError
        It is no drill file, or damaged.
    """
    entries = _entries(path)
    at = entries[0]
    try:
        start = {name: word(at.data, name, default="") for name in ("machine", "level", "seed", "complaint", "by")}
        at = entries[-1]
        return start, Ended.of_text(at.data) if at.kind == "end" else None
    except JobError as error:
        raise JobError(f"{path}:{at.line}: record {at.number}: {error}") from None


def _entries(path: str) -> Sequence[Entry]:
    entries = journal.load(path, kind=KIND, version=VERSION)
    if not entries or entries[0].kind != "start":
        raise JobError(f"{path!r} has no beginning: begin another drill with 'ohmtrail drill HARNESS'")
    return entries


def read_drill(path: str) -> OpenDrill:
    """Read a drill file, plant its fault again and go through what was done.

    Parameters
    ----------
    path : str
        The file.

    Returns
    -------
    OpenDrill
        As it was left.

    Raises
    ------
    JobError
        No drill file, damaged, its harness gone or changed, or made by a version that plants otherwise.
    HarnessError
        The harness file has mistakes.
    """
    entries = _entries(path)
    begun = _begun(path, entries[0])
    case = _case(path, begun.harness, begun.sha256)
    if begun.wish.function and begun.wish.function not in case.harness.functions:
        raise JobError(f"{path}:{entries[0].line}: record 1: {UnknownName('function', begun.wish.function, case.harness.functions)}")
    drill = planted_again(case, begun.wish, begun.draw)
    if drill is None or drill.seal != begun.seal:
        raise JobError(f"{path!r} was begun with another version of Ohmtrail, which planted otherwise: end it with that one")
    opened = OpenDrill(path, Course(drill), begun.by, records=len(entries))
    for entry in entries[1:]:
        try:
            _again(opened, entry)
        except (OhmtrailError, ValueError) as error:
            raise JobError(f"{path}:{entry.line}: record {entry.number}: {error}") from None
    return opened


@dataclass(frozen=True)
class _Begun:
    """What the first record says."""

    wish: Wish
    draw: int
    seal: str
    harness: str
    sha256: str
    by: str


def _begun(path: str, entry: Entry) -> _Begun:
    start = entry.data
    try:
        wish = Wish(word(start, "level"), word(start, "function", default=""), whole(start, "seed"), "unsplit" in start)  # type: ignore[arg-type]  # checked
        seal, harness, sha256 = (word(start, key) for key in ("seal", "harness", "harness-sha256"))
        return _Begun(wish, whole(start, "draw"), seal, harness, sha256, word(start, "by", default=""))
    except InputError as error:
        raise JobError(f"{path}:{entry.line}: record {entry.number}: {error}") from None


def _case(drill_path: str, harness: str, sha256: str) -> Case:
    path = os.path.normpath(os.path.join(os.path.dirname(drill_path), harness))
    if not os.path.exists(path):
        raise JobError(f"the harness file {path!r} of this drill is gone: put it back there")
    if fingerprint(path) != sha256:
        raise JobError(f"the harness file {path!r} has changed since this drill began: put the old one back, or begin another drill")
    return Case(load_harness(path), year=YEAR)


def _again(opened: OpenDrill, entry: Entry) -> None:
    """One record, done again."""
    course, data, said = opened.course, entry.data, word(entry.data, "said", default="")
    if entry.kind == "end":
        opened.ended = Ended.of_text(data)
    elif entry.kind == "reading":
        known = evidence_of(data)
        check_fits(course.drill.case.harness, known)
        course.keep(course.take(step_for(known, course.bench.setting), said, known=known))
    elif entry.kind == "set":
        course.keep(course.put(_setting(course.drill.case.harness, data), said))
    elif entry.kind == "mend":
        tried = data.get("tried")
        seen = evidence_of(tried) if isinstance(tried, Mapping) else None
        mends = course.drill.case.mends()
        if not isinstance(seen, Seen) or word(data, "mend") not in mends:
            raise JobError("no such mend on this machine: it was not written by this program")
        check_fits(course.drill.case.harness, seen)
        course.keep(course.mend(mends[word(data, "mend")][0].mend, said, known=seen))
    elif entry.kind in ("danger", "hint"):
        if entry.kind == "danger" and word(data, "note") not in {item.id for item in all_cautions()}:
            raise JobError(f"there is no caution {word(data, 'note')!r}: it was not written by this program")
        course.keep(Done(entry.kind, said, note=word(data, "note")))  # type: ignore[arg-type]  # one of the two
    else:
        raise JobError(f"a newer Ohmtrail wrote the record {entry.kind!r}; use that one")


def _setting(harness: Harness, data: Mapping[str, Value]) -> Setting:
    """The setting of a record, which the machine can be put in."""
    setting = setting_of(data.get("with"))
    check_fits(harness, Seen(next(iter(harness.functions), ""), setting, 2))
    return setting
