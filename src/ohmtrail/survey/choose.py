"""The readings that leave the least chance of an unnoticed fault per minute: a weighted set cover, greedily."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from ohmtrail.circuit import Setting
from ohmtrail.diagnosis.steps import ENGINE_MIN, READING_MIN, WATCH_MIN, WIGGLE_MIN, Step, setting_minutes
from ohmtrail.harness.model import Harness
from ohmtrail.survey.pool import Candidate, Pool

__all__ = ["Cover", "group_of", "reading_minutes"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Group = tuple[int, Setting]

#: bundles of readings that are looked at closely in each round, and most readings of one bundle
CLOSELY, MOST_TOGETHER = 10, 16
#: the machine is set once and put back once
THERE_AND_BACK = 2.0


def group_of(item: Candidate) -> Group:
    """Give the stage and setting that a candidate shares with others.

    Parameters
    ----------
    item : Candidate
        The candidate.

    Returns
    -------
    (int, Setting)
        Number of the stage, and the setting with what is moved left out.
    """
    return item.stage, replace(item.step.setting, moved=None)


def reading_minutes(step: Step) -> float:
    """Minutes of a step once the machine is set and the places are open.

    Parameters
    ----------
    step : Step
        What is done.

    Returns
    -------
    float
        Minutes.
    """
    own = READING_MIN[step.quantity] if step.kind == "measure" else WATCH_MIN
    return own + (WIGGLE_MIN if step.setting.moved else 0.0)


def group_minutes(setting: Setting) -> float:
    """Minutes to set a machine for a group of readings and to put it back."""
    rest = Setting(battery=setting.battery)
    return THERE_AND_BACK * setting_minutes(rest, replace(setting, engine="still")) + ENGINE_MIN[setting.engine]


@dataclass
class Cover:
    """A growing choice of candidates.

    Attributes
    ----------
    harness : Harness
        The machine.
    pool : Pool
        What there is to choose from.
    weight : array, (n_rows,)
        Share of each row in all single faults.
    chosen : list of int
        Candidates in the order in which they were taken.
    """

    harness: Harness
    pool: Pool
    weight: Floats
    chosen: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        items = self.pool.candidates
        names = {name: bit for bit, name in enumerate(self.harness.places)}
        self._reach = np.array([self.harness.places[name].reach for name in names])
        self._bits = np.zeros((len(items), len(names)), dtype=bool)
        for index, item in enumerate(items):
            self._bits[index, [names[place] for place in item.places]] = True
        groups = {group: index for index, group in enumerate(dict.fromkeys(group_of(item) for item in items))}
        self._group = np.array([groups[group_of(item)] for item in items], dtype=np.int64)
        self._group_min = np.array([group_minutes(setting) for _, setting in groups])
        self._own = np.array([reading_minutes(item.step) for item in items])
        self._open = np.zeros(len(groups), dtype=bool)
        self._opened = np.zeros(len(names), dtype=bool)
        self._free = np.ones(len(items), dtype=bool)
        self.miss = np.ones(len(self.weight))
        self.minutes = 0.0

    @property
    def unnoticed(self) -> float:
        """Share of all single faults that the choice so far would not notice."""
        return float(self.weight @ self.miss)

    def take(self, indices: Iterable[int]) -> None:
        """Add candidates to the choice."""
        for index in indices:
            if not self._free[index]:
                continue
            self.minutes += self.cost(index)
            self._free[index] = False
            self._open[self._group[index]] = True
            self._opened |= self._bits[index]
            self.miss *= 1.0 - self._row(index)
            self.chosen.append(index)

    def cost(self, index: int) -> float:
        """Minutes that one more candidate takes."""
        setting = 0.0 if self._open[self._group[index]] else self._group_min[self._group[index]]
        return float(self._own[index] + setting + self._reach[self._bits[index] & ~self._opened].sum())

    def _row(self, index: int) -> Floats:
        start, end = self.pool.chance.indptr[index : index + 2]
        row = np.zeros(len(self.weight))
        row[self.pool.chance.indices[start:end]] = self.pool.chance.data[start:end]
        return row

    def loss_rate(self, chosen: Sequence[int], index: int) -> float:
        """Give the share of faults that only one of some candidates notices, per minute of it.

        Parameters
        ----------
        chosen : sequence of int
            Candidates, the one in question among them.
        index : int
            The one in question.

        Returns
        -------
        float
            Per minute of its reading alone.
        """
        others = rows_of(self.pool.chance, [item for item in chosen if item != index])
        return float((self.weight * others) @ self._row(index)) / float(self._own[index])

    def best(self, *, within: float = np.inf) -> tuple[float, tuple[int, ...]]:
        """Find the readings that notice most per minute from here.

        Parameters
        ----------
        within : float
            Minutes that are left.

        Returns
        -------
        tuple of float and tuple of int
            Share noticed per minute, and the candidates: some that share a setting and the places they need.
        """
        gain = np.asarray(self.pool.chance @ (self.weight * self.miss)) * self._free
        bundles = sorted(self._bundles(gain), key=lambda item: -item[0])
        best: tuple[float, tuple[int, ...]] = (0.0, ())
        for rate, base, members in bundles[:CLOSELY]:
            if rate <= best[0]:
                break
            found = self._together(base, members, within)
            if found[0] > best[0] + 1e-15:
                best = found
        return best

    def _bundles(self, gain: Floats) -> Iterator[tuple[float, float, Ints]]:
        """Readings of one setting that need the same places opened: hoped-for rate, minutes to begin, members."""
        worth = np.flatnonzero(gain > 1e-9)
        wanted = self._bits[worth] & ~self._opened
        code = wanted @ (1 << np.arange(wanted.shape[1], dtype=np.int64))
        order = np.lexsort((-gain[worth], code, self._group[worth]))
        worth, code = worth[order], code[order]
        group = self._group[worth]
        cuts = np.flatnonzero(np.diff(group) | np.diff(code)) + 1
        ready: dict[int, Ints] = {}
        for members, codes in zip(np.split(worth, cuts), np.split(code, cuts), strict=True):
            if not len(members):
                continue
            mine = int(self._group[members[0]])
            if codes[0] == 0:
                ready[mine] = members
            else:
                members = np.concatenate([members, ready.get(mine, members[:0])])
            base = 0.0 if self._open[mine] else float(self._group_min[mine])
            base += float(self._reach[self._bits[members[0]] & ~self._opened].sum())
            top = members[np.argsort(-gain[members] / self._own[members], kind="stable")][: 3 * MOST_TOGETHER]
            hoped = np.cumsum(gain[top]) / (base + np.cumsum(self._own[top]))
            yield float(hoped.max()), base, top

    def _together(self, base: float, members: Ints, within: float) -> tuple[float, tuple[int, ...]]:
        """Take the members one by one, the best first; give the beginning with the best rate."""
        chance = self.pool.chance[members]
        left = self.weight * self.miss
        taken: list[int] = []
        noticed, minutes = 0.0, base
        best: tuple[float, tuple[int, ...]] = (0.0, ())
        own = self._own[members]
        for _ in range(min(MOST_TOGETHER, len(members))):
            gain = np.asarray(chance @ left)
            spot = int(np.argmax(gain / own))
            if gain[spot] <= 1e-9 or minutes + own[spot] > within:
                break
            taken.append(int(members[spot]))
            noticed, minutes = noticed + float(gain[spot]), minutes + float(own[spot])
            left = left * (1.0 - self._row(taken[-1]))
            if noticed / minutes > best[0]:
                best = (noticed / minutes, tuple(taken))
        return best


def rows_of(chance: sparse.csr_array, indices: Sequence[int]) -> Floats:
    """Chance that none of some candidates notices each row, (n_rows,)."""
    miss = np.ones(chance.shape[1])
    for index in indices:
        start, end = chance.indptr[index : index + 2]
        miss[chance.indices[start:end]] *= 1.0 - chance.data[start:end]
    return miss
