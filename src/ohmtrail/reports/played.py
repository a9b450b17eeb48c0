"""A planted job as it is played: every proposal, what the meter showed, how the shares move."""

from __future__ import annotations

from collections.abc import Sequence

from ohmtrail.diagnosis import Mended
from ohmtrail.reports.figures import level_text, minutes_text
from ohmtrail.reports.jobs import WHO_DECIDES
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import evidence_text
from ohmtrail.reports.proposal import write_next
from ohmtrail.reports.results import Demo, Played

__all__ = ["write_ending", "write_opening", "write_played"]


def write_opening(paper: Paper, demo: Demo) -> None:
    """Write what is planted and what the customer says.

    Parameters
    ----------
    paper : Paper
        Where to.
    demo : Demo
        The planted job.
    """
    complaint = demo.complaint
    called = demo.case.harness.functions[complaint.function].called or complaint.function
    paper.line(f"{demo.case.harness.harness}. Complaint: {called} {level_text(complaint.level, sometimes=complaint.sometimes)}.")
    paper.line(f"Planted, and unknown to the search: {demo.planted.fault.words}.")
    paper.line(WHO_DECIDES)


def write_played(paper: Paper, played: Played) -> None:
    """Write one step and what came of it.

    Parameters
    ----------
    paper : Paper
        Where to.
    played : Played
        The step.
    """
    write_next(paper, played.shown)
    paper.blank()
    mark = "  proof" if played.proof else ""
    paper.line(f"=> {evidence_text(played.result)}   [{minutes_text(played.minutes)}]{mark}", indent=1, hang=4)


def write_ending(paper: Paper, steps: Sequence[Played], *, proven: bool) -> None:
    """Write how the job ended.

    Parameters
    ----------
    paper : Paper
        Where to.
    steps : sequence of Played
        Everything done.
    proven : bool
        Whether the complaint works again.
    """
    mends = [item.result.mend for item in steps if isinstance(item.result, Mended)]
    minutes = sum(item.minutes for item in steps)
    ending = "Proven: every complaint works again." if proven else "Not proven: nothing within reach tells more."
    told = f"{len(steps)} steps, {', '.join(mends) or 'no mend'}, {minutes:.0f} min in all."
    paper.line(f"{ending} {told}")
