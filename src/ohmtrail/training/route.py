"""The tool's own way through a drill, under the rules that a learner has, by which a learner's is measured."""

from __future__ import annotations

from dataclasses import dataclass

from ohmtrail.diagnosis import Posterior, Step
from ohmtrail.training.course import Course, Done
from ohmtrail.training.drill import Drill

__all__ = ["Route", "best_route", "lost_in_vain", "share_of"]

#: a way that has gone on for so many steps is given up; none came near it
MOST_STEPS = 60


@dataclass(frozen=True)
class Route:
    """A way from the complaint to the proof.

    Attributes
    ----------
    done : tuple of Done
        What was done, in order; every mend is tried at once.
    share : float
        The least share that a mend which cured had when it was made.
    grouped : bool
        Whether a mend that cured came out of a group that nothing within reach could split.
    solved : bool
        Whether nothing was wrong at the end.
    """

    done: tuple[Done, ...]
    share: float
    grouped: bool
    solved: bool

    @property
    def minutes(self) -> float:
        """All of it."""
        return sum(item.minutes for item in self.done)

    @property
    def lost(self) -> float:
        """What mends made in vain cost beside their minutes, minute."""
        return lost_in_vain(self.done)

    @property
    def vain(self) -> int:
        """How many mends were made in vain."""
        return sum(item.kind == "mend" and not item.cured for item in self.done)

    @property
    def readings(self) -> int:
        """Readings, looks and functions watched."""
        return sum(item.kind == "reading" for item in self.done)

    @property
    def first_mend(self) -> int:
        """How many steps came before the first mend."""
        return next((index for index, item in enumerate(self.done) if item.kind == "mend"), len(self.done))

    @property
    def steps(self) -> tuple[Step, ...]:
        """What was done, as steps."""
        return tuple(item.step for item in self.done if item.step is not None)


def lost_in_vain(done: tuple[Done, ...] | list[Done]) -> float:
    """Give what mends made in vain cost beside their minutes: parts, and something original changed.

    Parameters
    ----------
    done : sequence of Done
        What was done.

    Returns
    -------
    float
        Minute.
    """
    vain = (item.step.mend for item in done if item.kind == "mend" and not item.cured and item.step is not None)
    return sum(mend.vain for mend in vain if mend is not None)


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


def best_route(drill: Drill) -> Route:
    """Follow the tool's proposals through a drill.

    Parameters
    ----------
    drill : Drill
        What is planted.

    Returns
    -------
    Route
        To the proof, or to where nothing tells more.
    """
    course, case = Course(drill), drill.case
    share, grouped = 1.0, False
    while not course.mended and len(course.done) < MOST_STEPS:
        assessment = case.assess(course.history)
        if assessment.posterior is None and not assessment.to_prove:
            break
        proposal = case.next_step(assessment, course.bench)
        step = proposal.step
        if step is None:
            break
        if step.mend is None:
            course.keep(course.take(step, ""))
            continue
        course.keep(course.mend(step.mend, ""))
        if course.done[-1].cured:
            share = min(share, share_of(assessment.posterior, step.mend.id))
            grouped = grouped or bool(proposal.group)
    return Route(tuple(course.done), share, grouped, course.mended)
