"""Two harnesses compared: by id, and by what the differences do to every function, load, fuse and lead."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from ohmtrail.changes.flowing import Carried, Fed, Way, carried, fed_loads, ways
from ohmtrail.changes.hanging import hanging, shared_anew
from ohmtrail.changes.identity import Difference, differences
from ohmtrail.changes.same import same_circuit
from ohmtrail.circuit import Electrics, Network
from ohmtrail.circuit.bench import Bench
from ohmtrail.circuit.checks import CIRCUIT_CHECKS
from ohmtrail.circuit.draws import nominal
from ohmtrail.circuit.protection import behind_fuse
from ohmtrail.harness import Harness
from ohmtrail.harness.checks import check_harness
from ohmtrail.harness.findings import Finding
from ohmtrail.harness.text import Plain

__all__ = ["LEAST_A", "LEAST_OHM", "LEAST_V", "Comparison", "FunctionChange", "Machine", "Protection", "compare_machines"]

#: less than this is the same to a person with an ordinary meter; common practice, no source
LEAST_V, LEAST_A, LEAST_OHM = 0.05, 0.05, 0.005
#: a load with less than this across it is off
_ON_V = 0.5


@dataclass(frozen=True)
class Machine:
    """One of the two: its harness, the plain values it was read from, and where it came from."""

    harness: Harness
    data: Plain
    name: str

    @cached_property
    def bench(self) -> Bench:
        """Its functions, solved on the nominal machine."""
        branches = Network.of(self.harness).branches
        return Bench(Electrics(self.harness, machines=(nominal(branches),)))

    @cached_property
    def findings(self) -> dict[tuple[object, ...], Finding]:
        """What a check finds about it, by kind and place."""
        found = (*check_harness(self.harness), *(item for check in CIRCUIT_CHECKS for item in check(self.bench)))
        return {(item.code, *item.path): item for item in found}

    @cached_property
    def fuses(self) -> dict[str, tuple[str, ...]]:
        """Lead -> the fuses that it lies behind."""
        found: dict[str, list[str]] = {}
        for name, part in self.harness.parts.items():
            if part.kind == "fuse":
                for lead in behind_fuse(self.bench.network, name):
                    found.setdefault(lead, []).append(name)
        return {lead: tuple(names) for lead, names in found.items()}


@dataclass(frozen=True)
class FunctionChange:
    """What became of a function: ``lost``, ``gained``, ``changed`` (asked otherwise) or ``level``.

    ``before`` and ``after`` are 0 (fails), 1 (works weakly), 2 (works), or None where it is not there.
    """

    function: str
    kind: str
    before: int | None
    after: int | None


@dataclass(frozen=True)
class Protection:
    """A lead that lies behind other fuses than before; ``before`` is None for a new lead."""

    lead: str
    before: tuple[str, ...] | None
    after: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """Everything that differs between two machines.

    Attributes
    ----------
    old, new : Machine
        Before and after.
    match : dict or None
        Element of the first -> of the second where they are the same circuit; None where they are not.
    differences : tuple of Difference
        By id.
    """

    old: Machine
    new: Machine
    match: dict[str, str] | None
    differences: tuple[Difference, ...]

    @property
    def same(self) -> bool:
        """Whether they are the same circuit, whatever its things are called."""
        return self.match is not None

    @property
    def renamed(self) -> bool:
        """Whether they are the same circuit under other names."""
        return any(item.kind == "renamed" for item in self.differences)

    @cached_property
    def functions(self) -> tuple[FunctionChange, ...]:
        """Functions lost, gained, asked otherwise, or working otherwise."""
        before, after = _levels(self.old.bench), _levels(self.new.bench)
        olds, news = self.old.harness.functions, self.new.harness.functions
        found = []
        for name in dict.fromkeys((*olds, *news)):
            kind = "lost" if name not in news else "gained" if name not in olds else "changed" if olds[name] != news[name] else "level"
            if kind != "level" or before.get(name) != after.get(name):
                found.append(FunctionChange(name, kind, before.get(name), after.get(name)))
        return tuple(found)

    @cached_property
    def loads(self) -> dict[tuple[str, str], tuple[Fed | None, Fed | None]]:
        """(function, load) -> before and after, for every load that has volts in a setting both machines have."""
        before, after = fed_loads(self.old.bench), fed_loads(self.new.bench)
        shared = set(self.old.harness.functions) & set(self.new.harness.functions)
        return {
            key: (before.get(key), after.get(key))
            for key in dict.fromkeys((*before, *after))
            if key[0] in shared and max(item.volts for item in (before.get(key), after.get(key)) if item) > _ON_V
        }

    def own(self, function: str, load: str) -> bool:
        """Say whether a function is there for a load's sake."""
        return any(
            load in (need.lit, need.works)
            for harness in (self.old.harness, self.new.harness)
            if function in harness.functions
            for need in harness.functions[function].needs
        )

    @cached_property
    def changed_loads(self) -> tuple[tuple[str, str], ...]:
        """Loads that get something else than before, by `LEAST_V` or `LEAST_A` and more."""
        return tuple(key for key, (before, after) in self.loads.items() if before is None or after is None or _differ(before, after))

    @cached_property
    def contacts(self) -> dict[str, tuple[Carried | None, Carried | None]]:
        """Fuse, switch or relay -> the most it carries before and after, where that differs."""
        before, after = carried(self.old.bench), carried(self.new.bench)
        return {
            name: (before.get(name), after.get(name))
            for name in dict.fromkeys((*before, *after))
            if _carries_otherwise(before.get(name), after.get(name))
        }

    @cached_property
    def ways(self) -> dict[tuple[str, str], tuple[Way | None, Way | None]]:
        """(function, load) -> ohm in the way of the current, before and after, of every function both machines have."""
        before, after = ways(self.old.bench), ways(self.new.bench)
        shared = set(self.old.harness.functions) & set(self.new.harness.functions)
        return {key: (before.get(key), after.get(key)) for key in dict.fromkeys((*before, *after)) if key[0] in shared}

    @cached_property
    def protection(self) -> tuple[Protection, ...]:
        """Leads that lie behind other fuses than before."""
        old, new = self.old.fuses, self.new.fuses
        found = []
        for lead in self.new.harness.leads:
            before = old.get(lead, ()) if lead in self.old.harness.leads else None
            if (before or ()) != new.get(lead, ()):
                found.append(Protection(lead, before, new.get(lead, ())))
        return tuple(found)

    @cached_property
    def found_new(self) -> tuple[Finding, ...]:
        """What a check finds after and did not before: leads without a fuse or behind too large a one, overloads."""
        return tuple(item for key, item in self.new.findings.items() if key not in self.old.findings)

    @cached_property
    def found_gone(self) -> tuple[Finding, ...]:
        """What a check found before and finds no more."""
        return tuple(item for key, item in self.old.findings.items() if key not in self.new.findings)

    @cached_property
    def shared(self) -> dict[str, tuple[frozenset[str], frozenset[str]]]:
        """Element -> functions that hung on it before and hang on it now, where two and more newly do."""
        return shared_anew(hanging(self.old.bench), hanging(self.new.bench))


def compare_machines(old: Machine, new: Machine) -> Comparison:
    """Compare two machines.

    Parameters
    ----------
    old, new : Machine
        Before and after.

    Returns
    -------
    Comparison
        The electrical answers are worked out when they are asked for.
    """
    match = same_circuit(old.harness, new.harness)
    return Comparison(old, new, match, differences((old.harness, old.data), (new.harness, new.data), renamed=match))


def _levels(bench: Bench) -> dict[str, int]:
    found = {name: min((item.level for item in trace.checked), default=2) for name, trace in bench.traces.items()}
    return found | dict.fromkeys(bench.failures, 0)


def _differ(before: Fed, after: Fed) -> bool:
    return abs(before.volts - after.volts) >= LEAST_V or abs(before.amps - after.amps) >= LEAST_A


def _carries_otherwise(before: Carried | None, after: Carried | None) -> bool:
    if before is None or after is None:
        return True
    return abs(before.amps - after.amps) >= LEAST_A or before.rating != after.rating
