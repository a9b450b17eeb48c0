"""What steps cost from where the machine stands: minutes, and minutes less what the mend needs open anyway."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ohmtrail.circuit.meter import Quantity
from ohmtrail.circuit.setting import Setting
from ohmtrail.diagnosis.proposal import Scored
from ohmtrail.diagnosis.steps import Bench, Step, minutes_through, places_of
from ohmtrail.harness.model import FRAME, Harness

__all__ = ["Prices"]


class Prices:
    """Prices of one choice.

    Parameters
    ----------
    harness : Harness
        The machine.
    bench : Bench
        Where it stands.
    mend_places : mapping of str to float
        Chance that each place must be opened for the mend.
    """

    def __init__(self, harness: Harness, bench: Bench, mend_places: Mapping[str, float]) -> None:
        self.harness, self.bench, self.mend_places = harness, bench, mend_places

    def of(self, step: Step) -> tuple[float, float]:
        """Minutes of a step, and its price; both infinite where it cannot be reached."""
        places = places_of(self.harness, step, self.bench)
        minutes = minutes_through(self.harness, step, self.bench, places)
        back = sum(self.harness.places[p].reach * self.mend_places.get(p, 0.0) for p in places - self.bench.opened)
        return minutes, minutes - back

    def scored(self, step: Step, bits: float) -> Scored:
        """A step with its price and what it tells."""
        minutes, price = self.of(step)
        return Scored(step, minutes, bits, price)

    def readings(self, quantity: Quantity, setting: Setting, pairs: Sequence[tuple[str, str]]) -> list[tuple[Step, float, float]]:
        """Readings in one setting with minutes and price of each: they differ by the places of the probes alone."""
        known: dict[tuple[str | None, str | None], tuple[float, float]] = {}
        found: list[tuple[Step, float, float]] = []
        for red, black in pairs:
            step = Step("measure", setting, quantity, red, black)
            places = self._place(red), self._place(black)
            if places not in known:
                known[places] = self.of(step)
            found.append((step, *known[places]))
        return found

    def _place(self, point: str) -> str | None:
        """Where a probe point is got at; None where it is got at from anywhere."""
        return None if point == FRAME or point in self.harness.leads else self.harness.place_of(point)
