"""From a harness file to a harness: all mistakes of a file in one go, each with its place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_args

from pydantic import ValidationError

from ohmtrail.errors import HarnessError, Mistake, nearest
from ohmtrail.harness.links import broken_links
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Part
from ohmtrail.harness.schema import allowed_keys
from ohmtrail.harness.text import Tree, load_text, read_tree
from ohmtrail.units import quantity

__all__ = ["load_harness", "mistakes_of", "parse_harness", "read_harness"]

#: at most so many mistakes of one kind are told
MOST_OF_A_KIND = 20
#: version of the file formats that this program knows
FORMAT = 1
_KINDS = tuple(word for kind in get_args(get_args(Part)[0]) for word in get_args(kind.model_fields["kind"].annotation))
_RESERVED = (FRAME, "engine", "battery-state")


def load_harness(path: str | Path) -> Harness:
    """Load a harness file.

    Parameters
    ----------
    path : str or Path
        The YAML file.

    Returns
    -------
    Harness
        The machine's wiring, every name in it checked.

    Raises
    ------
    HarnessError
        The file has mistakes; all of them are carried.
    InputError
        The file cannot be read at all.
    """
    return read_harness(Path(path))[0]


def read_harness(path: Path) -> tuple[Harness, Tree]:
    """Load a harness file together with the positions of everything in it.

    Parameters
    ----------
    path : Path
        The YAML file.

    Returns
    -------
    tuple of Harness and Tree
        The harness, and the file as text with positions.

    Raises
    ------
    HarnessError, InputError
        As `load_harness`.
    """
    tree = read_tree(load_text(path), file=str(path))
    return parse_harness(tree), tree


def parse_harness(tree: Tree) -> Harness:
    """Turn a file read as text into a harness.

    Parameters
    ----------
    tree : Tree
        Plain values with positions.

    Returns
    -------
    Harness
        The machine's wiring.

    Raises
    ------
    HarnessError
        Every mistake found.
    """
    if not isinstance(tree.data, dict) or not tree.data:
        raise HarnessError(
            [Mistake(tree.file, 1, 1, "the file is empty or not a harness", "", "begin with 'harness: NAME'")]
        )
    try:
        harness = Harness.model_validate(tree.data)
    except ValidationError as error:
        raise HarnessError(mistakes_of(tree, error, allowed=allowed_keys)) from None
    mistakes = [tree.mistake(path, str(error), value=error.name) for path, error in broken_links(harness)]
    mistakes += list(_names(tree, harness))
    mistakes += list(_limits(tree, harness))
    if mistakes:
        raise HarnessError(_limited(mistakes))
    return harness


def _limited(mistakes: list[Mistake]) -> list[Mistake]:
    """At most twenty of a kind, then how many more."""
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


def mistakes_of(tree: Tree, error: ValidationError, *, allowed: Callable[[tuple[str | int, ...]], tuple[str, ...]]) -> list[Mistake]:
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
    return _limited(list(_all_told(tree, error, allowed)))


def _all_told(
    tree: Tree, error: ValidationError, allowed: Callable[[tuple[str | int, ...]], tuple[str, ...]]
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
    ("leads", "from"): "write 'from: PART.TERMINAL', where the lead begins",
    ("leads", "to"): "write 'to: PART.TERMINAL', where the lead ends",
    ("functions", "needs"): "write 'needs: [{lit: LAMP}]', or '{works: PART}' for a horn or motor",
}


def _told(tree: Tree, error: dict[str, Any], allowed: Callable[[tuple[str | int, ...]], tuple[str, ...]]) -> Mistake:
    """One of pydantic's findings in our words."""
    path = _path(tree, tuple(error["loc"]))
    kind, context = error["type"], error.get("ctx", {})
    name = str(path[-1]) if path else ""
    value = error.get("input")
    text = value if isinstance(value, str) else ""
    if kind == "extra_forbidden":
        owner = str(path[-2]) if len(path) > 1 else "the file"
        near = nearest(name, allowed(tuple(error["loc"])), count=1)
        remedy = f"did you mean '{near[0]}'?" if near else "delete it, or put it under 'note:'"
        return tree.mistake(path, f"unknown key '{name}' in {owner}", value=name, remedy=remedy)
    if kind == "missing":
        remedy = _REMEDIES.get((str(path[0]) if len(path) > 1 else "", name), "")
        return tree.mistake(path[:-1], f"'{name}' is missing in {path[-2] if len(path) > 1 else 'the file'}", remedy=remedy)
    if kind == "union_tag_invalid":
        wrong = str(context.get("tag", ""))
        near = nearest(wrong, _KINDS, count=1)
        remedy = f"did you mean '{near[0]}'?" if near else f"a kind is one of {', '.join(_KINDS)}"
        return tree.mistake((*path, "kind"), f"no kind of part '{wrong}'", value=wrong, remedy=remedy)
    if kind == "union_tag_not_found":
        return tree.mistake(path, f"part '{name}' does not say its 'kind'", remedy=f"one of {', '.join(_KINDS)}")
    if kind == "literal_error" and path == ("version",) and text.isdecimal() and int(text) > FORMAT:
        sentence = f"written for a newer Ohmtrail (version {text}, this one knows up to {FORMAT})"
        return tree.mistake(path, sentence, value=text, remedy="update Ohmtrail; the file stays as it is")
    if kind == "literal_error":
        return tree.mistake(path, f"'{text}' is not allowed for '{name}'", value=text, remedy=f"write {context['expected']}")
    if kind == "too_short":
        return tree.mistake(path, f"'{name}' is empty: at least {context['min_length']} is wanted")
    if kind in ("dict_type", "model_type") and not text:
        return tree.mistake(path, f"'{name}' says nothing yet", remedy="write what belongs to it below, or delete it")
    if kind in ("dict_type", "model_type"):
        return tree.mistake(path, f"'{name}' cannot be only {text!r}", value=text, remedy=f"write keys with their values, as in '{name}: {{key: value}}'")
    sentence = error["msg"].removeprefix("Value error, ")
    return tree.mistake(path, f"{name}: {sentence}", value=text)


