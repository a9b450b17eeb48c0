"""A harness file's findings, and a function's path point by point."""

from __future__ import annotations

from ohmtrail.circuit.branches import usual_contacts
from ohmtrail.circuit.steps import Route, Step
from ohmtrail.harness.assumed import assumed_values
from ohmtrail.harness.findings import Finding
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Need
from ohmtrail.reports.figures import joined, level_text
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.results import Checked, Traced
from ohmtrail.reports.settings import setting_text
from ohmtrail.units import show

__all__ = ["MOST_OF_A_KIND", "write_checked", "write_trace"]

#: so many findings of one kind are told, then how many more
MOST_OF_A_KIND = 20

#: the kind of finding that is told as a table of its own
_ASSUMED = "assumed"
#: so many leads or parts are named for a value that was taken, then how many more
_MOST_NAMES = 6

#: currents below this are the insulation's own
_LEAST_A = 1e-5
_ROLES = {
    "main": "way of the current",
    "return": "back to the source",
    "side": "beside it: takes the volts away when it conducts",
    "shared": "beside it: other loads on the same feed",
}
#: what conducts inside a part, as the trade says it; else the part's own kind is said
_OF = {"contact": "contact of", "relay-contact": "contact of", "filament": "filament of", "coil": "winding of"}
_REGIMES = {"dc": "DC", "ac": "AC", "pulse": "pulses", "ohms": "measured dead"}


def write_checked(paper: Paper, checked: Checked) -> None:
    """Write findings as ``FILE:LINE:COL: kind: sentence; remedy``, then what was taken for granted and what it holds.

    Parameters
    ----------
    paper : Paper
        Where to.
    checked : Checked
        The findings.
    """
    told: dict[str, int] = {}
    shown = [found for found in checked.findings if found[0].code != _ASSUMED]
    alike: dict[tuple[object, ...], list[tuple[Finding, int, int]]] = {}
    for found in shown:
        alike.setdefault(_shared(*found), []).append(found)
    for (item, line, column), *others in alike.values():
        told[item.code] = told.get(item.code, 0) + 1
        if told[item.code] > MOST_OF_A_KIND:
            continue
        kind = "serious" if item.serious else "note"
        paper.line(f"{checked.file}:{line}:{column}: {kind}: {item.sentence}; {item.remedy}", hang=4)
        if others:
            paper.line(f"The same of {', '.join(f'{other.path[1]} (line {at})' for other, at, _ in others)}.", indent=4, hang=4)
    for code, count in told.items():
        if count > MOST_OF_A_KIND:
            paper.line(f"and {count - MOST_OF_A_KIND} more of the kind '{code}'")
    harness = checked.harness
    _write_assumed(paper, harness)
    held = ", ".join(f"{count} {word if count != 1 else word[:-1]}" for count, word in _held(harness))
    paper.line(f"{harness.harness}: {held}; {checked.serious} serious, {len(shown) - checked.serious} to look at.")


def _shared(item: Finding, line: int, column: int) -> tuple[object, ...]:
    """What makes findings one: of one kind, about one thing, with one remedy; else each stands for itself."""
    return (item.code, item.shared, item.serious, item.remedy) if item.shared else (item, line, column)


def _write_assumed(paper: Paper, harness: Harness) -> None:
    """What stands in for values that the file leaves out, and for what it stands in."""
    assumed = assumed_values(harness)
    if assumed:
        paper.line("Where the file says nothing, this is taken; measure what matters, and write it:")
    for item in assumed:
        names = [*item.names[:_MOST_NAMES], *([f"{len(item.names) - _MOST_NAMES} more"] if len(item.names) > _MOST_NAMES else [])]
        paper.line(f"{item.kind}: {item.values}: {', '.join(names)}", indent=1, hang=4)
    usual = [f"{what} {ohm * 1000:g} mΩ" for what, ohm in usual_contacts(harness)]
    if usual:
        paper.line(f"On every machine this is taken: {joined(usual)}.", hang=4)


def _held(harness: Harness) -> tuple[tuple[int, str], ...]:
    return ((len(harness.leads), "leads"), (len(harness.parts), "parts"), (len(harness.functions), "functions"))


def write_trace(paper: Paper, traced: Traced) -> None:
    """Write a function's path, terminal by terminal, with volts, amps and what conducts.

    Parameters
    ----------
    paper : Paper
        Where to.
    traced : Traced
        The path.
    """
    trace = traced.trace
    paper.line(f"{traced.harness.harness} · {trace.function.called or traced.function}", indent=1)
    paper.line(f"Set: {setting_text(traced.setting)}", indent=1, hang=6)
    level = min((item.level for item in trace.checked), default=2)
    paper.line(f"With everything sound it {level_text(level) if level != 1 else 'works weakly'}.", indent=1)
    for route in trace.routes:
        paper.blank()
        _route(paper, traced, route)


def _route(paper: Paper, traced: Traced, route: Route) -> None:
    state = "conducts" if route.conducts else "open"
    head = f"{_ROLES[route.role]} ({_REGIMES[route.regime]}), condition {route.need + 1}, {_need_words(traced.trace.function.needs[route.need])}: {state}"
    paper.line(head, indent=1, hang=3)
    cut = {point for gap in route.gaps for point in gap.points}
    for step in route.steps:
        if step.point not in traced.harness.lead_ends or step.point in cut:
            _point(paper, step)
        _onward(paper, traced.harness, route, step)


def _need_words(need: Need) -> str:
    """Which condition it is, in its own words of the file."""
    pair = need.dc or need.ac or need.pulse or need.ohms
    return f"{need.quantity} {' to '.join(pair) if pair else need.lit or need.works or need.sound}"


def _point(paper: Paper, step: Step) -> None:
    """One terminal; the crimps of a lead are told only where something is open."""
    volts = "" if step.volts is None else show(step.volts, "volt")
    paper.pair(volts.rjust(8), f"{step.point}  {step.state}", indent=3, column=14)


def _onward(paper: Paper, harness: Harness, route: Route, step: Step) -> None:
    """What leads to the next point."""
    if not step.branch:
        return
    gap = next((item.why for item in route.gaps if item.branch == step.branch), "")
    if not step.conducts:
        paper.line(f"OPEN {step.owner or step.branch}" + (f": {gap}" if gap else ""), indent=16, hang=18)
    elif step.kind != "joint":
        amps = f", {show(step.amps, 'ampere')}" if step.amps and step.amps > _LEAST_A else ""
        paper.line(f"| {_conductor(harness, step)}{amps}", indent=16, hang=18)


def _conductor(harness: Harness, step: Step) -> str:
    """What carries the current on: a lead, an earth, a part or what is inside it."""
    part = harness.parts.get(step.owner)
    if part is None or step.kind == "earth":
        return f"{step.kind} {step.owner}"
    words = part.kind if step.kind not in _OF or part.kind == "coil" else _OF[step.kind]
    return step.owner if words == step.owner else f"{words} {step.owner}"
