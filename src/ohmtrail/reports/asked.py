"""The answer to 'what next': the instruction, and how to go on from it."""

from __future__ import annotations

from ohmtrail.diagnosis import Step
from ohmtrail.reports.jobs import write_state
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import command_text
from ohmtrail.reports.proposal import write_header, write_next
from ohmtrail.reports.results import Next

__all__ = ["write_asked"]

_ANSWERS = {"measure": "VALUE", "watch": "works|weak|fails", "look": "sound|damaged"}


def write_asked(paper: Paper, found: Next) -> None:
    """Write what to do next and the command that goes on.

    Parameters
    ----------
    paper : Paper
        Where to.
    found : Next
        The proposal.
    """
    if found.standing.assessment.proven and found.proposal.step is None:
        write_header(paper, found.standing)
        paper.blank()
        write_state(paper, found.standing)
        return
    write_next(paper, found)
    step, path = found.proposal.step, found.standing.job.path
    if step is None:
        return
    paper.blank()
    if not found.kept:
        paper.line(f"{path} cannot be written: a reading will have to be stored elsewhere.")
        return
    paper.line(_command(step, path), hang=2)
    paper.line(f"Not wanted: {command_text('next', path, '--skip')}", hang=2)


def _command(step: Step, path: str) -> str:
    if step.kind == "mend":
        return f"Once it is done: {command_text('mend', path)}"
    answer = _ANSWERS[step.kind]
    if step.kind == "measure" and step.quantity in ("beep", "lamp"):
        answer = "beeps|silent" if step.quantity == "beep" else "bright|dim|out"
    return f"Answer: {command_text('read', path, answer)}"
