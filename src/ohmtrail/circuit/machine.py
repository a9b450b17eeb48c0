"""What a machine's electricity answers to the rooms that it is itself built on.

A module delivers when its own conditions are met, and conditions are readings: `needs` asks the very thing that asks
`needs`. Both know this description and not each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from ohmtrail.circuit.cases import Cases, Values
from ohmtrail.circuit.changes import Change, Rows
from ohmtrail.circuit.network import Network, Regime
from ohmtrail.circuit.response import Answer
from ohmtrail.circuit.setting import Setting
from ohmtrail.harness.model import Harness

__all__ = ["Machine"]


class Machine(Protocol):
    """One machine and its healthy draws; `electrics.Electrics` is the one that there is."""

    harness: Harness
    network: Network

    @property
    def sound(self) -> Cases:
        """The machine without a change."""

    def cases(self, sets: Sequence[Sequence[Change]]) -> Cases:
        """Lay out sets of changes that are the same in every draw."""

    def read(
        self,
        regime: Regime,
        setting: Setting,
        pairs: Sequence[tuple[str, str]],
        cases: Cases | None = None,
        *,
        machines: Sequence[int] = (0,),
        source: bool = False,
        idle: bool = False,
    ) -> Values:
        """Work out what stands between probe pairs."""

    def everywhere(self, regime: Regime, setting: Setting, cases: Cases, draw: int) -> tuple[Answer, Rows]:
        """Solve every node, and give the changes that were solved for."""
