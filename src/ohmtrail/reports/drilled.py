"""Drills in words: the complaint, each answer with its minutes, the mark, a class summed up."""

from __future__ import annotations

from collections import Counter

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis import Bench, Step, caution, cautions_for
from ohmtrail.reports.drill_results import DrillEnd, DrillSummary, Ended, OpenDrill, Summarised
from ohmtrail.reports.figures import joined, level_text, minutes_text, share_text
from ohmtrail.reports.jobs import WHO_DECIDES
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.phrases import command_text, evidence_text, place_text
from ohmtrail.reports.preparing import step_changes
from ohmtrail.reports.settings import setting_text
from ohmtrail.training import Done
from ohmtrail.training.marking import DANGER, GRACE_MIN, HINT, LUCK

__all__ = [
    "HOW_TO_ASK",
    "write_done",
    "write_drill",
    "write_end",
    "write_stand",
    "write_summary",
]

#: what a learner can type; label and what it does
HOW_TO_ASK = (
    ("ohms A to B", "a reading: also volts, ac, diode, beep, lamp"),
    ("... with X lifted", "how the machine is set for it: 'battery off', 'SWITCH POSITION', 'PLUG parted', 'engine cranking', 'moving PLACE'"),
    ("watch FUNCTION", "try it, and see how it works"),
    ("look THING", "a close look at a lead or a part"),
    ("lift, part, set", "set the machine and read nothing: 'lift LEAD.from', 'part PLUG', 'set SWITCH on', 'set all back'"),
    ("mend NAME", "make a mend and try the complaint; 'mends WORD' lists them"),
    ("names WORD", "names that have this word in them; 'list' what was done"),
    ("hint", f"what to do next; {HINT} points"),
    ("give up", "end it and see what it was; 'stop' to go on later"),
)
#: why a reading told nothing
_NOTHING = {
    "same": "it reads the same for every suspect left",
    "unlikely": "every suspect left but the most unlikely reads so",
    "again": "it was read already",
}
_OUTCOMES = {"right": "right", "luck": "right by luck", "given-up": "given up"}


def _complaint(opened: OpenDrill) -> str:
    drill = opened.course.drill
    item = drill.case.harness.functions[drill.complaint.function]
    called = item.called or drill.complaint.function.replace("-", " ")
    how = level_text(drill.complaint.level, sometimes=drill.complaint.sometimes)
    owner = f" ({item.fails_as})" if item.fails_as and drill.complaint.level == 0 and not drill.complaint.sometimes else ""
    return f"{called} {how}{owner}"


def write_drill(paper: Paper, opened: OpenDrill, harness: str = "") -> None:
    """Write the complaint, and how one asks; of a drill that goes on, what was done.

    Parameters
    ----------
    paper : Paper
        Where to.
    opened : OpenDrill
        The drill.
    harness : str
        The harness file, for how to see the machine.
    """
    drill = opened.course.drill
    paper.edges(f" {drill.case.harness.harness} · {_complaint(opened)}", f"drill {drill.wish.seed}, {drill.wish.level}")
    paper.blank()
    if opened.course.done:
        write_stand(paper, opened)
        paper.line("'help' says what can be asked.", indent=1)
        return
    faults = "Two faults are" if drill.wish.level == "double" else "One fault is"
    function = drill.complaint.function
    paper.line(
        f"{faults} hidden in this machine. Ask for readings as you would take them, find it in as few minutes as you can, "
        f"and name the mend. The function to watch is {function}; it is tried with: {setting_text(drill.complaint.setting)}. "
        "The machine stands as it came in: nothing opened, battery on, all at rest.",
        indent=1,
    )
    if harness:
        paper.line(f"To see it: {command_text('draw', harness, f'--function {function} -o machine.html')}", indent=1)
    paper.line(f"Everything you do is kept in {opened.path}.", indent=1)
    paper.line(WHO_DECIDES, indent=1)
    paper.blank()
    for head, text in HOW_TO_ASK:
        paper.pair(head, text, indent=3, column=23)


def write_stand(paper: Paper, opened: OpenDrill) -> None:
    """Write what was done so far and how the machine stands.

    Parameters
    ----------
    paper : Paper
        Where to.
    opened : OpenDrill
        The drill.
    """
    course = opened.course
    if not course.done:
        paper.line("Nothing was done yet.", indent=1)
    for number, item in enumerate(course.done, start=1):
        _write_line(paper, opened, number, item)
    paper.line(f"{minutes_text(course.minutes)} so far; the machine stands: {setting_text(course.bench.setting)}.", indent=1)


