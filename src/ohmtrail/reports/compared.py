"""A comparison of two machines in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ohmtrail.changes import Comparison
from ohmtrail.changes.compare import LEAST_A, LEAST_OHM, LEAST_V, FunctionChange, Protection
from ohmtrail.changes.flowing import Carried, Fed, Way
from ohmtrail.changes.identity import Altered, Difference
from ohmtrail.reports.changes import plain_text
from ohmtrail.reports.figures import joined, level_text
from ohmtrail.reports.paper import Paper
from ohmtrail.units import show

__all__ = [
    "carried_text",
    "difference_text",
    "fed_text",
    "function_text",
    "grouped_protection",
    "grouped_sharing",
    "protection_text",
    "sharing_text",
    "verdict",
    "way_texts",
    "write_compared",
]

Shared = tuple[frozenset[str], frozenset[str]]

_ONE = {"parts": "part", "leads": "lead", "functions": "function", "places": "place", "looms": "loom", "machine": "machine"}
#: so many names of one list are told, then how many more
_MOST = 12

#: says of a way that its ohms are what they were
_SAME = "same"


def verdict(found: Comparison) -> str:
    """Say in one sentence how two machines compare.

    Parameters
    ----------
    found : Comparison
        What was found.

    Returns
    -------
    str
        A sentence.
    """
    if not found.differences:
        return "Same circuit: nothing differs."
    if found.renamed:
        count = sum(item.kind == "renamed" for item in found.differences)
        return f"Same circuit under other names: {count} renamed."
    if found.same:
        return "Same circuit: what differs is not electrical."
    return "Not the same circuit."


def difference_text(item: Difference) -> str:
    """Say what differs about one element.

    Parameters
    ----------
    item : Difference
        One difference.

    Returns
    -------
    str
        Such as ``lead stop-2 changed: covering rubber → crosslinked``.
    """
    name = _ONE[item.section]
    if item.kind == "renamed":
        return f"{name} {item.was} is now {item.id}"
    if item.kind == "changed":
        return f"{name} {item.id} changed: {', '.join(_altered(value) for value in item.values)}"
    short = {value.key: value.after or value.before for value in item.values if value.key not in ("called", "note", "how", "needs", "when")}
    return f"{name} {item.id} {item.kind}: {plain_text(short)}"


def _altered(value: Altered) -> str:
    if value.key in ("called", "note", "how"):
        return value.key
    if value.key in ("renewed", "altered") and not value.before:
        return f"{value.key} {plain_text(value.after)}"
    return f"{value.key} {plain_text(value.before)} → {plain_text(value.after)}"


def function_text(item: FunctionChange) -> str:
    """Say what became of a function.

    Parameters
    ----------
    item : FunctionChange
        One function.

    Returns
    -------
    str
        One line.
    """
    levels = ["not there" if level is None else _level(level) for level in (item.before, item.after)]
    said = {"lost": "lost", "gained": "gained", "changed": "asked for otherwise", "level": "works otherwise"}[item.kind]
    told = "" if item.kind == "lost" else f": {levels[1]}" if item.kind == "gained" else f": {levels[0]} before, {levels[1]} after"
    return f"{item.function} {said}{told}"


def _level(level: int) -> str:
    return "works weakly" if level == 1 else level_text(level)


def fed_text(item: Fed | None) -> tuple[str, str]:
    """Say what a load gets.

    Parameters
    ----------
    item : Fed or None
        Volts and amps.

    Returns
    -------
    tuple of str
        Volts and amps, ``–`` where it is not there.
    """
    return ("–", "–") if item is None else (f"{item.volts:.2f} V", f"{item.amps:.2f} A")


def carried_text(item: Carried | None) -> str:
    """Say what a contact carries, and what it is made for.

    Parameters
    ----------
    item : Carried or None
        The greatest amps.

    Returns
    -------
    str
        Such as ``3.2 A of 10 A``.
    """
    if item is None:
        return "–"
    return f"{item.amps:.2f} A" + (f" of {show(item.rating, 'ampere')}" if item.rating is not None else "")


def way_texts(pair: tuple[Way | None, Way | None]) -> list[str]:
    """Say the ohms in a way before and after.

    Parameters
    ----------
    pair : tuple of Way or None
        Before and after.

    Returns
    -------
    list of str
        Before, an arrow, after; ``same`` for less than `LEAST_OHM`.
    """
    before, after = pair
    ohms = ["–" if item is None else f"{item.ohm * 1000:.0f} mΩ" for item in pair]
    same = before is not None and after is not None and abs(before.ohm - after.ohm) < LEAST_OHM
    return [ohms[0], "" if same else "→", _SAME if same else ohms[1]]


def protection_text(fuses: tuple[str, ...] | None) -> str:
    """Say what a lead lies behind.

    Parameters
    ----------
    fuses : tuple of str or None
        Ids of fuses; None where the lead is not there.

    Returns
    -------
    str
        Words for a table.
    """
    if fuses is None:
        return "not there"
    return joined(fuses) if fuses else "no fuse"


def grouped_protection(items: Iterable[Protection]) -> dict[tuple[str, str], list[str]]:
    """Give leads by what they lay behind before and lie behind after.

    Parameters
    ----------
    items : Iterable[Protection]
        One for each lead.

    Returns
    -------
    dict of (str, str) to list of str
        What they lay and lie behind, in words, to ids of leads.
    """
    found: dict[tuple[str, str], list[str]] = {}
    for item in items:
        found.setdefault((protection_text(item.before), protection_text(item.after)), []).append(item.lead)
    return found


def grouped_sharing(shared: Mapping[str, Shared]) -> dict[Shared, list[str]]:
    """Give elements by the functions that hung on them before and that do now.

    Parameters
    ----------
    shared : Mapping[str, Shared]
        Id of an element, and its functions.

    Returns
    -------
    dict of Shared to list of str
        Functions before and now, to ids of elements.
    """
    found: dict[Shared, list[str]] = {}
    for name, item in shared.items():
        found.setdefault(item, []).append(name)
    return found


def sharing_text(item: Shared, names: list[str]) -> str:
    """Say which functions stop now when one of some elements opens.

    Parameters
    ----------
    item : tuple of frozenset of str
        The functions that hung on them before, and those that do now.
    names : list of str
        The elements.

    Returns
    -------
    str
        One sentence.
    """
    before, after = item
    fresh = sorted(after - before)
    beside = f", beside {joined(sorted(before & after))}" if before & after else ""
    one = f"{names[0]} opens" if len(names) == 1 else "one of these opens"
    told = "" if len(names) == 1 else f": {_few(names)}"
    return f"{joined(fresh)} {'stops' if len(fresh) == 1 else 'stop'} when {one}{beside}{told}"


def _few(names: list[str]) -> str:
    more = f" and {len(names) - _MOST} more" if len(names) > _MOST else ""
    return ", ".join(names[:_MOST]) + more


def write_compared(paper: Paper, found: Comparison) -> None:
    """Write a comparison.

    Parameters
    ----------
    paper : Paper
        Where to.
    found : Comparison
        What was found.
    """
    paper.line(f"before: {found.old.name}", indent=1, hang=9)
    paper.line(f"after:  {found.new.name}", indent=1, hang=9)
    paper.blank()
    paper.line(verdict(found))
    _section(paper, "By id", [difference_text(item) for item in found.differences])
    if found.same:
        return
    _section(paper, "Functions", [function_text(item) for item in found.functions], none="none lost, none gained, each works as before")
    _loads(paper, found)
    _contacts(paper, found)
    _ways(paper, found)
    _protection(paper, found)
    told = [sharing_text(item, names) for item, names in grouped_sharing(found.shared).items()]
    _section(paper, "New single points of failure", told, none="none")


def _section(paper: Paper, title: str, lines: list[str], *, none: str = "") -> None:
    if not lines and not none:
        return
    paper.blank()
    paper.line(title)
    for line in lines or [none]:
        paper.line(line, indent=1, hang=3)


def _loads(paper: Paper, found: Comparison) -> None:
    """Loads a function is there for, then others that changed."""
    own = [key for key in found.changed_loads if found.own(*key)]
    rest = [key for key in found.changed_loads if key not in own and key[1] not in {load for _, load in own}]
    paper.blank()
    paper.line("Loads, each in its function's setting: volts and amps before, after")
    rows = [[function, load, *fed_text(found.loads[function, load][0]), "→", *fed_text(found.loads[function, load][1])] for function, load in own]
    seen: dict[str, tuple[str, str]] = {load: (function, load) for function, load in reversed(rest)}
    rows += [[f"({function})", load, *fed_text(found.loads[function, load][0]), "→", *fed_text(found.loads[function, load][1])] for function, load in reversed(seen.values())]
    paper.table(rows)
    same = len({key for key in found.loads if found.own(*key)} - set(own))
    if rest:
        paper.line("In brackets: a load that this function is not there for.", indent=1)
    if same:
        paper.line(f"Other loads of functions that get what they got, within {LEAST_V:g} V and {LEAST_A:g} A: {same}.", indent=1)


def _contacts(paper: Paper, found: Comparison) -> None:
    if not found.contacts:
        return
    paper.blank()
    paper.line("Fuses, switches and relays: the most they carry")
    kinds = {name: (before or after) for name, (before, after) in found.contacts.items()}
    paper.table(
        [[kinds[name].kind, name, carried_text(before), "→", carried_text(after)] for name, (before, after) in found.contacts.items()]  # type: ignore[union-attr]
    )


def _ways(paper: Paper, found: Comparison) -> None:
    if not found.ways:
        return
    paper.blank()
    paper.line("Ohms in the way of the current, out and back")
    rows = [[function, load, *way_texts(pair)] for (function, load), pair in found.ways.items()]
    changed = [row for row in rows if row[-1] != _SAME]
    paper.table(changed)
    if len(rows) > len(changed):
        paper.line(f"Other ways whose ohms are as before, within {LEAST_OHM * 1000:g} mΩ: {len(rows) - len(changed)}.", indent=1)


def _protection(paper: Paper, found: Comparison) -> None:
    groups = [f"{after}, before {before}: {_few(names)}" for (before, after), names in grouped_protection(found.protection).items()]
    _section(paper, "Leads behind a fuse", groups, none="each as before")
    _section(paper, "A check finds newly", [f"{item.sentence}; {item.remedy}" for item in found.found_new])
    _section(paper, "A check finds no more", [item.sentence for item in found.found_gone])
