"""The conversation about a job, in words: what is asked, what was taken down, what may be typed."""

from __future__ import annotations

from collections.abc import Container

from ohmtrail.harness import Harness
from ohmtrail.reports.jobs import WHO_DECIDES, write_proofs, write_readings, write_state, write_why
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import command_text, evidence_text, step_text
from ohmtrail.reports.proposal import write_header, write_instruction, write_suspects
from ohmtrail.reports.results import Next, OfferedHarness, Standing, Turn, Undone
from ohmtrail.reports.trouble import write_trouble

__all__ = [
    "prompt_text",
    "write_asking",
    "write_functions",
    "write_harnesses",
    "write_hello",
    "write_parting",
    "write_turn",
    "write_words",
]

_PROMPTS = {"measure": "reading", "watch": "works, weak or fails", "look": "sound or damaged", "mend": "done"}
_WORDS = (
    ("12.4, 3.2k, ol", "what the meter shows"),
    ("beeps, silent", "what the beeper does; of a test lamp: bright, dim, out"),
    ("works, weak, absent", "how a function does; also: sometimes, no spark"),
    ("ohms RED BLACK 3", "any other reading; 'ohmtrail help reading' has all"),
    ("skip", "propose something else"),
    ("can't reach", "the place cannot be got at; or: can't reach PLACE"),
    ("can reach PLACE", "it can after all"),
    ("done", "the proposed mend is made; or: mend NAME"),
    ("why", "what speaks for each suspect; or: why stop-2"),
    ("undo", "take back the last thing"),
    ("strike 3", "a reading no longer counts"),
    ("note TEXT", "a note for the file"),
    ("readings, suspects", "what is known"),
    ("again", "say the step once more"),
    ("quit", "leave; everything is kept"),
)


def write_harnesses(paper: Paper, found: tuple[OfferedHarness, ...]) -> None:
    """Write which harness files there are, numbered.

    Parameters
    ----------
    paper : Paper
        Where to.
    found : tuple of OfferedHarness
        The files.
    """
    paper.line("Which machine?", indent=1)
    for number, item in enumerate(found, start=1):
        paper.pair(f"{number}", f"{item.machine}   {'an example: ' if item.example else ''}{item.path}", indent=3, column=7)


def write_functions(paper: Paper, harness: Harness) -> None:
    """Write what a machine must do, numbered.

    Parameters
    ----------
    paper : Paper
        Where to.
    harness : Harness
        The machine.
    """
    paper.line(f"{harness.harness}. What fails?", indent=1)
    rows = [(f"{number}", name, item.called or "") for number, (name, item) in enumerate(harness.functions.items(), start=1)]
    if paper.aloud:
        for number, name, called in rows:
            paper.pair(number, called or name)
    else:
        paper.table(rows, indent=3)
    paper.line("A number or a name; add 'weak' or 'sometimes' where it is that; several with commas.", indent=1)


def write_hello(paper: Paper, standing: Standing) -> None:
    """Write how a conversation works, and where everything is kept.

    Parameters
    ----------
    paper : Paper
        Where to.
    standing : Standing
        The job.
    """
    write_header(paper, standing)
    paper.line(f"Each answer is kept in {standing.job.path} at once. '?' lists the words.", indent=1)
    paper.line(WHO_DECIDES, indent=1)
    paper.blank()
    if len(standing.job.events) > 1:
        write_readings(paper, standing)
        paper.blank()
    _shares(paper, standing)


def write_asking(paper: Paper, shown: Next, *, heard: Container[str] = ()) -> None:
    """Write the step, nearest to where the answer is typed.

    Parameters
    ----------
    paper : Paper
        Where to.
    shown : Next
        The proposal.
    heard : container of str
        Ids of cautions that were read in full before.
    """
    assessment = shown.standing.assessment
    if shown.planned is not None:
        write_instruction(paper, shown, talking=True, heard=heard)
    elif assessment.proven:
        paper.line("Proven: every complaint works again. 'done' leaves; 'undo' takes the last thing back.", indent=1)
    elif shown.standing.posterior is None and not assessment.to_prove:
        paper.line("Nothing is known to be wrong: type what fails, as in 'spark absent'.", indent=1)
    else:
        write_instruction(paper, shown, talking=True, heard=heard)
    paper.blank()


