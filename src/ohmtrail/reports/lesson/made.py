"""What a lesson is made of: one machine with its pictures, walks and faults, all as values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from ohmtrail.circuit import Electrics
from ohmtrail.circuit.trace import trace_function
from ohmtrail.diagnosis import PlantedFault
from ohmtrail.drawing import LivePicture, draw_live
from ohmtrail.drawing.paths import nominal_electrics
from ohmtrail.errors import CircuitError
from ohmtrail.faults import faults_of
from ohmtrail.harness import Harness
from ohmtrail.reports.lesson.walks import Walk, walks_of

__all__ = ["Lesson", "Saved", "make_lesson", "saved_json"]


@dataclass(frozen=True)
class Lesson:
    """A machine to be shown.

    Attributes
    ----------
    harness : Harness
        The machine.
    electrics : Electrics
        Its electricity, every part at its stated value.
    faults : tuple of PlantedFault
        What can be put in, each at the middle of its range.
    walks : mapping of str to tuple of Walk
        Function -> its ways.
    """

    harness: Harness
    electrics: Electrics
    faults: tuple[PlantedFault, ...]
    walks: Mapping[str, tuple[Walk, ...]]

    @cached_property
    def pictures(self) -> dict[str, LivePicture]:
        """The whole machine as ``whole``; of every function ``path FUNCTION`` and ``ladder FUNCTION``."""
        found = {"whole": draw_live(self.harness, electrics=self.electrics)}
        for name in self.harness.functions:
            found[f"path {name}"] = draw_live(self.harness, name, electrics=self.electrics)
            found[f"ladder {name}"] = draw_live(self.harness, name, ladder=True, electrics=self.electrics)
        return found


def make_lesson(harness: Harness, *, year: int) -> Lesson:
    """Gather what a page needs to show a machine.

    Parameters
    ----------
    harness : Harness
        The machine.
    year : int
        For the age of its leads and parts.

    Returns
    -------
    Lesson
        With every fault of the catalogue; those that only moving the wiring brings out say where.

    Raises
    ------
    MissingTool
        The layout engine is not installed.
    """
    electrics = nominal_electrics(harness)
    faults = faults_of(electrics.network, year=year)
    planted = tuple(PlantedFault(fault, math.sqrt(fault.low * fault.high) if fault.high else 0.0) for fault in faults)
    walks: dict[str, tuple[Walk, ...]] = {}
    for name in harness.functions:
        try:
            walks[name] = walks_of(harness, trace_function(electrics, name))
        except CircuitError:
            walks[name] = ()
    return Lesson(harness, electrics, planted, walks)


@dataclass(frozen=True)
class Saved:
    """A lesson, the file it was written to ("" for none), and the file's size in bytes."""

    lesson: Lesson
    file: str
    size: int

    @property
    def words(self) -> str:
        """What the page holds, in one line."""
        held = f"{len(self.lesson.harness.functions)} functions to walk along, {len(self.lesson.faults)} faults to put in"
        return f"{self.lesson.harness.harness}: {held}; written to {self.file}, {self.size / 1e6:.1f} MB."


def saved_json(saved: Saved) -> dict[str, Any]:
    """Give what a lesson holds as plain data.

    Parameters
    ----------
    saved : Saved
        The lesson and its file.

    Returns
    -------
    dict
        File, bytes, functions with their ways, ids of faults.
    """
    walks = saved.lesson.walks
    return {
        "file": saved.file or None,
        "bytes": saved.size or None,
        "functions": [
            {"function": name, "ways": [{"text": way.words, "regime": way.regime, "steps": [step.words for step in way.steps]} for way in walks[name]]}
            for name in saved.lesson.harness.functions
        ],
        "faults": [planted.fault.id for planted in saved.lesson.faults],
    }
