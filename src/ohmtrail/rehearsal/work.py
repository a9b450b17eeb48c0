"""One job worked to its proof by one way of searching, and what it took."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis.case import Case
from ohmtrail.diagnosis.choose import propose, propose_by_rate
from ohmtrail.diagnosis.evidence import Seen
from ohmtrail.diagnosis.steps import Bench, Step, mending_minutes, minutes_of
from ohmtrail.diagnosis.technician import Action, follow
from ohmtrail.faults import Fault
from ohmtrail.rehearsal.chart import Chart, ChartAction, chart_of, follow_chart
from ohmtrail.rehearsal.draws import Wanted, complaint_of, machine_of
from ohmtrail.rehearsal.points import Unsplit, WayIn, unsplit_of, ways_in

__all__ = ["WAYS", "Rehearsed", "Way", "Workshop"]

#: how a job can be searched: as Ohmtrail proposes, by a printed half-split chart, by information per minute
Way = Literal["search", "chart", "rate"]
WAYS: tuple[Way, ...] = ("search", "chart", "rate")


@dataclass(frozen=True)
class Rehearsed:
    """One job worked.

    Attributes
    ----------
    wanted : Wanted
        What was planted.
    way : str
        ``search``, ``chart`` or ``rate``.
    minutes, direct : float
        To a proven mend, and by walking straight to the right mends, minute.
    readings, mends : int
        Readings taken, proofs left out, and mends made.
    vain : float
        What the wrong mends cost beside their minutes (parts, something original changed), minute.
    first : str
        Id of the first mend, "" where none was made.
    share : float
        Chance that was stated for the first mend; nan for a chart.
    right : bool
        Whether the first mend put something right.
    named, grouped : bool
        Whether it was named (95 % or more, confirmed), or came from a group that nothing within reach splits.
    solved : bool
        Whether every fault was gone at the end.
    unsplit : Unsplit or None
        What could not be told apart before the first mend.
    ways_in : tuple of WayIn
        What was opened for readings alone.
    """

    wanted: Wanted
    way: Way
    minutes: float
    direct: float
    readings: int
    mends: int
    vain: float
    first: str
    share: float
    right: bool
    named: bool
    grouped: bool
    solved: bool
    unsplit: Unsplit | None = None
    ways_in: tuple[WayIn, ...] = ()

    @property
    def excess(self) -> float:
        """Minutes over walking straight to the right mends."""
        return self.minutes - self.direct


class Workshop:
    """One machine, and what is needed to work jobs on it; charts are drawn up once.

    Parameters
    ----------
    case : Case
        The machine as described.
    barred : frozenset of str
        Places that cannot be reached.
    """

    def __init__(self, case: Case, *, barred: frozenset[str] = frozenset()) -> None:
        self.case, self.bench = case, Bench(Setting(), barred=barred)
        self._charts: dict[Seen, Chart] = {}

    def chart(self, complaint: Seen) -> Chart:
        """Give the printed chart for a complaint."""
        if complaint not in self._charts:
            self._charts[complaint] = chart_of(self.case, complaint)
        return self._charts[complaint]

    def work(self, wanted: Wanted, way: Way) -> Rehearsed | None:
        """Work one job.

        Parameters
        ----------
        wanted : Wanted
            What is planted.
        way : str
            How it is searched.

        Returns
        -------
        Rehearsed or None
            None where the complaint does not show.
        """
        machine = machine_of(self.case, wanted)
        complaint = complaint_of(self.case, wanted, machine)
        if complaint is None:
            return None
        planted = tuple(item.fault for item in machine.faults)
        actions: Iterable[Action | ChartAction]
        if way == "chart":
            actions = follow_chart(self.case, machine, complaint, self.bench, self.chart(complaint))
        else:
            choose = propose if way == "search" else propose_by_rate
            actions = follow(self.case, machine, complaint, bench=self.bench, choose=choose)
        done: list[Action | ChartAction] = []
        mended = False
        for action in actions:
            # what was known before a step holds tables of tens of MB: it is kept for the first mend alone
            first = action.step.mend is not None and not mended
            mended = mended or first
            done.append(action if first else ChartAction(action.step, action.minutes, action.proof))
        return _told(self.case, wanted, way, done, planted, complaint, solved=not machine.faults)


def _told(
    case: Case, wanted: Wanted, way: Way, done: Sequence[Action | ChartAction], planted: Sequence[Fault], complaint: Seen, *, solved: bool
) -> Rehearsed:
    def right(mend: str) -> bool:
        return any(fault.mended_by(mend) for fault in planted)

    mended = [item for item in done if item.step.mend is not None]
    first = mended[0] if mended else None
    name = first.step.mend.id if first is not None and first.step.mend is not None else ""
    share, named, grouped = _stated(first)
    vain = sum(item.step.mend.vain for item in mended if item.step.mend is not None and not right(item.step.mend.id))
    readings = sum(1 for item in done if item.step.mend is None and not item.proof)
    minutes = sum(item.minutes for item in done)
    direct = _direct(case, wanted, complaint)
    places = {place for fault in case.every_fault if fault.id in wanted.faults for place in fault.mend.places}
    unsplit = unsplit_of(first.proposal) if isinstance(first, Action) else None
    opened = ways_in(case, [item.step for item in done], places) if way == "search" else ()
    return Rehearsed(
        wanted, way, minutes, direct, readings, len(mended), vain, name, share, right(name), named, grouped, solved, unsplit, opened
    )


def _stated(first: Action | ChartAction | None) -> tuple[float, bool, bool]:
    """Share, named and grouped of the first mend."""
    if not isinstance(first, Action) or first.assessment.posterior is None or first.step.mend is None:
        return float("nan"), False, False
    answers = first.assessment.posterior.answers
    share = next((item.share for item in answers if first.step.mend.id in item.mends), 0.0)
    return share, first.proposal.named is not None, bool(first.proposal.group)


def _direct(case: Case, wanted: Wanted, complaint: Seen) -> float:
    """Minutes by walking straight to the right mends, from a machine with everything shut, and the proof."""
    known = {fault.id: fault for fault in case.every_fault}
    bench, total = Bench(Setting()), 0.0
    for name in wanted.faults:
        step = Step("mend", complaint.setting, mend=known[name].mend)
        total += mending_minutes(case.harness, known[name].mend, bench)
        bench = bench.after(case.harness, step)
    return total + minutes_of(case.harness, Step("watch", complaint.setting, function=complaint.function), bench)
