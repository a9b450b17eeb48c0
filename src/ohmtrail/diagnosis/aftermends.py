"""What counts after mends: a reading that a mend may have changed counts only if that mend was made in vain.

Whether it was, nobody knows for sure: a mend whose try fails was either not what was wrong, and then every reading
before it stands, or it was, and something else is wrong beside it. Both are weighed.
"""

from __future__ import annotations

from collections.abc import Sequence
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

    def split(self, history: Sequence[Event]) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """Tell the evidence that no later mend may have changed from the rest.

        Parameters
        ----------
        history : sequence of Event
            Evidence and mends in the order they happened.

        Returns
        -------
        tuple of (tuple of int, tuple of int)
            Places in the history of what counts in any case, and of what does not.
        """
        return self._split(history, [index for index, item in enumerate(history) if isinstance(item, Mended)])[:2]

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
        made = [index for index, item in enumerate(history) if isinstance(item, Mended)]
        certain = set(self.split(history)[0])
        found: dict[tuple[int, ...], Counted] = {}
        for right in (made, [], *([index] for index in made)):
            places, _, by_mend = self._split(history, right)
            log = sum(self._log_explained(history[index], [history[i] for i in by_mend[index]]) for index in right)
            if places in found:
                same = found[places]
                version = replace(same.version, log_weight=float(np.logaddexp(same.version.log_weight, log)))
                found[places] = replace(same, version=version)
            else:
                evidence = tuple(item for i in places if not isinstance(item := history[i], Mended))
                stale = frozenset(number for number, place in enumerate(places) if place not in certain)
                found[places] = Counted(Version(evidence, log, stale), places, self._in_vain(history, [i for i in made if i not in right]))
        return tuple(found.values())

    def _in_vain(self, history: Sequence[Event], mends: Sequence[int]) -> tuple[str, ...]:
        """Those of some mends that would have changed something, had they put anything right."""
        return tuple(
            mended.mend
            for index in mends
            if isinstance(mended := history[index], Mended)
            and any(not isinstance(item, Mended) and self._may_change(mended.mend, item) for item in history[:index])
        )

    def _split(
        self, history: Sequence[Event], right: Sequence[int]
    ) -> tuple[tuple[int, ...], tuple[int, ...], dict[int, list[int]]]:
        """What counts and what does not if some mends were right, and what each of them may have changed first."""
        counting: list[int] = []
        dropped: list[int] = []
        by_mend: dict[int, list[int]] = {index: [] for index in right}
        for index, item in enumerate(history):
            if isinstance(item, Mended):
                continue
            later = (i for i in right if i > index)
            touched = next((i for i in later if isinstance(mend := history[i], Mended) and self._may_change(mend.mend, item)), None)
            if touched is None:
                counting.append(index)
            else:
                dropped.append(index)
                by_mend[touched].append(index)
        return tuple(counting), tuple(dropped), by_mend

    def _of(self, mend: str) -> SuspectTable:
        """The sound machine, and what a mend puts right."""
        if mend not in self._few:
            rows = [i for i, row in enumerate(self.table.rows) if any(fault.mended_by(mend) for fault in row.faults)]
            self._few[mend] = self.table.restricted(np.array([0, *rows]))
        return self._few[mend]

    def _log_explained(self, mended: Event, evidence: Sequence[Event]) -> float:
        """How likely it is that what was mended was wrong beside something else, and made the evidence what it was."""
        assert isinstance(mended, Mended)
        items = tuple(item for item in evidence if not isinstance(item, Mended))
        key = mended.mend, items
        if key not in self._explained:
            few = self._of(mended.mend)
            with np.errstate(divide="ignore"):
                log = np.log(few.prior * SECOND / self.table.prior.sum()) + log_likelihood(few, items)
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
