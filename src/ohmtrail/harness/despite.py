"""Names that point at nothing in a file that has other mistakes too: all of them are told in one go."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

from pydantic import ValidationError

from ohmtrail.harness.links import Link, broken_links
from ohmtrail.harness.model import Harness

__all__ = ["links_despite"]

Loc = tuple[str | int, ...]
#: sections whose names are pointed at, with the kinds of link that point there
_SECTIONS = {"place": "places", "loom": "looms", "switch": "parts", "metal": "parts", "part": "parts", "lamp": "parts", "terminal": "parts"}
#: keys of a part that say nothing about its terminals, with a value that stands in while names are looked at
_STAND_INS = {"resistance": "1 Ω", "rating": "10 A", "limits": "14 V", "watts": "21 W"}
#: steps to a key of an entry itself: section, id, the kind of a part, key
_PLAIN = 4
#: taking out what is wrong can lay bare so much more; then names are left for the next time
_MOST_ROUNDS = 4


def links_despite(data: dict[str, Any], error: ValidationError) -> Iterator[Link]:
    """Yield names that point at nothing, passing over what the file's other mistakes make uncertain.

    Parameters
    ----------
    data : dict
        The file.
    error : ValidationError
        What the model found wrong in it.

    Yields
    ------
    tuple
        As `broken_links`; nothing where too little of the file is right.
    """
    rest, doubtful = copy.deepcopy(data), set[str]()
    for _ in range(_MOST_ROUNDS):
        for item in error.errors(include_url=False):
            _mend(rest, tuple(item["loc"]), kind=item["type"], doubtful=doubtful)
        try:
            harness = Harness.model_validate(rest)
        except ValidationError as further:
            error = further
            continue
        for path, link in broken_links(harness):
            section = _SECTIONS.get(link.kind, "parts")
            if section not in doubtful and link.name.split(".")[0] not in doubtful:
                yield path, link
        return


def _mend(rest: dict[str, Any], loc: Loc, *, kind: str, doubtful: set[str]) -> None:
    """Take out or fill in what is wrong at a place; what else hangs on it is doubtful from then on."""
    if len(loc) == 1:
        doubtful.add(str(loc[0]))
        if kind == "missing" and loc[0] == "harness":
            rest["harness"] = "no name yet"
        elif kind == "missing" and loc[0] == "places":
            rest["places"] = {"somewhere": {"reach": "1 min"}}
        else:
            rest.pop(str(loc[0]), None)
        return
    section, name = rest.get(str(loc[0])), str(loc[1])
    entry: Any = section.get(name) if isinstance(section, dict) else None
    key, plain = str(loc[-1]), isinstance(entry, dict) and len(loc) <= _PLAIN
    if kind == "extra_forbidden" and plain and key in entry:
        del entry[key]
    elif loc[0] == "parts" and plain and key in _STAND_INS and entry.get(key) != _STAND_INS[key]:
        entry[key] = _STAND_INS[key]
    elif isinstance(section, dict):
        doubtful.add(name)
        section.pop(name, None)
