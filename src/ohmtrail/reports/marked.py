"""A job as marks on a picture: readings, suspects, what is sound, the next reading, mends."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ohmtrail.diagnosis import Answer, Measured, Mended, Posterior, RuledOut, Seen, Step
from ohmtrail.drawing import Highlights, MendMark, NextMark, ReadingMark, SuspectMark
from ohmtrail.faults import Fault
from ohmtrail.harness import Harness
from ohmtrail.job import Event
from ohmtrail.reports.figures import joined, level_text, share_text, value_text
from ohmtrail.reports.phrases import evidence_text, place_text, point_text, suspect_text
from ohmtrail.reports.preparing import step_changes
from ohmtrail.reports.proposal import headline
from ohmtrail.reports.results import Next, Standing

__all__ = ["marks_of", "mend_marks", "reading_marks", "sentence_of", "suspect_mark"]

#: suspects below this share are left out of a picture, and so many are in it at most; own choice
LEAST_SHARE, MOST_SUSPECTS = 0.03, 6
#: an element whose suspects together are below this share counts as sound
SOUND_SHARE = 0.01


def marks_of(standing: Standing, ahead: Next | None, ruled_out: Iterable[RuledOut]) -> Highlights:
    """Give what a job lays over a picture.

    Parameters
    ----------
    standing : Standing
        The job.
    ahead : Next or None
        What to do next.
    ruled_out : iterable of RuledOut
        Answers that readings ruled out.

    Returns
    -------
    Highlights
        Readings that count, with the numbers of the job.
    """
    counting = [event for event in standing.job.counted if event.number not in standing.dropped]
    posterior = standing.posterior
    return Highlights(
        readings=reading_marks(standing.job.harness, counting),
        suspects=_suspects(posterior) if posterior is not None else (),
        ruled_out=_sound(standing.job.harness, posterior, ruled_out, standing.case.mends()) if posterior is not None else (),
        next=_next(ahead) if ahead is not None else None,
        mends=mend_marks(standing.job.counted, standing.case.mends()),
    )


def reading_marks(harness: Harness, events: Iterable[Event]) -> tuple[ReadingMark, ...]:
    """Give a flag for everything measured, watched or looked at.

    Parameters
    ----------
    harness : Harness
        The machine.
    events : iterable of Event
        What was done; mends give none.

    Returns
    -------
    tuple of ReadingMark
        In the same order.
    """
    return tuple(_flag(harness, event) for event in events if not isinstance(event.what, Mended))


def _flag(harness: Harness, event: Event) -> ReadingMark:
    item = event.what
    if isinstance(item, Measured):
        shown = "flickers" if item.flickers else value_text(item.quantity, item.value)
        black = "" if item.quantity == "amps" else item.black
        return ReadingMark(event.number, item.red, black, shown)
    words = evidence_text(item)
    if isinstance(item, Seen):
        shown = level_text(item.level, sometimes=item.sometimes)
        apart = next(iter((*sorted(item.setting.lifted), *sorted(item.setting.parted))), "")
        if apart:
            return ReadingMark(event.number, apart, "", f"{'lifted' if item.setting.lifted else 'parted'}: {shown}", words)
        seen_at = harness.functions[item.function].seen_at or ""
        return ReadingMark(event.number, seen_at, "", shown, words)
    assert not isinstance(item, Mended)
    return ReadingMark(event.number, item.element, "", "damaged" if item.damaged else "looks sound", words)


def mend_marks(events: Iterable[Event], mends: Mapping[str, tuple[Fault, ...]]) -> tuple[MendMark, ...]:
    """Give a mark for everything mended.

    Parameters
    ----------
    events : iterable of Event
        What was done.
    mends : mapping of str to tuple of Fault
        Every mend there is, with the faults it puts right.

    Returns
    -------
    tuple of MendMark
        In the same order.
    """
    done = [event.what.mend for event in events if isinstance(event.what, Mended)]
    return tuple(MendMark(mends[name][0].mend.element, name) for name in done)


def _suspects(posterior: Posterior) -> tuple[SuspectMark, ...]:
    leading = [item for item in posterior.answers if item.share >= LEAST_SHARE][:MOST_SUSPECTS]
    return tuple(suspect_mark(posterior, item) for item in leading)


def suspect_mark(posterior: Posterior, answer: Answer) -> SuspectMark:
    """Give the mark of one suspect.

    Parameters
    ----------
    posterior : Posterior
        Where the answer is from.
    answer : Answer
        The suspect.

    Returns
    -------
    SuspectMark
        On the elements of its likeliest fault.
    """
    elements = tuple(fault.element for fault in posterior.table.rows[answer.rows[0]].faults)
    words = suspect_text(posterior, answer)
    if len(elements) == 1:
        words = words.removeprefix(f"{elements[0]} ")
    return SuspectMark(elements, share_text(answer.share), words, answer.share)


def _sound(harness: Harness, posterior: Posterior, ruled_out: Iterable[RuledOut], mends: Mapping[str, tuple[Fault, ...]]) -> tuple[str, ...]:
    """Leads, contacts and parts that were in question and are so no longer; a lead's joints go without saying."""
    shares: dict[str, float] = {}
    for answer in posterior.answers:
        for element in {mends[mend][0].mend.element for mend in answer.mends if mend in mends}:
            shares[element] = shares.get(element, 0.0) + answer.share
    gone = (mends[mend][0].mend.element for item in ruled_out for mend in item.mends if mend in mends)
    return tuple(
        element for element in dict.fromkeys(gone) if shares.get(element, 0.0) < SOUND_SHARE and element not in harness.lead_ends
    )


def _next(ahead: Next) -> NextMark | None:
    step = ahead.proposal.step
    if step is None:
        return None
    measures = step.kind == "measure"
    black = step.black if measures and step.quantity != "amps" else ""
    return NextMark(step.red if measures else "", black, sentence_of(ahead, step))


def sentence_of(ahead: Next, step: Step) -> str:
    """Say a step as one instruction: what to open, how to set the machine, where the probes go.

    Parameters
    ----------
    ahead : Next
        The proposal.
    step : Step
        Its step.

    Returns
    -------
    str
        Sentences that stand one after another.
    """
    harness, bench = ahead.standing.job.harness, ahead.standing.job.bench
    said = [f"Open {joined([place_text(harness, place) for place in ahead.opens])}."] if ahead.opens else []
    changes = step_changes(harness, bench, step)
    if changes:
        said.append(f"Set: {', '.join(changes)}.")
    if step.kind != "measure":
        return " ".join((*said, f"{headline(ahead, step)}."))
    points = [f"{side} on {point} ({point_text(harness, point, step.setting)})" for side, point in (("red", step.red), ("black", step.black))]
    where = f"around {step.red}" if step.quantity == "amps" else ", ".join(points)
    return " ".join((*said, f"{headline(ahead, step).rpartition(' at ')[0]}: {where}."))
