"""A case: one machine, what was done to it in order, and what follows from it."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from ohmtrail.circuit import Electrics, Network
from ohmtrail.circuit.astray import Astray, astray_of
from ohmtrail.circuit.draws import draws, nominal
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis.aftermends import AfterMends, Event, Mended
from ohmtrail.diagnosis.blown import with_blown_fuses
from ohmtrail.diagnosis.choose import foresee, propose
from ohmtrail.diagnosis.evidence import Complaint, Evidence, Measured, Seen
from ohmtrail.diagnosis.live import LiveTables, weighted
from ohmtrail.diagnosis.pairs import with_pairs
from ohmtrail.diagnosis.posterior import Answer, Posterior, Version, weigh_versions
from ohmtrail.diagnosis.proposal import Proposal
from ohmtrail.diagnosis.steps import Bench, Step, hands_in_the_way, mending_minutes, minutes_of
from ohmtrail.diagnosis.table import ANSWER_DRAWS, SCAN_DRAWS, SuspectTable, single_rows
from ohmtrail.diagnosis.unlisted import Strangers
from ohmtrail.errors import JobError, UnknownName
from ohmtrail.faults import Fault, faults_of
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Fuse

__all__ = ["Assessment", "Case", "Chooser", "Event", "Mended", "trial_of"]

#: misfit (mean squared gap per reading) and unlisted share beyond which two faults at once are tried
STRAINED, ASTRAY = 5.0, 0.15
#: how surely a fuse must be blown to be exchanged before what blew it is tried; own choice
GOES_WITH = 0.9
#: functions that a job tries by its file with everything sound; of a larger machine, where that would take seconds,
#: only those complained of. Own choice
MOST_FUNCTIONS = 50


#: chooses the next step from suspects, bench and complaints
Chooser = Callable[[Posterior, Bench, Sequence[Complaint]], Proposal]


@dataclass(frozen=True)
class Assessment:
    """What follows from a case's history.

    Attributes
    ----------
    posterior : Posterior or None
        Suspects; None while nothing is known to be wrong.
    complaints : tuple of Seen or Measured
        What is wrong now.
    counting : tuple of int
        Places in the history of the evidence that still counts.
    dropped : tuple of int
        Places of evidence that a later mend may have changed.
    to_prove : tuple of Seen or Measured
        Functions, and readings of a survey, whose complaint was mended and not tried since, in their setting.
    proven : bool
        Whether every complaint has been seen to work after the last mend.
    in_vain : tuple of str
        Ids of mends that changed nothing, as it looks: what was read before them counts again.
    also : Answer or None
        What is still to be mended before a try can go well: the fuse that a mended short had blown.
    """

    posterior: Posterior | None
    complaints: tuple[Complaint, ...]
    counting: tuple[int, ...]
    dropped: tuple[int, ...]
    to_prove: tuple[Complaint, ...]
    proven: bool
    in_vain: tuple[str, ...] = ()
    also: Answer | None = None


class Case:
    """One machine on the bench.

    Parameters
    ----------
    harness : Harness
        The machine.
    meter : Meter
        What readings are taken with.
    year : int
        The year, for the age of leads and parts.
    left_out : collection of str
        Ids of mends whose faults nobody listed: what the search does with a fault that it does not know.

    Examples
    --------
    >>> # case = Case(load_harness("circuits/outboard.yaml"), year=2026)
    """

    def __init__(self, harness: Harness, *, meter: Meter | None = None, year: int, left_out: Collection[str] = ()) -> None:
        self.harness, self.meter, self.year = harness, meter or Meter(), year
        self.left_out = frozenset(left_out)
        self._live = LiveTables()
        self._wider: SuspectTable | None = None
        self._lighter: tuple[tuple[str, ...], SuspectTable] | None = None
        self._unknown: Strangers | None = None
        self._astray: dict[tuple[str, ...], Astray | None] = {}

    @cached_property
    def network(self) -> Network:
        """The circuit."""
        return Network.of(self.harness)

    @cached_property
    def electrics(self) -> Electrics:
        """The circuit's electricity, with the machines that answers are drawn from."""
        branches = self.network.branches
        machines = (nominal(branches), *draws(branches, ANSWER_DRAWS), *draws(branches, SCAN_DRAWS, seed=21))
        return Electrics(self.harness, machines=machines)

    @cached_property
    def every_fault(self) -> tuple[Fault, ...]:
        """Every single fault, those left out included."""
        return faults_of(self.network, year=self.year)

    @cached_property
    def faults(self) -> tuple[Fault, ...]:
        """Every single fault that the search knows."""
        return tuple(fault for fault in self.every_fault if fault.mend.id not in self.left_out)

    @cached_property
    def table(self) -> SuspectTable:
        """Every single fault at every severity."""
        rows = with_blown_fuses(self.network, single_rows(self.faults))
        return SuspectTable(self.electrics, self.meter, rows)

    @cached_property
    def after_mends(self) -> AfterMends:
        """What counts after mends."""
        return AfterMends(self.table)

    def mends(self) -> Mapping[str, tuple[Fault, ...]]:
        """Every mend there is, with the faults it puts right."""
        return self._mends

    @cached_property
    def _mends(self) -> dict[str, tuple[Fault, ...]]:
        found: dict[str, list[Fault]] = {}
        for fault in self.faults:
            found.setdefault(fault.mend.id, []).append(fault)
        return {mend: tuple(faults) for mend, faults in found.items()}

    def assess(self, history: Sequence[Event]) -> Assessment:
        """Say what follows from everything done so far.

        Parameters
        ----------
        history : sequence of Event
            Evidence and mends in the order they happened.

        Returns
        -------
        Assessment
            Suspects, and what still has to be proven.

        Raises
        ------
        UnknownName
            A mend that this machine has no fault for.
        """
        mended = [item.mend for item in history if isinstance(item, Mended)]
        for mend in mended:
            if mend not in self.mends():
                raise UnknownName("mend", mend, self.mends())
        counting = self.after_mends.certain(history)
        evidence: list[Evidence] = [item for i in counting if not isinstance(item := history[i], Mended)]
        wrong = [item for item in evidence if isinstance(item, Seen | Measured) and _complains(item)]
        complaints = tuple({_about(item): item for item in wrong}.values())
        to_prove = self._unproven(history, evidence)
        proven = bool(mended) and not to_prove and not complaints
        if not complaints:
            also = self._also(history) if to_prove else None
            return Assessment(None, (), counting, _others(history, counting), to_prove, proven, also=also)
        versions = self.after_mends.versions(history)
        posterior = self._posterior([item.version for item in versions], _plain(complaints), tuple(mended))
        chosen = versions[posterior.version]
        return Assessment(posterior, complaints, chosen.places, _others(history, chosen.places), to_prove, proven, chosen.in_vain)

    def next_step(self, assessment: Assessment, bench: Bench, *, choose: Chooser = propose) -> Proposal:
        """Choose what to do next.

        Parameters
        ----------
        assessment : Assessment
            What is known.
        bench : Bench
            Where the machine stands.
        choose : callable
            How the step is chosen among those that come into question.

        Returns
        -------
        Proposal
            A step; watching the mended function first where that is still to be proven. No mend is named by a file
            that is wrong about the machine.

        Raises
        ------
        JobError
            There is no complaint to work on.
        """
        if assessment.to_prove:
            if assessment.also is not None:
                mend = self.mends()[assessment.also.mends[0]][0].mend
                if math.isfinite(minutes := mending_minutes(self.harness, mend, bench)):
                    step = Step("mend", assessment.to_prove[0].setting, mend=mend)
                    return Proposal(step, minutes, 0.0, assessment.also, (), False, ())
            step = trial_of(assessment.to_prove[0])
            return Proposal(step, minutes_of(self.harness, step, bench), 0.0, None, (), False, ())
        if assessment.posterior is None:
            raise JobError("nothing is known to be wrong: enter what fails first, as in 'spark absent'")
        chosen = choose(assessment.posterior, bench, _plain(assessment.complaints))
        if chosen.named is not None and self.astray(assessment.complaints) is not None:
            return replace(chosen, named=None)
        return chosen

    def astray(self, complaints: Sequence[Complaint]) -> Astray | None:
        """Say what the file is wrong about, as far as that shows in the file itself: nothing is named by such a file.

        Parameters
        ----------
        complaints : sequence of Seen or Measured
            What is wrong.

        Returns
        -------
        Astray or None
            None where every function that is looked at works with everything sound.
        """
        every = self.harness.functions
        names = tuple(every) if len(every) <= MOST_FUNCTIONS else tuple({item.function: None for item in complaints if isinstance(item, Seen)})
        if names not in self._astray:
            self._astray[names] = astray_of(self.electrics, names) if names else None
        return self._astray[names]

    def foresee(self, assessment: Assessment, bench: Bench, after: Sequence[tuple[Assessment, Bench]] = ()) -> None:
        """Work ahead while the technician measures, so that the step after is chosen at once.

        Parameters
        ----------
        assessment : Assessment
            What is known.
        bench : Bench
            Where the machine stands.
        after : sequence of (Assessment, Bench), optional
            The same after results that were thought of.
        """
        if assessment.posterior is None or assessment.to_prove:
            return
        self._strangers(_plain(assessment.complaints)).weighed(assessment.posterior.evidence)
        together = [(item, there) for item, there in ((assessment, bench), *after) if not item.to_prove]
        foresee([(item.posterior, there, _plain(item.complaints)) for item, there in together if item.posterior is not None])

    # ---- inside ----

    def _posterior(self, versions: Sequence[Version], complaints: tuple[Complaint, ...], mended: tuple[str, ...]) -> Posterior:
        table, strangers = self._live.of(self.table, complaints, mended), self._strangers(complaints)
        posterior = weigh_versions(table, versions, strangers=strangers)
        if len(posterior.evidence) > len(complaints):
            everything = self._weighted(mended)
            strained = posterior.unlisted > ASTRAY or posterior.misfit()[0] > STRAINED
            pool = everything if strained else table
            wider = with_pairs(posterior, pool, whole=float(everything.prior.sum()), strained=strained)
            if wider is not None:
                if self._wider is not None:
                    wider.take_over(self._wider)
                self._wider = wider
                return weigh_versions(wider, versions, strangers=strangers)
        return posterior

    def _also(self, history: Sequence[Event]) -> Answer | None:
        """The fuse that what was just mended had blown, where all that was read before wants both."""
        start = len(history)
        while start and isinstance(history[start - 1], Mended):
            start -= 1
        done = {item.mend for item in history[start:] if isinstance(item, Mended)}
        before = self.assess(history[:start]).posterior if done else None
        if before is None or not (whole := before.needs(done)):
            return None
        for item in before.answers:
            left = [fault for fault in before.table.rows[item.rows[0]].faults if fault.mend.id not in done] if done < set(item.mends) else []
            fuses = tuple(fault.mend.id for fault in left if isinstance(self.harness.parts.get(fault.element), Fuse))
            if fuses and before.needs({*done, *fuses}) > GOES_WITH * whole:
                return replace(item, mends=fuses)
        return None

    def _strangers(self, complaints: tuple[Complaint, ...]) -> Strangers:
        if self._unknown is None or self._unknown.complaints != complaints:
            self._unknown = Strangers(self.electrics, self.meter, complaints)
        return self._unknown

    def _weighted(self, mended: tuple[str, ...]) -> SuspectTable:
        """The full table, with less weight on what was mended already."""
        if self._lighter is None or self._lighter[0] != mended:
            self._lighter = mended, weighted(self.table, mended)
        return self._lighter[1]

    def _unproven(self, history: Sequence[Event], evidence: Sequence[Evidence]) -> tuple[Complaint, ...]:
        """Complaints that a mend may have cured and that were not tried since."""
        if not any(isinstance(item, Mended) for item in history):
            return ()
        first: dict[object, Complaint] = {}
        for item in history:
            if isinstance(item, Seen | Measured) and _complains(item):
                first.setdefault(_tried(item)[0], item)
        tried = {_tried(item) for item in evidence if isinstance(item, Measured) or (isinstance(item, Seen) and _as_it_runs(item))}
        places = _moved_places(self.mends(), history)
        wanted = [self._trial(item, places) if isinstance(item, Seen) else item for item in first.values()]
        return tuple(item for item in wanted if _tried(item) not in tried)

    def _trial(self, complaint: Seen, places: Sequence[str]) -> Seen:
        """How a complaint is to be tried: what came and went is tried while its wiring is moved, where hands may be."""
        if not (complaint.sometimes and places):
            return complaint
        moving = replace(complaint.setting, moved=places[0])
        return complaint if hands_in_the_way(self.harness, moving) else replace(complaint, setting=moving)


