"""What counts after mends: a reading that a mend may have changed counts only if that mend was made in vain.

Whether it was, nobody knows for sure: a mend whose try fails was either not what was wrong, and then every reading
before it stands, or it was, and something else is wrong beside it. Both are weighed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import logsumexp

from ohmtrail.circuit.meter import scale
from ohmtrail.diagnosis.evidence import Evidence, Looked, Measured, Seen
from ohmtrail.diagnosis.likelihood import discrete, log_likelihood, numeric, reading_density
from ohmtrail.diagnosis.pairs import SECOND
from ohmtrail.diagnosis.posterior import Version
from ohmtrail.diagnosis.table import SuspectTable

__all__ = ["AfterMends", "Counted", "Event", "Mended"]


@dataclass(frozen=True)
class Mended:
    """A mend that was made."""

    mend: str


Event = Measured | Seen | Looked | Mended


@dataclass(frozen=True)
class Counted:
    """One version of what counts.

    Attributes
    ----------
    version : Version
        The evidence, and its weight.
    places : tuple of int
        Where the evidence stands in the history.
    in_vain : tuple of str
        Ids of the mends that changed nothing that was read before them.
    """

    version: Version
    places: tuple[int, ...]
    in_vain: tuple[str, ...]


class AfterMends:
    """What the mends of a job have changed.

    Parameters
    ----------
    table : SuspectTable
        Every single fault, with the weights it has while nothing is mended.
    """

    def __init__(self, table: SuspectTable) -> None:
        self.table = table
        self._few: dict[str, SuspectTable] = {}
        self._changed: dict[tuple[str, Evidence], bool] = {}
        self._explained: dict[tuple[str, tuple[Evidence, ...]], float] = {}

    def certain(self, history: Sequence[Event]) -> tuple[int, ...]:
        """Give the evidence that no later mend may have changed.

        Parameters
        ----------
        history : sequence of Event
            Evidence and mends in the order they happened.

        Returns
        -------
        tuple of int
            Places in the history of what counts in any case.
        """
        return self._split(history, _made(history))[0]

    def versions(self, history: Sequence[Event]) -> tuple[Counted, ...]:
        """Give what may count, in every version that is told apart.

        Parameters
        ----------
        history : sequence of Event
            Evidence and mends in the order they happened.

        Returns
        -------
        tuple of Counted
            First every mend right; then none, and one of them alone. Those that count the same stand there once.
        """
        made, certain = _made(history), set(self.certain(history))
        found: dict[tuple[int, ...], Counted] = {}
        for right in (made, {}, *({index: mend} for index, mend in made.items())):
            places, by_mend = self._split(history, right)
            log = sum(self._log_explained(mend, by_mend[index]) for index, mend in right.items())
            if places in found:
                same = found[places]
                version = replace(same.version, log_weight=float(np.logaddexp(same.version.log_weight, log)))
                found[places] = replace(same, version=version)
            else:
                evidence = tuple(item for i in places if not isinstance(item := history[i], Mended))
                stale = frozenset(number for number, place in enumerate(places) if place not in certain)
                vain = tuple(mend for index, mend in made.items() if index not in right and self._would_change(history[:index], mend))
                found[places] = Counted(Version(evidence, log, stale), places, vain)
        return tuple(found.values())

    def _would_change(self, before: Sequence[Event], mend: str) -> bool:
        """Whether a mend would have changed something that was read before it, had it put anything right."""
        return any(self._may_change(mend, item) for item in before if not isinstance(item, Mended))

    def _split(self, history: Sequence[Event], right: Mapping[int, str]) -> tuple[tuple[int, ...], dict[int, list[Evidence]]]:
        """Places of what counts if some mends were right, and what each of them may have been the first to change."""
        counting: list[int] = []
        by_mend: dict[int, list[Evidence]] = {index: [] for index in right}
        for index, item in enumerate(history):
            if isinstance(item, Mended):
                continue
            touched = next((i for i, mend in right.items() if i > index and self._may_change(mend, item)), None)
            if touched is None:
                counting.append(index)
            else:
                by_mend[touched].append(item)
        return tuple(counting), by_mend

    def _of(self, mend: str) -> SuspectTable:
        """The sound machine, and what a mend puts right."""
        if mend not in self._few:
            rows = [i for i, row in enumerate(self.table.rows) if any(fault.mended_by(mend) for fault in row.faults)]
            self._few[mend] = self.table.restricted(np.array([0, *rows]))
        return self._few[mend]

    def _log_explained(self, mend: str, evidence: Sequence[Evidence]) -> float:
        """How likely it is that what was mended was wrong beside something else, and made the evidence what it was."""
        key = mend, tuple(evidence)
        if key not in self._explained:
            few = self._of(mend)
            with np.errstate(divide="ignore"):
                log = np.log(few.prior * SECOND / self.table.prior.sum()) + log_likelihood(few, evidence)
            self._explained[key] = float(logsumexp(log))
        return self._explained[key]

    def _may_change(self, mend: str, item: Evidence) -> bool:
        """Whether putting something right may have changed what was read."""
        key = (mend, item)
        if key not in self._changed:
            self._changed[key] = self._compare(self._of(mend), mend, item)
        return self._changed[key]

    def _compare(self, few: SuspectTable, mend: str, item: Evidence) -> bool:
        if isinstance(item, Looked):
            return any(fault.lies_on(item.element) and fault.mended_by(mend) for row in few.rows for fault in row.faults)
        # only a fault that explains the reading, alone or with another, can have been there to be mended
        if isinstance(item, Measured) and numeric(item):
            found = few.measured(item.quantity, item.setting, [(item.red, item.black)])[0]
            gap = np.abs(float(scale(item.quantity, item.value, few.meter)) - found.mean)
            density = reading_density(few, item)
            nearer = (gap < 0.5 * gap[0]) & (gap[0] > 3.0 * found.spread[0])
            return bool(((density > 2.0 * density[0]) | nearer).any())
        chance = discrete(few, item)
        return bool(((chance > 0.1) & (chance > 2.0 * chance[0])).any())


def _made(history: Sequence[Event]) -> dict[int, str]:
    """Place in the history of each mend, and its id."""
    return {index: item.mend for index, item in enumerate(history) if isinstance(item, Mended)}