def write_done(paper: Paper, opened: OpenDrill, done: Done) -> None:
    """Write what came of the thing that was done last.

    Parameters
    ----------
    paper : Paper
        Where to.
    opened : OpenDrill
        The drill, with this already done.
    done : Done
        The thing.
    """
    harness, course = opened.course.drill.case.harness, opened.course
    _write_line(paper, opened, len(course.done), done)
    for place in done.opened:
        paper.line(f"opened: {place_text(harness, place)} ({minutes_text(harness.places[place].reach)})", indent=5, hang=7)
    told = {item.id for other in course.done[:-1] if other.step is not None for item in cautions_for(harness, other.step)}
    for item in cautions_for(harness, done.step) if done.step is not None else ():
        if item.id not in told:
            paper.line(f"Careful: {item.text}", indent=5, hang=7)
    if done.kind == "mend" and done.result is not None and not course.mended:
        paper.line(_still_wrong(done), indent=5, hang=7)


def _still_wrong(done: Done) -> str:
    if done.cured:
        return "That was one of the faults; something else is wrong as well."
    return "Nothing was wrong there."


def _write_line(paper: Paper, opened: OpenDrill, number: int, done: Done) -> None:
    total = sum(item.minutes for item in opened.course.done[:number])
    took = f"   [{minutes_text(done.minutes)}, {minutes_text(total)} so far]" if done.step is not None else ""
    paper.line(f"{number:>2}  {_what(done)}{took}", indent=1, hang=5)


def _what(done: Done) -> str:
    if done.kind == "danger":
        return f"STOPPED: {done.said}. {caution(done.note).text} Minus {DANGER} points."
    if done.kind == "hint":
        return f"Hint: {done.note} Minus {HINT} points."
    if done.kind == "set" and done.step is not None:
        return f"set: {setting_text(done.step.setting)}"
    if done.result is None:
        return done.said
    tried = f"; {evidence_text(done.tried, setting=False)}" if done.tried is not None else ""
    return f"{evidence_text(done.result)}{tried}"


# ---- the end ----


def write_end(paper: Paper, end: DrillEnd) -> None:
    """Write the mark and what it rests on.

    Parameters
    ----------
    paper : Paper
        Where to.
    end : DrillEnd
        The drill that has ended.
    """
    mark = end.mark
    paper.edges(f" {_verdict(end)}", f"{mark.points} of 100")
    paper.line(f"It was: {end.ended.fault}. Mend: {joined(end.opened.course.drill.mends)}.", indent=1)
    paper.blank()
    rows = [
        ("", "you", "Ohmtrail's route"),
        ("minutes", minutes_text(mark.minutes), minutes_text(mark.best_minutes)),
        ("readings", str(mark.readings), str(mark.best_readings)),
        ("mends in vain", str(len(mark.vain)), str(end.route.vain)),
    ]
    paper.table(rows, indent=3)
    paper.blank()
    _write_why_mark(paper, end)
    _write_told(paper, end)
    _write_route(paper, end)


def _verdict(end: DrillEnd) -> str:
    mark = end.mark
    if mark.luck:
        return f"Right, but it was luck: your readings left that mend at {share_text(mark.share)}."
    if mark.right:
        return f"Right: your readings had that mend at {share_text(mark.share)}."
    return "Given up: no mark without the mend."


def _write_why_mark(paper: Paper, end: DrillEnd) -> None:
    mark = end.mark
    unsaved = f"{minutes_text(mark.direct_minutes)} of these nobody can save: they are the way to the mend, the mend and its trial."
    if not mark.right and not mark.luck:
        unsaved = f"Nobody does it in less than {minutes_text(mark.direct_minutes)}: the way to the mend, the mend and its trial."
    lost = f" Mends in vain cost {minutes_text(mark.lost)} more in parts." if mark.lost else ""
    paper.line(f"{unsaved}{lost} The mark is the search on Ohmtrail's route over yours, {GRACE_MIN:.0f} min let go.", indent=1)
    off = [f"{len(mark.dangers)} stopped: minus {DANGER * len(mark.dangers)}"] if mark.dangers else []
    off += [f"{_counted(mark.hints, 'hint')}: minus {HINT * mark.hints}"] if mark.hints else []
    off += [f"by luck: {LUCK} at most"] if mark.luck else []
    if off:
        paper.line(f"{'; '.join(off).capitalize()}.", indent=1)


