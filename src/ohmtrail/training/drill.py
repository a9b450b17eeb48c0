"""What a drill is: what was wanted, what is planted, what the owner says."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Literal, get_args

from ohmtrail.diagnosis import Case, PlantedFault, Seen
from ohmtrail.errors import UnknownName
from ohmtrail.training.machine import DrillMachine

__all__ = ["LEVELS", "YEAR", "Drill", "Level", "Wish"]

Level = Literal["single", "high-resistance", "intermittent", "double"]
LEVELS: tuple[Level, ...] = get_args(Level)

#: ages are counted to this year whatever the calendar says, so that a seed means the same drill next year
YEAR = 2026


@dataclass(frozen=True)
class Wish:
    """What drill is wanted.

    Attributes
    ----------
    level : str
        single, high-resistance, intermittent or double.
    function : str
        What is complained of; "" for any.
    seed : int
        The same seed gives the same drill.
    unsplit : bool
        Whether the fault may be one that nothing within reach can tell from another.
    """

    level: Level = "single"
    function: str = ""
    seed: int = 1
    unsplit: bool = False

    def __post_init__(self) -> None:
        if self.level not in LEVELS:
            raise UnknownName("level", self.level, LEVELS)


@dataclass(frozen=True)
class Drill:
    """A machine with hidden faults, and what its owner says.

    Attributes
    ----------
    case : Case
        The machine as described.
    wish : Wish
        What was wanted.
    draw : int
        Which draw of the seed it is.
    planted : tuple of PlantedFault
        What is wrong; one, or two for a double.
    complaint : Seen
        What its owner says.
    """

    case: Case
    wish: Wish
    draw: int
    planted: tuple[PlantedFault, ...]
    complaint: Seen

    def machine(self) -> DrillMachine:
        """Give the machine as it was brought in; each call gives another one, all alike."""
        return DrillMachine(self.case.harness, self.planted, meter=self.case.meter, seed=self.wish.seed)

    @property
    def mends(self) -> tuple[str, ...]:
        """Ids of the mends that put it right."""
        return tuple(item.fault.mend.id for item in self.planted)

    @property
    def seal(self) -> str:
        """Sixteen signs that tell whether a drill planted again is the same one; they say nothing else."""
        told = [f"{item.fault.id} {item.severity:.6e}" for item in self.planted]
        words = "\x1f".join((str(self.wish.seed), self.complaint.function, *told))
        return hashlib.sha256(words.encode()).hexdigest()[:16]
