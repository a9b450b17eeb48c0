"""Before and after in one picture: the union of two harnesses, laid out once so that parts keep their places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ohmtrail.circuit import Setting
from ohmtrail.drawing.choose import Chosen, choose_all, choose_path
from ohmtrail.drawing.highlights import Highlights, MendMark
from ohmtrail.drawing.paths import finish, nominal_electrics, paint, scene_of
from ohmtrail.harness import FRAME, Harness, Lead
from ohmtrail.harness.parts import Connector, Part

__all__ = ["draw_union"]

#: class names of what is only after, only before, and in both but not alike
_FRESH, _GONE, _OTHER = "fresh", "gone", "other"
_WORDS = {_FRESH: "new", _GONE: "removed", _OTHER: "changed"}
_BEFORE = "-before"
#: units of the fields that are plain numbers inside
_UNITS = {"size": " mm²", "rating": " A", "length": " m", "watts": " W", "volts": " V", "limits": " V", "pulls_at": " V"}


@dataclass
class _Union:
    """The harness that holds both, and what became of each lead and part."""

    old: Harness
    new: Harness
    parts: dict[str, Part] = field(default_factory=dict)
    leads: dict[str, Lead] = field(default_factory=dict)
    kinds: dict[str, str] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)


def draw_union(old: Harness, new: Harness, *, function: str | None = None) -> str:
    """Draw two harnesses as one picture: what was added, removed and changed stands out.

    Parameters
    ----------
    old, new : Harness
        Before and after.
    function : str, optional
        Only what this function works through before or after; the whole harness where not given.

    Returns
    -------
    str
        An SVG file. Every lead and part is in it once, so that nothing moves between before and after.

    Raises
    ------
    UnknownName
        The function is in neither harness.
    MissingTool
        The layout engine is not installed.
    """
    union = _merged(old, new)
    # built afresh, not copied: a copy would keep what the model has cached about its terminals
    both = Harness(
        harness=new.harness,
        supply=new.supply,
        places={**old.places, **new.places},
        looms={**old.looms, **new.looms},
        parts=union.parts,
        leads=union.leads,
    )
    chosen = choose_all(both) if function is None else _path(union, function)
    scene = scene_of(nominal_electrics(both), chosen, Setting(), live=False)
    marks = tuple(
        MendMark(name, union.words.get(name, ""), _WORDS[kind])
        for name, kind in union.kinds.items()
        if name in chosen.leads or name in chosen.parts
    )
    legend = [(kind, _WORDS[kind]) for kind in (_FRESH, _GONE, _OTHER) if kind in {union.kinds.get(mark.element) for mark in marks}]
    title = "Before and after" if function is None else f"Before and after: {function.replace('-', ' ')}"
    words = new.harness if old.harness == new.harness else f"{old.harness} and {new.harness}"
    return finish(scene, paint(scene, union.kinds), Highlights(mends=marks), title=title, words=words, legend_more=legend)


def _merged(old: Harness, new: Harness) -> _Union:
    union = _Union(old, new)
    for name in dict.fromkeys((*old.parts, *new.parts)):
        _part(union, name)
    for name in dict.fromkeys((*old.leads, *new.leads)):
        _lead(union, name)
    return union


def _part(union: _Union, name: str) -> None:
    """One part of either harness; a part that became another stands in the picture twice."""
    before, after = union.old.parts.get(name), union.new.parts.get(name)
    if before is None or after is None:
        kept = after if after is not None else before
        assert kept is not None
        union.parts[name] = kept
        union.kinds[name] = _FRESH if before is None else _GONE
    elif set(before.terminals()) <= set(after.terminals()) and before.kind == after.kind:
        union.parts[name] = after
        if before != after:
            union.kinds[name], union.words[name] = _OTHER, _differences(dict(before), dict(after))
    elif isinstance(before, Connector) and isinstance(after, Connector):
        cavities = tuple(dict.fromkeys((*after.cavities, *before.cavities)))
        union.parts[name] = after.model_copy(update={"cavities": cavities})
        union.kinds[name] = _OTHER
    else:
        union.parts[name], union.parts[f"{name}{_BEFORE}"] = after, before
        union.kinds[name], union.kinds[f"{name}{_BEFORE}"] = _FRESH, _GONE
        union.names[name] = f"{name}{_BEFORE}"


def _lead(union: _Union, name: str) -> None:
    """One lead of either harness; a rerouted one is drawn on its old and on its new way."""
    before, after = union.old.leads.get(name), union.new.leads.get(name)
    if after is not None:
        union.leads[name] = after
    if before is None:
        union.kinds[name] = _FRESH
        return
    moved = before.model_copy(update={"from_": _now(union, before.from_), "to": _now(union, before.to)})
    if after is None:
        union.leads[name], union.kinds[name] = moved, _GONE
    elif (after.from_, after.to) != (moved.from_, moved.to):
        union.leads[f"{name}{_BEFORE}"] = moved
        union.kinds[name], union.kinds[f"{name}{_BEFORE}"] = _FRESH, _GONE
    elif before != after:
        union.kinds[name], union.words[name] = _OTHER, _differences(dict(before), dict(after))


def _now(union: _Union, terminal: str) -> str:
    """The terminal under which an old lead's end stands in the union."""
    part = union.old.terminals[terminal][0]
    if part == FRAME or part not in union.names:
        return terminal
    return union.names[part] + terminal[len(part) :]


def _differences(before: Mapping[str, object], after: Mapping[str, object]) -> str:
    """Name what differs, and how where it can be said shortly."""
    found = []
    for key in after:
        if before.get(key) != after[key] and key != "note":
            was, now = _plain(before.get(key)), _plain(after[key])
            unit = _UNITS.get(key, "") if isinstance(after[key], float) else ""
            told = f"{key} {now}{unit}" if before.get(key) is None else f"{key} {was} → {now}{unit}"
            found.append(told if len(was) + len(now) < 24 else key.rstrip("_").replace("_", " "))
    return ", ".join(found[:3])


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else "nothing" if value is None else str(value)


def _path(union: _Union, function: str) -> Chosen:
    """What a function works through before or after."""
    leads: set[str] = set()
    parts: set[str] = set()
    terminals: set[str] = set()
    known = [harness for harness in (union.old, union.new) if function in harness.functions] or [union.new]
    for harness in known:
        found = choose_path(nominal_electrics(harness), function)
        for lead in found.leads:
            again = f"{lead}{_BEFORE}"
            leads.add(again if harness is union.old and again in union.leads else lead)
        parts |= found.parts
        terminals |= found.terminals
    parts |= {union.names[part] for part in parts & set(union.names)}
    return Chosen(frozenset(leads), frozenset(parts), frozenset(terminals))
