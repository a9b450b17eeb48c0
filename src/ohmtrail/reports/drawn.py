"""A picture that was drawn, and what there is to say about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from ohmtrail.circuit import Setting
from ohmtrail.drawing import Highlights
from ohmtrail.harness import Harness
from ohmtrail.reports.json_values import setting_json

__all__ = ["Drawn", "Kind", "drawn_json"]

Kind = Literal["path", "ladder", "whole", "book", "graph", "union"]


@dataclass(frozen=True)
class Drawn:
    """A picture.

    Attributes
    ----------
    harness : Harness
        The machine; of two, the one after.
    kind : str
        path, ladder, whole, book, graph or union (before and after).
    function : str
        Whose path it is; "" where it is of no function.
    setting : Setting or None
        State of the machine, where the picture shows one.
    svg : str
        The picture; "" for a book.
    page : str
        The same as one HTML file.
    marks : Highlights
        What a job laid over it.
    title : str
        What it shows.
    file : str
        Where it was written; "" where it was not.
    """

    harness: Harness
    kind: Kind
    function: str
    setting: Setting | None
    svg: str
    page: str
    marks: Highlights
    title: str
    file: str = ""


def drawn_json(drawn: Drawn) -> dict[str, Any]:
    """Give what there is to say about a picture.

    Parameters
    ----------
    drawn : Drawn
        The picture.

    Returns
    -------
    dict
        Plain values; the picture itself where it was written to no file.
    """
    marks = drawn.marks
    return {
        "kind": drawn.kind,
        "function": drawn.function or None,
        "setting": None if drawn.setting is None else setting_json(drawn.setting),
        "title": drawn.title,
        "file": drawn.file or None,
        "text": None if drawn.file else drawn.svg or drawn.page,
        "marks": {
            "readings": [{"number": item.number, "red": item.red, "black": item.black, "value": item.value} for item in marks.readings],
            "suspects": [{"elements": list(item.elements), "share": item.weight, "text": item.words} for item in marks.suspects],
            "sound": list(marks.ruled_out),
            "next": None if marks.next is None else {"red": marks.next.red, "black": marks.next.black, "text": marks.next.sentence},
            "mends": [{"element": item.element, "text": item.words} for item in marks.mends],
        },
    }
