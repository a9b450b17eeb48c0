"""What the model found in a file, in our words, each mistake with its place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any, get_args

from pydantic import ValidationError

from ohmtrail.errors import Mistake, nearest
from ohmtrail.harness.parts import Part
from ohmtrail.harness.text import Tree

__all__ = ["limited", "mistakes_of"]

#: at most so many mistakes of one kind are told
MOST_OF_A_KIND = 20
#: version of the file formats that this program knows
FORMAT = 1
_KINDS = tuple(word for kind in get_args(get_args(Part)[0]) for word in get_args(kind.model_fields["kind"].annotation))
#: what people call a part, and the kind that it is here
_SAID_FOR = {
    **dict.fromkeys(("starter", "wiper", "fan", "pump"), "motor"),
    **dict.fromkeys(("bulb", "light", "headlamp", "tell-tale"), "lamp"),
    **dict.fromkeys(("magneto", "stator", "generator", "pick-up", "pickup"), "winding"),
    **dict.fromkeys(("cdi", "igniter", "ignition", "box"), "module"),
    **dict.fromkeys(("button", "key", "interlock"), "switch"),
    **dict.fromkeys(("plug", "socket", "bullet"), "connector"),
    **dict.fromkeys(("ground", "frame", "chassis"), "earth"),
    **dict.fromkeys(("solenoid", "contactor"), "relay"),
    **dict.fromkeys(("gauge", "sender", "heater"), "resistor"),
    **dict.fromkeys(("condenser",), "capacitor"),
}
Loc = tuple[str | int, ...]


def limited(mistakes: list[Mistake]) -> list[Mistake]:
    """Give at most twenty mistakes of a kind, then how many more.

    Parameters
    ----------
    mistakes : list of Mistake
        All of them.

    Returns
    -------
    list of Mistake
        In the order of the file.
    """
    kinds = Counter(item.sentence.split("'")[0] for item in mistakes)
    told: Counter[str] = Counter()
    kept: list[Mistake] = []
    for item in sorted(set(mistakes), key=lambda item: (item.line, item.column, item.sentence)):
        kind = item.sentence.split("'")[0]
        told[kind] += 1
        if told[kind] <= MOST_OF_A_KIND:
            kept.append(item)
        elif told[kind] == MOST_OF_A_KIND + 1:
            more = kinds[kind] - MOST_OF_A_KIND
            kept.append(Mistake(item.file, item.line, item.column, f"and {more} more of this kind"))
    return kept


def mistakes_of(tree: Tree, error: ValidationError, *, allowed: Callable[[Loc], tuple[str, ...]]) -> list[Mistake]:
    """Say what was found wrong in a file, each mistake with its place.

    Parameters
    ----------
    tree : Tree
        The file.
    error : ValidationError
        What the model found.
    allowed : callable
        Gives the keys that may stand where an unknown one was found.

    Returns
    -------
    list of Mistake
        At most twenty of a kind.
    """
    return limited(list(_all_told(tree, error, allowed)))


def _all_told(
    tree: Tree, error: ValidationError, allowed: Callable[[Loc], tuple[str, ...]]
) -> Iterator[Mistake]:
    """All findings in our words; of very many of a kind the last ones only as what they are."""
    told: Counter[str] = Counter()
    for item in error.errors(include_url=False):
        told[item["type"]] += 1
        if told[item["type"]] <= 2 * MOST_OF_A_KIND:
            yield _told(tree, dict(item), allowed)
        else:
            sentence = "unknown key" if item["type"] == "extra_forbidden" else item["type"]
            yield tree.mistake(_path(tree, tuple(item["loc"])), f"{sentence} '{item['loc'][-1]}'")


#: section and key that is missing -> what to write
_REMEDIES = {
    ("", "harness"): "begin with 'harness: NAME'",
    ("", "places"): "write 'places: {bench: {reach: 1 min}}', a name and the minutes until a meter gets at it",
    ("", "parts"): "write 'parts: {battery: {kind: battery, at: PLACE}}'",
    ("places", "reach"): "write 'reach: 1 min', the minutes until a meter gets at it",
    ("looms", "passes"): "write 'passes: [PLACE, PLACE]', the places it runs through",
    ("parts", "at"): "write 'at: PLACE', a name from 'places:'",
    ("parts", "kind"): "write 'kind: lamp' or another kind",
    ("parts", "rating"): "write 'rating: 15 A', as printed on the fuse",
    ("parts", "resistance"): "write 'resistance: 0.5 Ω', as measured, or its volts divided by the amps it draws at work",
    ("parts", "positions"): "write 'positions: {off: [], on: [[30, 15]]}', of a contact breaker {closed: [[1, 31]], open: []}: for each position the terminals that it joins",
    ("parts", "rests"): "write 'rests: off', the position it is in when nobody touches it",
    ("parts", "cavities"): "write 'cavities: [1, 2]'; each has a side a and a side b",
    ("parts", "between"): "write 'between: [1, 2]', its two terminals",
    ("parts", "limits"): "write 'limits: 14.4 V', the volts at which it regulates",
    ("parts", "volts"): "write 'volts: {cranking: 12 V, running: 30 V}', AC with nothing connected",
    ("parts", "input"): "write 'input: [G1, G2]', the terminals that the winding feeds",
    ("parts", "output"): "write 'output: [B, 31]', the terminals that feed the battery, plus first",
    ("parts", "primary"): "write 'primary: {between: [1, 15], resistance: 3 Ω}'",
    ("parts", "secondary"): "write 'secondary: {between: [HT, 15], resistance: 8 kΩ}'",
    ("leads", "from"): "write 'from: PART.TERMINAL', where the lead begins",
    ("leads", "to"): "write 'to: PART.TERMINAL', where the lead ends",
    ("functions", "needs"): "write 'needs: [{lit: LAMP}]', or '{works: PART}' for a horn or motor",
}


def _named(path: Loc, quote: str = "") -> str:
    """What stands at a path, as a person would say it."""
    if path and isinstance(path[-1], int):
        return f"entry {path[-1] + 1}" + (f" of '{path[-2]}'" if len(path) > 1 else "")
    return f"{quote}{path[-1]}{quote}" if path else "the file"


def _shown(value: object) -> str:
    return "a list" if isinstance(value, list) else "a mapping" if isinstance(value, dict) else f"'{value}'"


def _told(tree: Tree, error: dict[str, Any], allowed: Callable[[Loc], tuple[str, ...]]) -> Mistake:
    """One of pydantic's findings in our words."""
    path = _path(tree, tuple(error["loc"]))
    kind, context = error["type"], error.get("ctx", {})
    name = str(path[-1]) if path else ""
    value = error.get("input")
    text = value if isinstance(value, str) else ""
    owner = _named(path[:-1])
    if kind == "extra_forbidden":
        near = nearest(name, allowed(tuple(error["loc"])), count=1)
        remedy = f"did you mean '{near[0]}'?" if near else "delete it, or put it under 'note:'"
        return tree.mistake(path, f"unknown key '{name}' in {owner}", value=name, remedy=remedy)
    if kind == "missing":
        remedy = _REMEDIES.get((str(path[0]) if len(path) > 1 else "", name), "")
        return tree.mistake(path[:-1], f"'{name}' is missing in {owner}", remedy=remedy)
    if kind == "union_tag_invalid":
        wrong = str(context.get("tag", ""))
        meant = _SAID_FOR.get(wrong.casefold()) or next(iter(nearest(wrong, _KINDS, count=1)), "")
        remedy = f"did you mean '{meant}'?" if meant else f"a kind is one of {', '.join(_KINDS)}"
        return tree.mistake((*path, "kind"), f"no kind of part '{wrong}'", value=wrong, remedy=remedy)
    if kind == "union_tag_not_found":
        return tree.mistake(path, f"part '{name}' does not say its 'kind'", remedy=f"one of {', '.join(_KINDS)}")
    if kind == "literal_error" and path == ("version",) and text.isdecimal() and int(text) > FORMAT:
        sentence = f"written for a newer Ohmtrail (version {text}, this one knows up to {FORMAT})"
        return tree.mistake(path, sentence, value=text, remedy="update Ohmtrail; the file stays as it is")
    if kind == "literal_error":
        return tree.mistake(path, f"{_shown(value)} is not allowed for '{name}'", value=text, remedy=f"write {context['expected']}")
    if kind == "too_short":
        least, have = context["min_length"], context.get("actual_length", 0)
        return tree.mistake(path, f"'{name}' has {have or 'nothing'}: at least {least} {'is' if least == 1 else 'are'} wanted")
    if kind in _SHAPES:
        return _of_another_shape(tree, path, kind, value)
    sentence = error["msg"].removeprefix("Value error, ")
    return tree.mistake(path, f"{_named(path)}: {sentence}", value=text)


