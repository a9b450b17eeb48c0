"""A job's records taken one by one, to how the job stands."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from ohmtrail.circuit import Network, Setting
from ohmtrail.diagnosis import Bench, Evidence, Mended, Step
from ohmtrail.errors import JobError, OhmtrailError
from ohmtrail.faults import Mend, faults_of
from ohmtrail.harness import Harness
from ohmtrail.job.fitting import check_fits, on_machine
from ohmtrail.job.records import Start, evidence_of, step_of
from ohmtrail.job.state import Doing, Event, JobState, after, step_for
from ohmtrail.job.surveyed import flagged, planned_of, settled, step_fits
from ohmtrail.job.texts import Data, whole, word
from ohmtrail.journal import Entry
from ohmtrail.survey import Planned

__all__ = ["Replay"]


@dataclass
class Replay:
    """Records taken one by one."""

    harness: Harness
    start: Start
    events: list[Event] = field(default_factory=list)
    bench: Bench = field(default_factory=lambda: Bench(Setting()))
    proposed: Data | None = None
    notes: list[str] = field(default_factory=list)
    doings: list[Doing] = field(default_factory=list)
    last: int = 0
    asked: dict[int, Step] = field(default_factory=dict)
    planned: tuple[Planned, ...] = ()

    def run(self, path: str, harness_path: str, entries: Sequence[Entry]) -> JobState:
        """Take all records."""
        takers: dict[str, Callable[[Entry], None]] = {
            "start": self._begin,
            "reading": self._reading,
            "mend": self._mend,
            "strike": self._strike,
            "proposal": self._proposal,
            "skip": self._skip,
            "wanted": self._wanted,
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
        proposed = self._still_proposed()
        return JobState(
            path,
            self.start,
            harness_path,
            self.harness,
            self._with_complaints(),
            self.bench,
            proposed,
            tuple(self.notes),
            len(entries),
            doings=tuple(self.doings),
            tokens=frozenset(entry.token for entry in entries if entry.token),
            proposal=0 if proposed is None else self.last,
            asked=self.asked,
            planned=self.planned,
        )

    def _still_proposed(self) -> Step | None:
        """The last proposal, unless the harness has changed and no longer has a place for it."""
        if self.proposed is None:
            return None
        try:
            step = on_machine(self.harness, step_of(self.proposed, self._mend_of))
        except JobError:
            return None
        return step if step_fits(self.harness, step) else None

    def _with_complaints(self) -> tuple[Event, ...]:
        """The events, with what a survey found outside its band marked as a complaint."""
        if not self.planned:
            return tuple(self.events)
        counted = [place for place, event in enumerate(self.events) if not event.struck]
        history = [self.events[place].what for place in counted]
        off = {counted[place] for place in settled(self.start.meter, self.planned, history)}
        return tuple(replace(event, what=flagged(event.what)) if place in off else event for place, event in enumerate(self.events))

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
        what = on_machine(self.harness, what)
        mend = self._mend_of(what.mend) if isinstance(what, Mended) else None
        step = step_for(what, self.bench.setting, mend)
        if complaint:
            minutes = 0.0
        else:
            self.bench, minutes = after(self.harness, self.bench, step)
            self.doings.append(Doing(len(self.events) + 1))
        self.events.append(Event(len(self.events) + 1, what, said, entry.at, minutes, complaint, token=entry.token))
        self.proposed = None

    def _begin(self, entry: Entry) -> None:
        self.planned = planned_of(entry.data.get("survey"), self.harness)
        seen = entry.data.get("seen", ())
        for item in seen if isinstance(seen, tuple) else (seen,):
            if not isinstance(item, Mapping):
                raise JobError("'seen' does not say what fails: it was not written by this program")
            self._do(entry, evidence_of(item), self.start.complaint, complaint=True)

    def _reading(self, entry: Entry) -> None:
        self._do(entry, evidence_of(entry.data), word(entry.data, "said", default=""))

    def _mend(self, entry: Entry) -> None:
        self._do(entry, Mended(word(entry.data, "mend")), word(entry.data, "said", default=""))

    def _strike(self, entry: Entry) -> None:
        number = whole(entry.data, "number")
        if not 1 <= number <= len(self.events):
            raise JobError(f"there is no reading {number} to strike: it was not written by this program")
        self.events[number - 1] = replace(self.events[number - 1], struck=True)
        if isinstance(what := self.events[number - 1].what, Mended):
            self.bench = replace(self.bench, renewed=self.bench.renewed - {self._mend_of(what.mend).element})
        self._undone(Doing(number))

    def _undone(self, what: Doing) -> None:
        """Something was taken back; the proposal was made with it and falls."""
        self.doings = [item for item in self.doings if item != what]
        self.proposed = None

    def _proposal(self, entry: Entry) -> None:
        self.proposed, self.last = entry.data, entry.number
        if entry.data.get("kind") == "mend":
            return
        step: Step = on_machine(self.harness, step_of(entry.data, self._mend_of))
        if step_fits(self.harness, step):
            self.asked[entry.number] = step

    def _skip(self, entry: Entry) -> None:
        step: Step = on_machine(self.harness, step_of(entry.data, self._mend_of))
        self.bench = replace(self.bench, skipped=self.bench.skipped | {step})
        self._undone(Doing(step=step))
        self.doings.append(Doing(step=step))

    def _wanted(self, entry: Entry) -> None:
        step: Step = on_machine(self.harness, step_of(entry.data, self._mend_of))
        self.bench = replace(self.bench, skipped=self.bench.skipped - {step})
        self._undone(Doing(step=step))

    def _place(self, entry: Entry) -> None:
        name, barred = word(entry.data, "place"), word(entry.data, "state") == "unreachable"
        self.bench = replace(self.bench, barred=self.bench.barred | {name} if barred else self.bench.barred - {name})
        self._undone(Doing(place=name))
        if barred:
            self.doings.append(Doing(place=name))

    def _note(self, entry: Entry) -> None:
        self.notes.append(word(entry.data, "text"))
