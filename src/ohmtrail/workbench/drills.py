"""Drills: plant a hidden fault, answer what the learner asks, mark the way to it, sum up a class."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from os import PathLike, fspath

from ohmtrail.circuit.meter import check_possible
from ohmtrail.diagnosis import Case, Mended, Step, repeats
from ohmtrail.errors import JobError, ReadingError, nearest
from ohmtrail.faults import Mend
from ohmtrail.grammar import Asked, Context, Put, ToMend, read_question
from ohmtrail.grammar.asking import mend_named
from ohmtrail.grammar.names import Names
from ohmtrail.harness import load_harness
from ohmtrail.harness.parts import Switch
from ohmtrail.reports.drill_results import DrillEnd, DrillSummary, Ended, OpenDrill, Summarised
from ohmtrail.reports.phrases import step_text
from ohmtrail.reports.settings import setting_text
from ohmtrail.training import YEAR, Course, Done, Wish, best_route, danger_of, mark_of, plant_drill
from ohmtrail.workbench.drill_file import add_done, add_end, begin_drill, read_drill, read_end, refuse_taken
from ohmtrail.workbench.files import existing

__all__ = ["ask", "end_drill", "hint", "new_drill", "open_drill", "summarise_drills", "things_like"]


def new_drill(
    file: str | PathLike[str], *, wish: Wish, path: str | PathLike[str], by: str = "", now: datetime
) -> OpenDrill:
    """Plant a hidden fault on a machine and begin a drill file.

    Parameters
    ----------
    file : str or path
        A harness file.
    wish : Wish
        Level, function and seed; the same wish on the same machine is the same drill.
    path : str or path
        The drill file to make; nothing is overwritten.
    by : str
        Who practises.
    now : datetime
        With its zone.

    Returns
    -------
    OpenDrill
        With the complaint; the fault is hidden.

    Raises
    ------
    InputError
        The harness cannot be used, or there is no such fault on it.
    JobError
        Something has the drill file's name already.
    """
    case = Case(load_harness(existing(fspath(file))), year=YEAR)
    refuse_taken(fspath(path))
    if wish.function:
        wish = replace(wish, function=Names(case.harness).function(wish.function.split()))
    drill, route = plant_drill(case, wish)
    begin_drill(fspath(path), drill, harness_path=fspath(file), by=by, now=now)
    return OpenDrill(fspath(path), Course(drill), by, route=route)


def open_drill(path: str | PathLike[str]) -> OpenDrill:
    """Open a drill file where it was left.

    Parameters
    ----------
    path : str or path
        The file.

    Returns
    -------
    OpenDrill
        With everything that was done.

    Raises
    ------
    JobError
        It cannot be used.
    """
    return read_drill(existing(fspath(path)))


def ask(opened: OpenDrill, text: str, *, now: datetime) -> Done:
    """Do what a learner asks for; what cannot be understood takes no time and leaves no trace.

    Parameters
    ----------
    opened : OpenDrill
        The drill; it goes on.
    text : str
        A reading without its value, a look, a function to watch, the machine set, or a mend.
    now : datetime
        With its zone.

    Returns
    -------
    Done
        What came of it, written down already.

    Raises
    ------
    InputError
        It cannot be understood, or cannot be done so.
    JobError
        The drill has ended.
    BusyError, StorageError
        The file is in use, or cannot be written.
    """
    _still_open(opened)
    course, said = opened.course, " ".join(text.split())
    context = Context(course.drill.case.harness, course.bench.setting, course.meter)
    wanted = read_question(said, context)
    if isinstance(wanted, ToMend):
        return _kept(opened, course.mend(_mend(course, wanted.name), said), now)
    step = Step("watch", wanted.setting) if isinstance(wanted, Put) else wanted.step
    danger = danger_of(context.harness, course.meter, step)
    if danger is not None:
        return _kept(opened, Done("danger", said, note=danger.id), now)
    if isinstance(wanted, Put):
        return _kept(opened, _put(course, wanted, said), now)
    return _kept(opened, _taken(course, wanted, said), now)


def _still_open(opened: OpenDrill) -> None:
    if opened.ended is not None:
        raise JobError(f"the drill {opened.path!r} has ended: begin another one")


def _put(course: Course, wanted: Put, said: str) -> Done:
    if wanted.setting.engine != "still" or wanted.setting.moved:
        raise ReadingError("a turning engine and moved wiring hold for one reading only: write it behind that reading, 'with engine cranking'")
    if wanted.setting == course.bench.setting:
        raise ReadingError(f"the machine stands so already: {setting_text(wanted.setting)}")
    return course.put(wanted.setting, said)


def _taken(course: Course, wanted: Asked, said: str) -> Done:
    if wanted.step.kind == "measure":
        check_possible(wanted.step.quantity, wanted.step.setting, course.meter)
    return course.take(wanted.step, said)


def _mend(course: Course, name: str) -> Mend:
    known = course.drill.case.mends()
    if not name:
        raise ReadingError("name the mend, as in 'mend renew stop-2'; 'mends WORD' lists them")
    found = mend_named(name, {mend: faults[0].mend.element for mend, faults in known.items()})
    return known[found][0].mend


def _kept(opened: OpenDrill, done: Done, now: datetime) -> Done:
    add_done(opened, done, now)
    opened.course.keep(done)
    return done


def hint(opened: OpenDrill, *, now: datetime) -> Done:
    """Say what the tool would do next; it costs points and no minutes. Asked for twice in a row it is the same, and costs once.

    Parameters
    ----------
    opened : OpenDrill
        The drill.
    now : datetime
        With its zone.

    Returns
    -------
    Done
        With a sentence; a mend is not given away.
    """
    _still_open(opened)
    course = opened.course
    if course.done and course.done[-1].kind == "hint":
        return course.done[-1]
    case = course.drill.case
    step = case.next_step(case.assess(course.history), course.bench).step
    if step is None:
        note = "Nothing within reach tells more: name what is likeliest."
    elif step.kind == "mend":
        note = "Your readings say enough, or nothing cheap tells more: name the mend they point to."
    else:
        again = "once more, one slip could have made the answer: " if any(repeats(step, item) for item in course.history if not isinstance(item, Mended)) else ""
        note = f"{again}{step_text(step)}; set: {setting_text(step.setting)}."
    return _kept(opened, Done("hint", "hint", note=note), now)


def end_drill(opened: OpenDrill, *, now: datetime) -> DrillEnd:
    """Mark a drill; one in which something is still wrong is given up by it.

    Parameters
    ----------
    opened : OpenDrill
        The drill; its result is written down unless it is there.
    now : datetime
        With its zone.

    Returns
    -------
    DrillEnd
        With what was planted.
    """
    drill = opened.course.drill
    if opened.route is None:
        opened.route = best_route(drill)
    mark = mark_of(opened.course, opened.route)
    outcome = "luck" if mark.luck else "right" if mark.right else "given-up"
    ended = Ended(
        mark.points, outcome, " and ".join(item.fault.words for item in drill.planted), ", ".join(drill.mends),
        mark.minutes, mark.best_minutes, mark.readings, mark.best_readings,
        len(mark.vain), len(mark.dangers), mark.hints, len(mark.told_nothing), " ".join(mark.dangers),
    )  # fmt: skip
    if opened.ended is None:
        add_end(opened, ended, now)
        opened.ended = ended
    return DrillEnd(opened, mark, opened.route, ended)


def summarise_drills(paths: Sequence[str | PathLike[str]]) -> DrillSummary:
    """Sum up the drills of several learners.

    Parameters
    ----------
    paths : sequence of str or path
        Drill files, ended or not.

    Returns
    -------
    DrillSummary
        In the order given.

    Raises
    ------
    JobError
        One is no drill file.
    """
    made = []
    for path in paths:
        name = existing(fspath(path))
        start, ended = read_end(name)
        made.append(Summarised(name, start["by"], start["machine"], start["level"], start["seed"], start["complaint"], ended))
    return DrillSummary(tuple(made))


def things_like(opened: OpenDrill, word: str, *, mends: bool = False) -> tuple[str, ...]:
    """Give the names that a word is part of: functions, switches with their positions, points, places; or mends.

    Parameters
    ----------
    opened : OpenDrill
        The drill.
    word : str
        Part of a name; all of them where it is empty.
    mends : bool
        Mends instead.

    Returns
    -------
    tuple of str
        In the order of the harness file; the nearest where none has the word in it.
    """
    case = opened.course.drill.case
    harness = case.harness
    switches = [f"{name} at {' or '.join(part.positions)}" for name, part in harness.parts.items() if isinstance(part, Switch)]
    others = (name for name, part in harness.parts.items() if not isinstance(part, Switch))
    points = (*harness.functions, *switches, *others, *harness.points, *harness.leads, *harness.places)
    known = tuple(dict.fromkeys(case.mends() if mends else points))
    found = tuple(name for name in known if word.casefold() in name.casefold())
    return found or nearest(word, known)
