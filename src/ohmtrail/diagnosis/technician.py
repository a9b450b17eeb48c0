"""A simulated technician: follows the proposals on a planted machine until it is proven to work."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis.case import Assessment, Case, Chooser, Event, Mended
from ohmtrail.diagnosis.choose import propose
from ohmtrail.diagnosis.evidence import Seen
from ohmtrail.diagnosis.planted import Planted
from ohmtrail.diagnosis.proposal import Proposal
from ohmtrail.diagnosis.steps import Bench, Step, mending_minutes, minutes_of

__all__ = ["Action", "follow"]

#: a technician who has done so many steps gives up; the longest job of all rehearsals took 76: a slip in the first
#: reading that acquitted the one thing wrong
MOST_STEPS = 100


@dataclass(frozen=True)
class Action:
    """One step done.

    Attributes
    ----------
    assessment : Assessment
        What was known before.
    proposal : Proposal
        What was proposed.
    result : Evidence or Mended
        What came of it.
    minutes : float
        What it took.
    proof : bool
        Whether it was a try after a mend.
    """

    assessment: Assessment
    proposal: Proposal
    result: Event
    minutes: float
    proof: bool = False

    @property
    def step(self) -> Step:
        """What was done."""
        assert self.proposal.step is not None
        return self.proposal.step


@dataclass
class _Job:
    history: list[Event] = field(default_factory=list)
    bench: Bench = field(default_factory=lambda: Bench(Setting()))


def follow(
    case: Case, machine: Planted, complaint: Seen, *, bench: Bench | None = None, choose: Chooser = propose
) -> Iterator[Action]:
    """Follow the proposals from a complaint to the proof.

    Parameters
    ----------
    case : Case
        The machine as described.
    machine : Planted
        The machine on the bench.
    complaint : Seen
        What the customer says.
    bench : Bench, optional
        Where it stands at the start.
    choose : callable
        Which step comes next, from suspects, bench and complaints.

    Yields
    ------
    Action
        One step after another; the last one proves the mend, unless the technician gave up.
    """
    job = _Job([complaint], bench or Bench(Setting()))
    for _ in range(MOST_STEPS):
        assessment = case.assess(job.history)
        if assessment.proven:
            return
        proposal = case.next_step(assessment, job.bench, choose=choose)
        if proposal.step is None:
            return
        step = proposal.step
        minutes = minutes_of(case.harness, step, job.bench)
        result: Event
        if step.kind == "mend":
            assert step.mend is not None
            machine.mend(step.mend.id)
            result, minutes = Mended(step.mend.id), mending_minutes(case.harness, step.mend, job.bench)
        else:
            result = machine.take(step)
        yield Action(assessment, proposal, result, minutes, proof=bool(assessment.to_prove) and step.mend is None)
        job.history.append(result)
        job.bench = job.bench.after(case.harness, step)

