"""The next step as one full instruction, and the suspects as bars under it."""

from __future__ import annotations

from collections.abc import Container, Iterable

from ohmtrail.diagnosis import Outcome, Posterior, Step
from ohmtrail.reports.figures import band_text, joined, minutes_text, share_text
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import command_text, element_text, place_text, point_text, suspect_text
from ohmtrail.reports.preparing import step_changes
from ohmtrail.reports.reasons import group_text, reasons_of
from ohmtrail.reports.results import Next, Standing
from ohmtrail.reports.settings import setting_kept
from ohmtrail.reports.survey import TAKE_AGAIN, expected_words
from ohmtrail.reports.trouble import stuck_text, write_trouble
from ohmtrail.survey import stages_of

__all__ = ["QUANTITIES", "headline", "outcome_texts", "survey_pairs", "write_header", "write_instruction", "write_next", "write_suspects"]
_COLUMN = 12
_MARGIN = 16
QUANTITIES = {
    "ohms": "Ohms",
    "volts": "Volts DC",
    "ac": "Volts AC",
    "peak": "Peak volts",
    "diode": "Diode",
    "beep": "Beeper",
    "lamp": "Test lamp",
    "amps": "Clamp",
}


def write_header(paper: Paper, standing: Standing) -> None:
    """Write the machine, the complaint and the minutes so far.

    Parameters
    ----------
    paper : Paper
        Where to.
    standing : Standing
        The job.
    """
    job = standing.job
    paper.edges(f" {job.start.machine} · {job.start.complaint or 'survey'}", f"{job.minutes:.0f} min so far" if job.minutes >= 1.0 or not job.minutes else f"{minutes_text(job.minutes)} so far")


def write_suspects(paper: Paper, posterior: Posterior, *, most: int = 5, mends: bool = False) -> None:
    """Write the suspects as bars, what is left over as one.

    Parameters
    ----------
    paper : Paper
        Where to.
    posterior : Posterior
        The suspects.
    most : int
        How many are named.
    mends : bool
        Whether to say what would put each right.
    """
    named = [item for item in posterior.answers[:most] if item.share >= 0.005] or list(posterior.answers[:1])
    left = [item for item in posterior.answers[len(named) :] if item.share > 1e-4]
    rows = [(suspect_text(posterior, item), item.share) for item in named]
    if left:
        noun = "other" if len(left) == 1 else "others"
        rows.append((f"{len(left)} {noun}", sum(item.share for item in left)))
    rows.append(("something that is not listed", posterior.unlisted))
    for index, (words, share) in enumerate(rows):
        _bar(paper, words, share)
        if mends and index < len(named):
            paper.line(f"mend: {joined(named[index].mends)}", indent=5, hang=7)


