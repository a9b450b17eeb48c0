"""The tool's own way through a drill, by which a learner's is measured."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Action, Bench, Case, Mended, Planted, Posterior, Seen, Step, after, follow

__all__ = ["Route", "best_route", "share_of"]


@dataclass(frozen=True)
class Route:
    """A way from the complaint to the proof.

    Attributes
    ----------
    actions : tuple of Action
        What was done, in order.
    minutes : float
        All of it.
    lost : float
        What mends made in vain cost beside their minutes, minute.
    share : float
        The least share that a mend which cured had when it was made.
    grouped : bool
        Whether a mend that cured came out of a group that nothing within reach could split.
    solved : bool
        Whether nothing was wrong at the end.
    """

    actions: tuple[Action, ...]
    minutes: float
    lost: float
    share: float
    grouped: bool
    solved: bool

    @property
    def readings(self) -> int:
        """Readings, looks and functions watched before what proves a mend."""
        return sum(not item.proof and not isinstance(item.result, Mended) for item in self.actions)

    @property
    def first_mend(self) -> int:
        """How many steps came before the first mend."""
        places = [index for index, item in enumerate(self.actions) if isinstance(item.result, Mended)]
        return places[0] if places else len(self.actions)

    @property
    def steps(self) -> tuple[Step, ...]:
        """What was done, as steps."""
        return tuple(item.step for item in self.actions)


def share_of(posterior: Posterior | None, mend: str) -> float:
    """Give the share of all answers that a mend belongs to.

    Parameters
    ----------
    posterior : Posterior or None
        What is known.
    mend : str
        Id of the mend.

    Returns
    -------
    float
        0 to 1.
    """
    found = posterior.answers if posterior is not None else ()
    return float(sum(item.share for item in found if mend in item.mends))


def best_route(case: Case, machine: Planted, complaint: Seen) -> Route:
    """Follow the tool's proposals on a machine.

    Parameters
    ----------
    case : Case
        The machine as described.
    machine : Planted
        The machine on the bench; it is mended.
    complaint : Seen
        What its owner says.

    Returns
    -------
    Route
        To the proof, or to where nothing tells more.
    """
    actions: list[Action] = []
    share, lost, grouped, wrong = 1.0, 0.0, False, len(machine.faults)
    bench = Bench(Setting())
    for action in follow(case, machine, complaint):
        mend = action.step.mend
        # a mend leaves the machine set as it is; what its trial needs set is counted with the trial
        step = Step("mend", bench.setting, mend=mend) if mend is not None else action.step
        bench, minutes = after(case.harness, bench, step)
        actions.append(replace(action, minutes=minutes))
        if mend is None:
            continue
        if len(machine.faults) < wrong:
            wrong = len(machine.faults)
            share = min(share, share_of(action.assessment.posterior, mend.id))
            grouped = grouped or bool(action.proposal.group)
        else:
            lost += mend.vain
    return Route(tuple(actions), sum(item.minutes for item in actions), lost, share, grouped, not machine.faults)
