"""What a survey notices, counted on machines with a planted fault; what it passes by, and what would show that."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray

from ohmtrail.survey.plan import Survey, Surveyor
from ohmtrail.survey.simulate import run_trial

__all__ = ["Coverage", "ElementCover", "KindCover", "coverage_of", "false_alarms"]

Floats = NDArray[np.float64]

#: random machines that every fault is planted in, and the seed of their tolerances, noise and slips
MACHINES, SEED = 2, 5


@dataclass(frozen=True)
class ElementCover:
    """What of one element's faults a survey notices.

    Attributes
    ----------
    element : str
        Lead, joint, contact or part.
    share : float
        Share of all single faults that are its own, weighted by how often they come.
    noticed : float
        Share of them that the survey noticed.
    """

    element: str
    share: float
    noticed: float


@dataclass(frozen=True)
class KindCover:
    """What a survey passes by of one kind of fault, and what would show it.

    Attributes
    ----------
    kind, called : str
        Of fault, and in words.
    share, passed : float
        Share of all single faults that are of this kind, and that are of this kind and passed by.
    why, would : str
        Why it is passed by, and what would show it.
    """

    kind: str
    called: str
    share: float
    passed: float
    why: str
    would: str


@dataclass(frozen=True)
class Coverage:
    """What a survey notices of all single faults, weighted by how often they come.

    Attributes
    ----------
    noticed : float
        Share of them that was noticed.
    could : float
        Share that some safe reading at a place within reach could notice.
    of_could : float
        Share of those that was noticed.
    elements : tuple of ElementCover
        In the order of the harness file.
    kinds : tuple of KindCover
        What is passed by, the most first.
    planted : int
        How many machines with a fault were surveyed.
    """

    noticed: float
    could: float
    of_could: float
    elements: tuple[ElementCover, ...]
    kinds: tuple[KindCover, ...]
    planted: int

    @property
    def by_owner(self) -> dict[str, float]:
        """Lead or part, its joints and contacts with it -> share of its faults that was noticed."""
        found: dict[str, tuple[float, float]] = {}
        for item in self.elements:
            owner = item.element.partition(".")[0]
            share, seen = found.get(owner, (0.0, 0.0))
            found[owner] = (share + item.share, seen + item.share * item.noticed)
        return {owner: seen / share for owner, (share, seen) in found.items()}


def coverage_of(surveyor: Surveyor, survey: Survey, *, machines: int = MACHINES, seed: int = SEED) -> Coverage:
    """Plant every fault in random machines, survey them with noise, and count.

    Parameters
    ----------
    surveyor : Surveyor
        The machine.
    survey : Survey
        The plan.
    machines : int
        Random machines for every fault.
    seed : int
        Of tolerances, noise and slips.

    Returns
    -------
    Coverage
        Counted, not derived from the plan.
    """
    effects, weight = surveyor.effects, surveyor.effects.weight
    bands = [surveyor.band(step) for step in survey.steps]
    trial = run_trial(surveyor.electrics, surveyor.meter, survey.steps, bands, effects=effects, machines=machines, seed=seed)
    hit: Floats = trial.noticed.any(axis=0).mean(axis=0)
    could = surveyor.could
    held = float(weight @ could)
    elements = tuple(ElementCover(name, share, seen / share) for name, (share, seen) in effects.by_element(hit).items())
    return Coverage(
        float(weight @ hit),
        held,
        float((weight * could) @ hit) / held if held else 1.0,
        elements,
        _kinds(surveyor, hit),
        machines * len(weight),
    )


def _kinds(surveyor: Surveyor, hit: Floats) -> tuple[KindCover, ...]:
    found: dict[str, tuple[float, float]] = {}
    for fault, (rows, share) in zip(surveyor.effects.faults, surveyor.effects.shares, strict=True):
        had, passed = found.get(fault.kind, (0.0, 0.0))
        found[fault.kind] = (had + share * len(rows), passed + share * float((1.0 - hit[rows]).sum()))
    told = _told()
    made = []
    for kind, (share, passed) in found.items():
        row = told.get(kind, told["other"])
        made.append(KindCover(kind, row["called"] if kind in told else kind, share, passed, row["why"], row["would"]))
    return tuple(sorted(made, key=lambda item: -item.passed))


@cache
def _told() -> Mapping[str, Any]:
    text = resources.files("ohmtrail.survey").joinpath("data/unseen.yaml").read_text(encoding="utf-8")
    return {row["kind"]: row for row in yaml.load(text, Loader=yaml.BaseLoader)["unseen"]}  # BaseLoader reads text only


def false_alarms(surveyor: Surveyor, survey: Survey, *, machines: int, seed: int) -> float:
    """Survey sound machines with noise.

    Parameters
    ----------
    surveyor : Surveyor
        The machine.
    survey : Survey
        The plan.
    machines : int
        How many random machines.
    seed : int
        Of tolerances, noise and slips.

    Returns
    -------
    float
        Share of the surveys in which some reading, taken again as advised, was believed to lie outside its band.
    """
    bands = [surveyor.band(step) for step in survey.steps]
    trial = run_trial(surveyor.electrics, surveyor.meter, survey.steps, bands, effects=None, machines=machines, seed=seed)
    return float(trial.alarms.any(axis=0).mean())
