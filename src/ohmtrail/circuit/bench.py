"""A machine with all its functions solved once, for the checks that share the result."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.flows import Flow, flow
from ohmtrail.circuit.needs import function_setting
from ohmtrail.circuit.network import Network, Regime
from ohmtrail.circuit.trace import Trace, trace_function
from ohmtrail.errors import CircuitError
from ohmtrail.harness.model import Harness

__all__ = ["Bench"]


@dataclass(frozen=True)
class Bench:
    """A machine under check.

    Attributes
    ----------
    electrics : Electrics
        The machine and its healthy draws.
    """

    electrics: Electrics

    @property
    def harness(self) -> Harness:
        """What the machine is."""
        return self.electrics.harness

    @property
    def network(self) -> Network:
        """Its nodes and branches."""
        return self.electrics.network

    @cached_property
    def _tried(self) -> dict[str, Trace | CircuitError]:
        found: dict[str, Trace | CircuitError] = {}
        for name in self.harness.functions:
            try:
                found[name] = trace_function(self.electrics, name)
            except CircuitError as error:
                found[name] = error
        return found

    @property
    def traces(self) -> dict[str, Trace]:
        """Every function that can be solved, traced in its own setting."""
        return {name: item for name, item in self._tried.items() if isinstance(item, Trace)}

    @property
    def failures(self) -> dict[str, CircuitError]:
        """Every function whose circuit has no answer, with the reason."""
        return {name: item for name, item in self._tried.items() if isinstance(item, CircuitError)}

    @cached_property
    def flows(self) -> tuple[tuple[str, Flow], ...]:
        """Function, and the whole machine solved in its setting; in ac as well while the engine turns."""
        found = []
        for name in self.traces:
            setting = function_setting(self.harness, self.harness.functions[name])
            regimes: tuple[Regime, ...] = ("dc",) if setting.engine == "still" else ("dc", "ac")
            found += [(name, flow(self.electrics, setting, regime)) for regime in regimes]
        return tuple(found)