def prompt_text(shown: Next | None = None) -> str:
    """Say what an answer may be.

    Parameters
    ----------
    shown : Next, optional
        The proposal.

    Returns
    -------
    str
        Such as ``reading, or ? > ``.
    """
    step = shown.proposal.step if shown is not None else None
    proven = shown is not None and shown.standing.assessment.proven
    word = _PROMPTS[step.kind] if step is not None else "done" if proven else "reading"
    if step is not None and step.kind == "measure" and step.quantity in ("beep", "lamp"):
        word = "beeps or silent" if step.quantity == "beep" else "bright, dim or out"
    return f" {word}, or ? > "


def write_turn(paper: Paper, turn: Turn) -> None:
    """Write what came of one line.

    Parameters
    ----------
    paper : Paper
        Where to.
    turn : Turn
        What came of it.
    """
    paper.blank()
    if turn.verb == "help":
        write_words(paper)
    elif turn.why is not None:
        write_why(paper, turn.why, talking=True)
    elif turn.standing is not None:
        _told(paper, turn, turn.standing)
    paper.blank()


def _told(paper: Paper, turn: Turn, standing: Standing) -> None:
    if turn.verb == "readings":
        write_readings(paper, standing)
    elif turn.verb == "suspects":
        write_state(paper, standing, mends=True, talking=True)
    else:
        _taken_down(paper, turn)
        _shares(paper, standing)


def _taken_down(paper: Paper, turn: Turn) -> None:
    """What is in the file now that was not before."""
    if turn.undone is not None:
        paper.line(f"Taken back: {_undone_text(turn.undone)}.", indent=1, hang=3)
    elif turn.recorded is not None:
        verb = "Struck" if turn.verb == "strike" else "Stored"
        for event in turn.recorded.events:
            paper.line(f"{verb} {event.number}: {evidence_text(event.what)}", indent=1, hang=3)
        for note in turn.recorded.notes:
            paper.line(f"{verb}: note: {note}", indent=1, hang=3)
        if turn.recorded.proofs:
            paper.blank()
            write_proofs(paper, turn.recorded)
    elif turn.place:
        can = "can" if turn.verb == "unbar" else "cannot"
        paper.line(f"Kept: {turn.place} {can} be reached.", indent=1)
    else:
        paper.line("Kept: that step is not wanted. 'undo' takes it back.", indent=1)
    paper.blank()


def _undone_text(undone: Undone) -> str:
    doing = undone.doing
    if doing is None:
        return "nothing more"
    if doing.number:
        return f"{doing.number}, {evidence_text(undone.standing.job.events[doing.number - 1].what)}"
    if doing.step is not None:
        return f"'{step_text(doing.step)}' may be proposed again"
    return f"{doing.place} can be reached"


def _shares(paper: Paper, standing: Standing) -> None:
    """The suspects as bars."""
    write_trouble(paper, standing, talking=True)
    if standing.posterior is not None:
        write_suspects(paper, standing.posterior, most=4)
        paper.blank()


def write_words(paper: Paper) -> None:
    """Write what may be typed.

    Parameters
    ----------
    paper : Paper
        Where to.
    """
    for words, means in _WORDS:
        paper.pair(words, means, indent=1, column=22)


def write_parting(paper: Paper, standing: Standing) -> None:
    """Write where the job is kept and how to go on.

    Parameters
    ----------
    paper : Paper
        Where to.
    standing : Standing
        The job.
    """
    path = standing.job.path
    count = len(standing.job.events)
    paper.line(f"{count} {'entry' if count == 1 else 'entries'} kept in {path}. Go on with: {command_text('bench', path)}", hang=2)
