"""The machine of a drill: the same question, asked as often before, has the same answer whoever asks it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Evidence, Planted, PlantedFault, Step
from ohmtrail.harness import Harness
from ohmtrail.training.dice import Dice

__all__ = ["DrillMachine"]


class DrillMachine(Planted):
    """A machine with something wrong, whose noise hangs on the question and not on what was asked before.

    The probe never slips: a learner is not marked down for what no care could have avoided.

    Parameters
    ----------
    harness : Harness
        The machine as described.
    faults : sequence of PlantedFault
        What is wrong with it.
    meter : Meter
        What it is read with.
    seed : int
        Of the drill.
    """

    def __init__(self, harness: Harness, faults: Sequence[PlantedFault], *, meter: Meter, seed: int) -> None:
        super().__init__(harness, faults, meter=meter, generator=Dice(seed, "machine"), slip=0.0)
        self.seed = seed
        self._asked: Counter[str] = Counter()

    def take(self, step: Step) -> Evidence:
        """Do a step and say what came of it.

        Parameters
        ----------
        step : Step
            A measurement, a function to watch or an element to look at.

        Returns
        -------
        Evidence
            With meter error.
        """
        key = _words(step)
        times = 0 if step.kind == "look" else self._asked[key]  # a second look sees what the first one saw
        self._generator = Dice(self.seed, "reading", key, times)
        self._asked[key] += 1
        return super().take(step)

    def pass_over(self, step: Step) -> None:
        """Count a step as done whose answer is known already."""
        self._asked[_words(step)] += 1


def _words(step: Step) -> str:
    """A step as text that is the same in every run."""
    if step.kind == "look":
        return f"look|{step.element}"
    what = f"{step.quantity}/{step.red}/{step.black}" if step.kind == "measure" else step.function
    return "|".join((step.kind, what, *step.setting.words()))
