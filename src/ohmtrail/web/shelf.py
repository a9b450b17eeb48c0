"""The jobs of one folder, opened once and kept warm."""

from __future__ import annotations

import atexit
import os
import re
import threading
import weakref
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from ohmtrail import workbench
from ohmtrail.drawing import without_style
from ohmtrail.errors import InputError, JobError, OhmtrailError
from ohmtrail.reports.results import OfferedHarness, OfferedJob
from ohmtrail.workbench import OpenJob

__all__ = ["Shelf"]

#: seconds that are waited for work ahead to end: more than the longest single sum; own choice
_ENDS_S = 5.0
_NAME = re.compile(r"[^\W_][\w .-]{0,80}")


def _set() -> threading.Event:
    event = threading.Event()
    event.set()
    return event


@dataclass
class _Kept:
    """An open job, its pictures, whether somebody works ahead on it and is to begin again, and who waits for it."""

    job: OpenJob
    pictures: dict[tuple[str, str], str] = field(default_factory=dict)
    ahead: bool = False
    again: bool = False
    wanted: int = 0
    worker: threading.Thread | None = None
    free: threading.Event = field(default_factory=_set)


class Shelf:
    """The jobs that the page may touch: those of one folder, or one alone.

    Parameters
    ----------
    folder : path
        Where the jobs are.
    only : str
        Name of the one job file; "" where all of the folder are meant.
    accept_changed : bool
        Go on although a harness file is not what it was.
    ahead : bool
        Whether to work ahead while the technician measures.
    """

    def __init__(self, folder: Path, only: str = "", *, accept_changed: bool = False, ahead: bool = True) -> None:
        self._work_ahead = ahead
        self.folder, self.only, self._accept = folder.resolve(), only, accept_changed
        self._open: dict[str, _Kept] = {}
        self._lock = threading.Lock()
        self._begun: dict[str, str] = {}
        self._closed = False
        weakly = weakref.WeakMethod(self.close)
        atexit.register(lambda: (weakly() or bool)())  # a sum in the midst of which the program ends would spoil its exit

    def close(self) -> None:
        """End all work ahead, for good."""
        self._closed = True
        for kept in list(self._open.values()):
            kept.free.set()
            if kept.worker is not None:
                kept.worker.join(_ENDS_S)

    def jobs(self) -> tuple[OfferedJob, ...]:
        """List the jobs."""
        return tuple(item for item in workbench.jobs(self.folder) if self._inside(os.path.basename(item.path)))

    def harnesses(self) -> tuple[OfferedHarness, ...]:
        """List the machines that a job can be begun on."""
        return workbench.harnesses(self.folder)

    def path(self, name: str) -> Path:
        """Give the file of a job.

        Parameters
        ----------
        name : str
            Of the file, without folders.

        Returns
        -------
        Path
            In the folder, and nowhere else.

        Raises
        ------
        JobError
            No such job here.
        """
        if not self._inside(name):
            raise JobError(f"there is no job {name!r} here")
        return self.folder / name

    def _inside(self, name: str) -> bool:
        if not name or name in (".", "..") or any(mark in name for mark in "/\\\0") or (self.only and name != self.only):
            return False
        file = self.folder / name
        try:
            return file.is_file() and file.resolve().parent == self.folder
        except (OSError, ValueError):  # longer than a name can be, or of signs that none can hold
            return False

    def job(self, name: str) -> OpenJob:
        """Give a job, the same one every time so that its tables stay warm."""
        return self._kept(name).job

    def _kept(self, name: str) -> _Kept:
        path = self.path(name)
        with self._lock:
            if name not in self._open:
                self._open[name] = _Kept(workbench.open_job(path, accept_changed=self._accept))
            return self._open[name]

    def mark(self, name: str) -> str:
        """Give a mark that is another one once something was added to a job: the size of its file."""
        return str(self.path(name).stat().st_size)

    def new_name(self, wanted: str) -> Path:
        """Give the file of a job to be begun.

        Parameters
        ----------
        wanted : str
            As typed; ``.job`` is added where it has no ending.

        Returns
        -------
        Path
            In the folder.

        Raises
        ------
        InputError
            No name for a file, or new jobs are not begun here.
        """
        if self.only:
            raise InputError("this page is for one job: serve its folder to begin others")
        name = wanted.strip()
        if not _NAME.fullmatch(name):
            raise InputError(f"{wanted!r} cannot be the name of a job: use letters, digits, blanks and hyphens, such as 'blue bike'")
        return self.folder / (name if "." in name else f"{name}.job")

    def remember(self, name: str, token: str) -> None:
        """Keep which form began a job."""
        self._begun[name] = token

    def begun_by(self, name: str, token: str) -> bool:
        """Say whether this form began that job."""
        return bool(token) and self._begun.get(name) == token

    def picture(self, name: str, kind: str, function: str) -> str:
        """Give a job's picture, drawn once for every state of the job."""
        kept = self._kept(name)
        with kept.job.lock:
            key, mark = (kind, function), self.mark(name)
            held = kept.pictures.get(key, "")
            if not held.startswith(f"{mark}\n"):
                drawn = workbench.draw(kept.job, kind="path" if kind == "path" else "ladder", function=function, tappable=True)
                held = kept.pictures[key] = f"{mark}\n{without_style(drawn.svg)}"
            return held.partition("\n")[2]

    @contextmanager
    def wanting(self, name: str) -> Iterator[None]:
        """Say that somebody waits for a job: nobody works ahead on it meanwhile."""
        kept = self._kept(name)
        with self._lock:
            kept.wanted += 1
            kept.free.clear()
        try:
            yield
        finally:
            with self._lock:
                kept.wanted -= 1
                if not kept.wanted:
                    kept.free.set()

    def work_ahead(self, name: str) -> None:
        """Work ahead on a job in the background, once at a time; who was stopped goes on when nobody wants the job."""
        kept = self._kept(name)
        with self._lock:
            kept.again = True
            if kept.ahead or not self._work_ahead:
                return
            kept.ahead = True
            kept.worker = threading.Thread(target=self._ahead, args=(kept,), daemon=True)
            kept.worker.start()

    @property
    def works_ahead(self) -> bool:
        """Whether there is still something to work ahead on in any job."""
        return any(kept.ahead for kept in self._open.values())

    def _ahead(self, kept: _Kept) -> None:
        try:
            while self._still(kept) and not self._closed:
                kept.free.wait()
                with suppress(OhmtrailError):  # is said when the job is looked at
                    if not workbench.work_ahead(kept.job, lambda: not (kept.wanted or self._closed)):
                        kept.again = True
        except BaseException:
            kept.ahead = False  # a mistake of ours ends it, not all that is worked ahead later
            raise

    def _still(self, kept: _Kept) -> bool:
        """Whether there is more to work ahead on; else nobody is at it from here on."""
        with self._lock:
            kept.again, kept.ahead = False, kept.again
            return kept.ahead