def _others(history: Sequence[Event], places: Sequence[int]) -> tuple[int, ...]:
    """Places of the evidence that is not among some."""
    return tuple(index for index, item in enumerate(history) if not isinstance(item, Mended) and index not in places)


def _moved_places(mends: Mapping[str, tuple[Fault, ...]], history: Sequence[Event]) -> tuple[str, ...]:
    """Places where what was mended last came and went."""
    last = [item.mend for item in history if isinstance(item, Mended)][-1:]
    return tuple(dict.fromkeys(fault.moves_at for mend in last for fault in mends.get(mend, ()) if fault.moves_at))


def trial_of(complaint: Complaint) -> Step:
    """Give the step that tries again what was complained of.

    Parameters
    ----------
    complaint : Seen or Measured
        A function that failed, or a reading that lay outside its band.

    Returns
    -------
    Step
        In the same setting.
    """
    if isinstance(complaint, Measured):
        return Step("measure", complaint.setting, complaint.quantity, complaint.red, complaint.black)
    return Step("watch", complaint.setting, function=complaint.function)


def _about(item: Complaint) -> tuple[object, ...]:
    """What two complaints of one thing share."""
    if isinstance(item, Measured):
        return item.quantity, item.red, item.black, item.setting
    return item.function, item.setting


def _tried(item: Complaint) -> tuple[object, bool]:
    """What is tried, and whether while wiring is moved."""
    return (item.function if isinstance(item, Seen) else _about(item)), bool(item.setting.moved)


def _complains(item: Complaint) -> bool:
    """Whether it says that something is wrong: a function fails on the machine as it runs, a survey's reading is off."""
    if isinstance(item, Measured):
        return item.off
    return (item.sometimes or item.level < 2) and _as_it_runs(item)


def _as_it_runs(item: Seen) -> bool:
    return not (item.setting.lifted or item.setting.parted or item.setting.out)


def _plain(complaints: Sequence[Complaint]) -> tuple[Complaint, ...]:
    """One complaint for each function or reading and setting, in a fixed order; functions first.

    What fails at rest fails while wiring is moved as well: that is no complaint of its own.
    """
    found = {_about(item): item for item in sorted(complaints, key=lambda item: (isinstance(item, Measured), repr(item)))}
    at_rest = {_about(item) for item in found.values() if isinstance(item, Seen) and not item.sometimes}
    return tuple(item for item in found.values() if not item.setting.moved or _about(_at_rest(item)) not in at_rest)


def _at_rest(item: Complaint) -> Complaint:
    """The same with nothing moved."""
    return replace(item, setting=replace(item.setting, moved=None))
