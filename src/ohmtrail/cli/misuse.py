"""An option or argument of the wrong kind: named, with the value that was given and what to write instead."""

from __future__ import annotations

from typing import Any

__all__ = ["misuse_sentence"]

#: kind of mistake, as the check of the value calls it -> what is wrong with the value, and what to write
_WRONG = {
    "int_parsing": "is no whole number; write one, such as 3",
    "int_from_float": "is no whole number; write one, such as 3",
    "int_parsing_size": "is too large a number; write a smaller one",
    "float_parsing": "is no number; write one, such as 2.5",
    "finite_number": "is no finite number; write one, such as 2.5",
    "greater_than_equal": "is too small; write {ge:g} or more",
    "greater_than": "is too small; write more than {gt:g}",
    "less_than_equal": "is too large; write {le:g} or less",
    "less_than": "is too large; write less than {lt:g}",
}


def misuse_sentence(error: Exception) -> str:
    """Say what is wrong with the words of a command.

    Parameters
    ----------
    error : Exception
        A usage error of typer's.

    Returns
    -------
    str
        Without a full stop.
    """
    said = str(error.format_message()).rstrip(".")  # type: ignore[attr-defined]  # a usage error of typer's
    found = getattr(error.__cause__, "errors", None)
    if not callable(found) or not (all_wrong := found()):
        return said
    first: dict[str, Any] = all_wrong[0]
    # no bound holds what is not a number at all
    kind = "float_parsing" if str(first.get("input")).lower() == "nan" else str(first.get("type"))
    why = _WRONG.get(kind)
    wrong = why.format(**first.get("ctx", {})) if why else f"cannot be used: {first.get('msg')}"
    return f"{said.partition(':')[0]}: '{first.get('input')}' {wrong}"
