"""The JSON Schema of harness files, for editors."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import Any, get_args

import yaml

from ohmtrail.harness.model import Function, Harness, Lead, Loom, Place, Supply
from ohmtrail.harness.parts import Need, Part

__all__ = ["allowed_keys", "blank_harness", "harness_schema", "key_words"]


def harness_schema() -> dict[str, Any]:
    """Give the JSON Schema (2020-12) of a harness file.

    Returns
    -------
    dict
        Ready for ``json.dumps``; quantities are text with their unit.
    """
    schema = Harness.model_json_schema(by_alias=True)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "Ohmtrail harness"
    for name, model in ({"Harness": schema} | schema.get("$defs", {})).items():
        for key, item in model.get("properties", {}).items():
            item["description"] = key_words(name, key)
    return schema


def key_words(model: str, key: str) -> str:
    """Say what a key of the file format means.

    Parameters
    ----------
    model : str
        Where it stands: Harness, Lead, Place, Lamp and so on.
    key : str
        The key.

    Returns
    -------
    str
        One sentence.

    Raises
    ------
    KeyError
        Nothing is said about it: a mistake of ours.
    """
    words = _words()
    return words.get(f"{model}.{key}") or words[key]


@cache
def _words() -> dict[str, str]:
    text = resources.files("ohmtrail.harness").joinpath("data", "keys.yaml").read_text(encoding="utf-8")
    found: dict[str, str] = yaml.load(text, yaml.BaseLoader)
    return found


def blank_harness() -> str:
    """Give a harness file to begin with: a whole small machine, every section explained, to be written over.

    Returns
    -------
    str
        YAML that loads as it stands.
    """
    return resources.files("ohmtrail.harness").joinpath("data", "blank.yaml").read_text(encoding="utf-8")


@cache
def _part_keys() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for model in get_args(get_args(Part)[0]):
        for word in get_args(model.model_fields["kind"].annotation):
            found[word] = _fields(model)
    return found


def _fields(model: Any) -> tuple[str, ...]:
    return tuple(field.alias or name for name, field in model.model_fields.items())


def allowed_keys(loc: tuple[str | int, ...]) -> tuple[str, ...]:
    """Give the keys that may stand where a location (as pydantic names it) points.

    Parameters
    ----------
    loc : tuple of str or int
        Section, id, perhaps the kind of part, ..., the unknown key.

    Returns
    -------
    tuple of str
        Keys of the file format.
    """
    if len(loc) <= 1:
        return _fields(Harness)
    section = loc[0]
    if "needs" in loc[:-1]:
        return _fields(Need)
    if section == "parts" and len(loc) >= 4:
        return _part_keys().get(str(loc[2]), ())
    models = {"places": Place, "looms": Loom, "leads": Lead, "functions": Function, "supply": Supply}
    return _fields(models[str(section)]) if section in models else ()