#: what a value must be, by pydantic's name of the finding
_SHAPES = {"dict_type": "keys", "model_type": "keys", "tuple_type": "a list", "list_type": "a list"}


#: lists that are commonly written in brackets, by the key they stand under
_LISTS = {
    "positions": "write the pairs of terminals that the position joins, as in [[B, A], [B, S]]",
    "cavities": "write the name of each, as in [1, 2, 3]",
    "between": "write its two terminals, as in [1, 2]",
}


def _of_another_shape(tree: Tree, path: Loc, kind: str, value: object) -> Mistake:
    """A word where keys or a list are wanted, or the like."""
    name, text = _named(path, "'"), value if isinstance(value, str) else ""
    if value is None or value == "":
        return tree.mistake(path, f"{name} says nothing yet", remedy="write what belongs to it below, or delete it")
    if _SHAPES[kind] == "a list":
        remedy = next((_LISTS[key] for key in path if key in _LISTS), "write its entries below it, each begun by '- '")
        return tree.mistake(path, f"{name} must be a list, and {_shown(value)} is none", value=text, remedy=remedy)
    remedy = "write keys with their values, as in '{key: value}'"
    return tree.mistake(path, f"{name} cannot be only {_shown(value)}", value=text, remedy=remedy)


def _path(tree: Tree, loc: Loc) -> Loc:
    """A pydantic location as a path of the file: union tags and markers taken out."""
    kept: list[str | int] = []
    here: Any = tree.data
    for index, step in enumerate(loc):
        inside = (isinstance(here, dict) and step in here) or (
            isinstance(here, list) and isinstance(step, int) and step < len(here)
        )
        if inside:
            kept.append(step)
            here = here[step]
        elif index == len(loc) - 1 and isinstance(step, str) and step != "[key]":
            kept.append(step)
    return tuple(kept)