def _path(tree: Tree, loc: tuple[str | int, ...]) -> tuple[str | int, ...]:
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


def _names(tree: Tree, harness: Harness) -> Iterator[Mistake]:
    """Ids that clash or look alike."""
    seen: dict[str, str] = {}
    for section in ("parts", "leads", "functions", "places", "looms"):
        for name in getattr(harness, section):
            if name in _RESERVED and section == "parts":
                yield tree.mistake((section, name), f"'{name}' is a reserved word", value=name, remedy="choose another id")
    for section in ("parts", "leads"):
        for name in getattr(harness, section):
            other = seen.setdefault(name.casefold(), name)
            if other != name:
                words = f"'{name}' and '{other}' differ in capitals only"
                yield tree.mistake((section, name), words, value=name, remedy="rename one of them")
            elif section == "leads" and name in harness.parts:
                words = f"'{name}' names both a part and a lead"
                yield tree.mistake((section, name), words, value=name, remedy="rename one of them")
    for place_id in harness.places:
        if _encloses_itself(harness, place_id):
            words = f"place '{place_id}' lies inside of itself"
            yield tree.mistake(("places", place_id, "inside"), words, value=place_id, remedy="name the place around it")
    for lead_id, lead in harness.leads.items():
        if lead.from_ == lead.to:
            yield tree.mistake(("leads", lead_id, "to"), f"lead '{lead_id}' begins and ends at '{lead.to}'", value=lead.to)


def _encloses_itself(harness: Harness, place_id: str) -> bool:
    """Whether the places around a place lead back to it."""
    here, seen = harness.places[place_id].inside, set[str]()
    while here is not None and here in harness.places and here not in seen:
        if here == place_id:
            return True
        seen.add(here)
        here = harness.places[here].inside
    return False


def _limits(tree: Tree, harness: Harness) -> Iterator[Mistake]:
    """Thresholds of conditions must be quantities of the right unit."""
    from ohmtrail.errors import QuantityError

    for owner, name, needs in _all_needs(harness):
        for index, need in enumerate(needs):
            dimension = "ohm" if need.quantity == "ohms" else "volt"
            for key in ("at_least", "at_most", "weak"):
                text = getattr(need, key)
                if text is None or need.quantity in ("lit", "works", "sound"):
                    continue
                try:
                    quantity(text, dimension)
                except QuantityError as error:
                    yield tree.mistake((owner, name, "needs", index, key), f"{key}: {error}", value=text)


def _all_needs(harness: Harness) -> Iterator[tuple[str, str, tuple[Any, ...]]]:
    for name, function in harness.functions.items():
        yield "functions", name, function.needs
    for name, part in harness.parts.items():
        if part.kind == "module":
            yield "parts", name, part.needs
