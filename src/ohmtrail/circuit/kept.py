"""Rows at rest that were worked out a moment ago: what is asked at other points of the same rows needs no new sums."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable

from ohmtrail.circuit.cases import Cases
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.response import Answer

__all__ = ["KeptAnswers"]

#: answers that are kept, and memory that they may take together, in bytes: one or two regimes of a whole table of suspects
_MOST, _MOST_BYTES = 40, 20_000_000


class KeptAnswers:
    """The answers used last, each with the cases it is about."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[Hashable, int], tuple[Cases, Answer]] = OrderedDict()
        self._bytes = 0

    def get(self, key: Hashable, cases: Cases) -> Answer | None:
        """What was worked out for these very cases."""
        found = self._kept.get((key, id(cases)))
        if found is None:
            return None
        self._kept.move_to_end((key, id(cases)))
        return found[1]

    def keep(self, key: Hashable, cases: Cases, answer: Answer) -> None:
        """Keep an answer; those used longest ago make room for it."""
        self._kept[key, id(cases)] = cases, answer
        self._bytes += answer.nbytes
        while len(self._kept) > 1 and (len(self._kept) > _MOST or self._bytes > _MOST_BYTES):
            self._bytes -= self._kept.popitem(last=False)[1][1].nbytes

    def forget(self, equations: Equations) -> None:
        """Let go of all that hold a network which itself is let go of."""
        for key in [key for key, (_, answer) in self._kept.items() if answer.equations is equations]:
            self._bytes -= self._kept.pop(key)[1].nbytes
