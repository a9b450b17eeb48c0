"""From a harness file to a harness: all mistakes of a file in one go, each with its place."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ohmtrail.errors import HarnessError, Mistake, QuantityError
from ohmtrail.harness.despite import links_despite
from ohmtrail.harness.links import broken_links
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.schema import allowed_keys
from ohmtrail.harness.telling import limited, mistakes_of
from ohmtrail.harness.text import Tree, load_text, read_tree
from ohmtrail.units import quantity

__all__ = ["load_harness", "parse_harness", "read_harness"]

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
    if "record" in tree.data and "harness" not in tree.data:
        remedy = f"write the harness as it is now with 'ohmtrail changes apply {Path(tree.file).name} -o machine.yaml', and give that"
        raise HarnessError([Mistake(tree.file, 1, 1, "this is a record of changes, not a harness file", "", remedy)])
    try:
        harness = Harness.model_validate(tree.data)
    except ValidationError as error:
        found = mistakes_of(tree, error, allowed=allowed_keys)
        found += [tree.mistake(path, str(link), value=link.name) for path, link in links_despite(tree.data, error)]
        raise HarnessError(limited(found)) from None
    mistakes = [tree.mistake(path, str(error), value=error.name) for path, error in broken_links(harness)]
    mistakes += list(_names(tree, harness))
    mistakes += list(_limits(tree, harness))
    if mistakes:
        raise HarnessError(limited(mistakes))
    return harness


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