def _write_told(paper: Paper, end: DrillEnd) -> None:
    most, nothing = end.mark.told_most, end.mark.told_nothing
    paper.blank()
    if most is not None:
        shares = f"the fault went from {share_text(most.before)} to {share_text(most.after)}"
        paper.line(f"Told most: {most.number}, {evidence_text(most.evidence)}: {shares}.", indent=1, hang=3)
    for why, words in _NOTHING.items():
        items = [item for item in nothing if item.why == why]
        if items:
            paper.line(f"Told nothing, for {words}:", indent=1)
        for item in items:
            earlier = f", as {item.earlier}" if item.earlier else ""
            paper.line(f"{item.number:>2}  {evidence_text(item.evidence, setting=False)}{earlier}", indent=3, hang=7)


def _write_route(paper: Paper, end: DrillEnd) -> None:
    paper.blank()
    paper.line("Ohmtrail's route from this complaint:", indent=1)
    harness, bench = end.opened.course.drill.case.harness, Bench(Setting())
    for number, item in enumerate(end.route.done, start=1):
        step, result = item.step, item.result
        if step is None or result is None:
            continue
        changes = step_changes(harness, bench, step)
        set_words = f" ({', '.join(changes)})" if changes else ""
        tried = f"; {evidence_text(item.tried, setting=False)}" if item.tried is not None else ""
        paper.line(f"{number:>2}  {evidence_text(result, setting=False)}{tried}{set_words}   [{minutes_text(item.minutes)}]", indent=1, hang=5)
        bench = bench.after(harness, step)
        if item.tried is not None:
            bench = bench.after(harness, Step("watch", item.tried.setting, function=item.tried.function))


# ---- a class ----


def write_summary(paper: Paper, summary: DrillSummary) -> None:
    """Write the drills of several learners.

    Parameters
    ----------
    paper : Paper
        Where to.
    summary : DrillSummary
        Their results.
    """
    for item in summary.drills:
        paper.pair(item.by or item.path, _summed_up(item), column=20)
    paper.blank()
    ended = summary.ended
    if not ended:
        paper.line("None of these drills has ended.", indent=1)
        return
    right = sum(item.outcome == "right" for item in ended)
    luck = sum(item.outcome == "luck" for item in ended)
    mean = sum(item.points for item in ended) / len(ended)
    paper.line(f"{len(ended)} ended, {right} right, {luck} by luck; mean mark {mean:.0f}.", indent=1)
    for name, count in Counter(word for item in ended for word in item.stopped.split()).most_common():
        paper.line(f"Stopped {_counted(count, 'time')}: {caution(name).text}", indent=1, hang=3)
    for fault, items in _by_fault(ended).items():
        marks = ", ".join(str(item.points) for item in items)
        paper.line(f"{fault}: marks {marks}.", indent=1, hang=3)


def _by_fault(ended: tuple[Ended, ...]) -> dict[str, list[Ended]]:
    found: dict[str, list[Ended]] = {}
    for item in ended:
        found.setdefault(item.fault, []).append(item)
    return found


def _summed_up(item: Summarised) -> str:
    ended = item.ended
    if ended is None:
        return f"drill {item.seed} ({item.level}) is not ended"
    best = f"Ohmtrail's route takes {minutes_text(ended.best_minutes)} and {_counted(ended.best_readings, 'reading')}"
    told = [
        f"{minutes_text(ended.minutes)} of work" if ended.minutes else "ended before anything was measured or mended",
        *([_readings_told(ended)] if ended.readings else []),
        *([f"{_counted(ended.vain, 'mend')} in vain"] if ended.vain else []),
        *([f"{_counted(ended.dangers, 'dangerous step')} stopped"] if ended.dangers else []),
        *([_counted(ended.hints, "hint")] if ended.hints else []),
    ]
    outcome = _OUTCOMES.get(ended.outcome, ended.outcome)
    return f"{ended.points} of 100, {outcome}; drill {item.seed} ({item.level}): {', '.join(told)}; {best}"


def _readings_told(ended: Ended) -> str:
    """How many readings there were, and how many of them brought nothing."""
    readings = _counted(ended.readings, "reading")
    if not ended.nothing:
        return readings
    if ended.nothing == ended.readings:
        return f"{readings} that told nothing new"
    return f"{readings}, {ended.nothing} of which told nothing new"


def _counted(count: int, what: str) -> str:
    return f"{count or 'no'} {what}{'' if count == 1 else 's'}"
