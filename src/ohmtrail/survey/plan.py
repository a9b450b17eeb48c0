"""A survey: what to check on a machine that has stood for years, in which order, and what that leaves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit import Electrics, Network
from ohmtrail.circuit.draws import draws, nominal
from ohmtrail.circuit.meter import Meter, measure, scale, unscale
from ohmtrail.circuit.sound import Sound
from ohmtrail.diagnosis import Caution, Step, cautions_for
from ohmtrail.faults import faults_of
from ohmtrail.harness.model import Harness
from ohmtrail.survey.bands import Bands, bands_of
from ohmtrail.survey.choose import Cover, reading_minutes
from ohmtrail.survey.effects import Effects, effects_of
from ohmtrail.survey.pool import Candidate, Pool, pool_of, required
from ohmtrail.survey.route import everything_minutes, in_order, walk

__all__ = ["Planned", "Survey", "Surveyor"]

Floats = NDArray[np.float64]

#: healthy machines for the choice, and for the bands that are printed
FEW_DRAWS, DRAWS = 8, 32
#: a plan without a limit goes on until this share of what any reading could notice is noticed
GOAL = 0.98
#: and is content with these shares once it takes so large a part of the minutes of measuring everything; own choice
CONTENT = ((0.40, 0.965), (0.44, 0.955))
#: a reading that adds less than this share of all odds a minute is not worth its time; own choice
LEAST_RATE = 1e-4


@dataclass(frozen=True)
class Planned:
    """One reading of a survey.

    Attributes
    ----------
    number : int
        From 1, through the whole survey.
    stage : int
        1 to 4.
    step : Step
        What to do.
    sound : Sound or None
        What a sound machine shows, and its band; None for a function, which must work.
    opens : tuple of str
        Places opened for it, outer ones first.
    minutes : float
        What it takes, openings and setting included.
    cautions : tuple of Caution
        What to be careful of.
    """

    number: int
    stage: int
    step: Step
    sound: Sound | None
    opens: tuple[str, ...]
    minutes: float
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class Survey:
    """A survey of one machine.

    Attributes
    ----------
    harness : Harness
        The machine.
    year : int
        The year that ages are counted to.
    within : float or None
        Minutes that were allowed.
    planned : tuple of Planned
        In order.
    minutes : float
        In all, the machine put back as it runs.
    everything : float
        Minutes of measuring every lead end to end and every terminal to the frame.
    """

    harness: Harness
    year: int
    within: float | None
    planned: tuple[Planned, ...]
    minutes: float
    everything: float

    @property
    def steps(self) -> tuple[Step, ...]:
        """What is done, in order."""
        return tuple(item.step for item in self.planned)


class Surveyor:
    """Plans surveys of one machine.

    Parameters
    ----------
    harness : Harness
        The machine.
    meter : Meter
        What readings are taken with.
    year : int
        The year that ages are counted to.
    barred : iterable of str
        Places that cannot be reached.
    """

    def __init__(self, harness: Harness, *, meter: Meter | None = None, year: int, barred: Iterable[str] = ()) -> None:
        # currents at the battery are read with the meter in series there
        self.harness, self.meter, self.year = harness, replace(meter or Meter(), in_series=True), year
        network = Network.of(harness)
        machines = (nominal(network.branches), *draws(network.branches, DRAWS))
        self.electrics = Electrics(harness, machines=machines)
        self.effects: Effects = effects_of(network, faults_of(network, year=year))
        few = range(1, FEW_DRAWS + 1)
        self.pool: Pool = pool_of(self.electrics, self.meter, self.effects, machines=few, barred=barred)

    @property
    def could(self) -> Floats:
        """(n_rows,) 1 where some reading within reach could notice the row, else 0."""
        return self.pool.could.astype(np.float64)

    def plan(self, *, within: float | None = None) -> Survey:
        """Plan a survey.

        Parameters
        ----------
        within : float, optional
            Minutes that may be spent; as many as are worth it where not given.

        Returns
        -------
        Survey
            The same for the same machine, meter and minutes.
        """
        if within is None:
            return self._for(np.inf, within)
        # the choice reckons each setting alone; in order they cost a little more or less
        limit, made = within, self._for(within, within)
        while made.minutes > within and limit > 0.0:
            limit -= max(made.minutes - within, 0.1)
            made = self._for(max(limit, 0.0), within)
        return made

    def _for(self, limit: float, within: float | None) -> Survey:
        """What is worth its minutes until the limit or the goal is reached."""
        cover = Cover(self.harness, self.pool, self.effects.weight)
        must = required(self.pool, everything=within is None)
        cover.take(must)
        could, everything = float(self.effects.weight @ self.could), everything_minutes(self.harness)
        floor = 1.0
        while within is not None or 1.0 - cover.unnoticed < floor:
            rate, bundle = cover.best(within=limit - cover.minutes)
            if not bundle or rate < LEAST_RATE:
                break
            cover.take(bundle)
            floor = could * min([GOAL, *(share for part, share in CONTENT if cover.minutes >= part * everything)])
        kept = self._pruned(cover, frozenset(must), floor)
        return self._made([self.pool.candidates[index] for index in kept], within)

    def _pruned(self, cover: Cover, must: frozenset[int], floor: float) -> list[int]:
        """Leave out what later readings made superfluous, the least useful first, down to a share that is noticed."""
        kept, noticed = list(cover.chosen), 1.0 - cover.unnoticed
        while True:
            rate, index = min(((cover.loss_rate(kept, item), item) for item in kept if item not in must), default=(np.inf, -1))
            lost = rate * reading_minutes(self.pool.candidates[index].step)
            if rate >= LEAST_RATE and noticed - lost < floor:
                return kept
            kept.remove(index)
            noticed -= lost

    def _made(self, chosen: Sequence[Candidate], within: float | None) -> Survey:
        ordered = in_order(self.harness, chosen)
        minutes, walked = walk(self.harness, ordered)
        planned = tuple(
            Planned(
                number,
                item.stage,
                item.step,
                self.sound(item.step),
                tuple(sorted(opens, key=lambda name: (_depth(self.harness, name), name))),
                spent,
                cautions_for(self.harness, item.step),
            )
            for number, (item, (spent, opens)) in enumerate(zip(ordered, walked, strict=True), start=1)
        )
        return Survey(self.harness, self.year, within, planned, minutes, everything_minutes(self.harness))

    def band(self, step: Step) -> Bands | None:
        """Give the band of a measurement; None for a function."""
        if step.kind != "measure":
            return None
        setting = replace(step.setting, moved=None)
        return bands_of(self.electrics, self.meter, step.quantity, [(step.red, step.black)], setting, machines=range(1, DRAWS + 1))

    def sound(self, step: Step) -> Sound | None:
        """Give what a sound machine shows, as display values; None for a function."""
        band = self.band(step)
        if band is None:
            return None
        setting = replace(step.setting, moved=None)
        shown, _ = measure(self.electrics, self.meter, step.quantity, [(step.red, step.black)], setting)
        ends = [float(band.middle[0] + sign * band.half[0]) for sign in (-1.0, 1.0)]
        top = float(scale(step.quantity, self.meter.top_ohm, self.meter))
        low, high = (unscale(step.quantity, end) if step.quantity != "ohms" or end < top else float("inf") for end in ends)
        return Sound(float(shown[0, 0, 0]), max(low, 0.0) if step.quantity in ("ac", "peak") else low, high)


def _depth(harness: Harness, place: str) -> int:
    inside = harness.places[place].inside
    return 0 if inside is None else 1 + _depth(harness, inside)