def _bar(paper: Paper, words: str, share: float) -> None:
    """One suspect; name above its bar where there is no room beside it."""
    if paper.aloud:
        paper.line(f"{words}: {share_text(share)}")
        return
    length, tail = max(8, paper.width // 4), 11
    bar = f"{paper.bar(share, length)} {share_text(share).rjust(tail)}"
    room = paper.width - length - tail - 4
    shown = paper.text(words)
    if len(shown) <= room and not paper.narrow:
        paper.lines.append(f" {shown.ljust(room)}  {bar}")
    else:
        paper.line(words, indent=1, hang=3)
        paper.lines.append(f" {bar.rjust(paper.width - 1)}".rstrip())


def write_next(paper: Paper, shown: Next, *, header: bool = True) -> None:
    """Write what to do next.

    Parameters
    ----------
    paper : Paper
        Where to.
    shown : Next
        The proposal.
    header : bool
        Whether to begin with machine and minutes.
    """
    if header:
        write_header(paper, shown.standing)
        paper.blank()
    write_trouble(paper, shown.standing)
    write_instruction(paper, shown)
    if shown.standing.posterior is not None:
        paper.blank()
        write_suspects(paper, shown.standing.posterior)


def write_instruction(paper: Paper, shown: Next, *, talking: bool = False, heard: Container[str] = ()) -> None:
    """Write the step alone, or that there is none.

    Parameters
    ----------
    paper : Paper
        Where to.
    shown : Next
        The proposal.
    talking : bool
        Whether this stands in a conversation: cautions come first, and words are typed instead of commands.
    heard : container of str
        Ids of cautions that were read in full before; a few words recall them.
    """
    step = shown.proposal.step
    if step is None:
        _nothing(paper, shown, talking=talking)
    elif talking:
        _careful(paper, shown, heard)
        paper.blank()
        _instruction(paper, shown, step)
    else:
        _instruction(paper, shown, step)
        paper.blank()
        _careful(paper, shown, ())


def _careful(paper: Paper, shown: Next, heard: Container[str]) -> None:
    for item in shown.cautions:
        if item.id not in heard:
            paper.line(f"Careful: {item.text}", indent=4, hang=13)
    if known := [item.brief for item in shown.cautions if item.id in heard]:
        paper.line(f"Careful as before: {'; '.join(known)}.", indent=4, hang=13)


def _nothing(paper: Paper, shown: Next, *, talking: bool) -> None:
    group = shown.proposal.group
    paper.line(stuck_text(shown.standing), indent=1)
    posterior = shown.standing.posterior
    if group and posterior is not None:
        paper.line(f"It is one of: {group_text(posterior, group)}.", indent=1, hang=3)
    if shown.standing.job.bench.barred:
        names = ", ".join(sorted(shown.standing.job.bench.barred))
        undo = "can reach PLACE" if talking else command_text("next", shown.standing.job.path, "--reachable PLACE")
        paper.line(f"Not reachable, as you said: {names}. That is taken back by: {undo}", indent=1)


def _instruction(paper: Paper, shown: Next, step: Step) -> None:
    """Place, setting, probes, outcomes, cautions."""
    paper.edges(f" {shown.number}  {headline(shown, step)}", minutes_text(shown.proposal.minutes))
    harness, now = shown.standing.job.harness, shown.standing.job.bench.setting
    for place in shown.opens:
        reach = harness.places[place].reach
        paper.pair("Open", f"{place_text(harness, place)} ({minutes_text(reach)})", indent=4, column=_COLUMN)
    if changes := step_changes(harness, shown.standing.job.bench, step):
        paper.pair("Set", " · ".join(changes), indent=4, column=_COLUMN)
    kept = setting_kept(harness, now, step.setting) if step.kind in ("measure", "watch") else ()
    if kept:
        paper.pair("Leave", " · ".join(kept), indent=4, column=_COLUMN)
    _probes(paper, shown, step)
    for head, text in survey_pairs(shown):
        paper.pair(head, text, indent=4, column=_COLUMN)
    for reason in reasons_of(shown):
        paper.line(reason, indent=4)
    _outcomes(paper, shown, step)


def headline(shown: Next, step: Step) -> str:
    """Say what is to be done, in a few words.

    Parameters
    ----------
    shown : Next
        The proposal.
    step : Step
        Its step.

    Returns
    -------
    str
        Such as ``Volts AC at ignition-module.CH``.
    """
    harness = shown.standing.job.harness
    if step.kind == "measure":
        return f"{QUANTITIES[step.quantity]} at {step.probed}"
    if step.kind == "watch":
        called = harness.functions[step.function].called or step.function
        if shown.standing.assessment.to_prove:
            return f"Prove it: watch {called}"
        return f"Move the wiring at {step.setting.moved} and watch: {called}" if step.setting.moved else f"Watch: {called}"
    if step.kind == "look":
        return f"Look closely at {step.element}"
    mend = step.mend.id if step.mend else ""
    return f"Mend: {mend}" if shown.proposal.named is not None else f"Try a mend: {mend}"


def _probes(paper: Paper, shown: Next, step: Step) -> None:
    harness = shown.standing.job.harness
    if step.kind == "measure" and step.quantity == "amps":
        paper.pair("Clamp", f"around {point_text(harness, step.red, step.setting)}", indent=4, column=_COLUMN)
    elif step.kind == "measure":
        for side, point in (("Red", step.red), ("Black", step.black)):
            text = f"{point}   {point_text(harness, point, step.setting)}"
            paper.pair(side, text, indent=4, column=_COLUMN)
    elif step.kind == "look":
        if where := element_text(harness, step.element):
            paper.pair("At", where, indent=4, column=_COLUMN)
    elif step.kind == "watch":
        seen_at = harness.functions[step.function].seen_at
        fails = harness.functions[step.function].fails_as
        tail = f" (when it fails: {fails})" if fails else ""
        if seen_at:
            paper.pair("At", f"{seen_at}{tail}", indent=4, column=_COLUMN)


def survey_pairs(shown: Next) -> tuple[tuple[str, str], ...]:
    """Say which reading of a survey it is, what a sound machine shows, and what must be true before it.

    Parameters
    ----------
    shown : Next
        The proposal.

    Returns
    -------
    tuple of (str, str)
        Labels and what belongs to them; none where it is no reading of a survey.
    """
    planned, job = shown.planned, shown.standing.job
    if planned is None:
        return ()
    stages = stages_of(job.harness)
    stage = stages[planned.stage - 1]
    where = f"reading {planned.number} of {job.planned[-1].number}, stage {stage.number}: {stage.called}"
    pairs = [("Sound", expected_words(planned.step, planned.sound)), ("Survey", where)]
    if planned is next(item for item in job.planned if item.stage == planned.stage):
        before = max((item.stage for item in job.planned if item.stage < planned.stage), default=0)
        pairs += [("First", stages[before - 1].before_next)] if before else []
        pairs.append(("How", stage.how))
    return tuple([*pairs, ("Again", TAKE_AGAIN)] if shown.proposal.confirms else pairs)


def _outcomes(paper: Paper, shown: Next, step: Step) -> None:
    if not shown.outcomes:
        return
    paper.blank()
    for head, means in outcome_texts(step, shown.outcomes):
        paper.pair(head, means, indent=4, column=4 + _MARGIN)


def outcome_texts(step: Step, outcomes: Iterable[Outcome]) -> tuple[tuple[str, str], ...]:
    """Say what each outcome is, and what it would mean.

    Parameters
    ----------
    step : Step
        What is done.
    outcomes : iterable of Outcome
        What may come of it.

    Returns
    -------
    tuple of (str, str)
        Such as ``0 to 40 Ω``, and the mends it speaks for with their shares.
    """
    told = []
    for item in outcomes:
        means = ", ".join(f"{joined(mends)} {share_text(share)}" for mends, share in item.answers)
        told.append((item.word or band_text(step.quantity, item.low, item.high), means or "something that is not listed"))
    return tuple(told)
