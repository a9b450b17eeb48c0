"""What hangs on one thing: the functions that stop when a single lead, contact, fuse or earth opens."""

from __future__ import annotations

from ohmtrail.circuit import Change, Electrics, Mode, function_level, function_setting
from ohmtrail.circuit.bench import Bench

__all__ = ["hanging", "shared_anew"]

_KINDS = frozenset({"lead", "contact", "fuse", "earth", "switch", "relay-contact"})


def hanging(bench: Bench) -> dict[str, frozenset[str]]:
    """Find the functions that stop when one element opens.

    Parameters
    ----------
    bench : Bench
        The machine.

    Returns
    -------
    dict
        Lead, fuse, earth point, switch, relay or ``plug.cavity`` -> functions that fail without it, though they
        work with it; elements that nothing hangs on are left out.

    Notes
    -----
    Every element opened in turn: one factorisation per setting, the rest are changes to it.
    """
    electrics = bench.electrics
    names = _elements(electrics)
    cases = electrics.cases([(), *([Change(Mode.SERIES, item) for item in branches] for branches in names.values())])
    found: dict[str, set[str]] = {name: set() for name in names}
    for function in bench.traces:
        said = bench.harness.functions[function]
        level = function_level(electrics, said, function_setting(bench.harness, said), cases)[0]
        for name, without in zip(names, level[1:], strict=True):
            if without == 0 < level[0]:
                found[name].add(function)
    return {name: frozenset(functions) for name, functions in found.items() if functions}


def _elements(electrics: Electrics) -> dict[str, list[str]]:
    """Element -> its branches: a part as a whole, a plug cavity by cavity."""
    found: dict[str, list[str]] = {}
    for branch in electrics.network.branches:
        if branch.kind in _KINDS:
            name = branch.id if branch.kind == "contact" else branch.owner
            found.setdefault(name, []).append(branch.id)
    return found


def shared_anew(before: dict[str, frozenset[str]], after: dict[str, frozenset[str]]) -> dict[str, tuple[frozenset[str], frozenset[str]]]:
    """Find what two functions and more hang on now that did not before.

    Parameters
    ----------
    before, after : dict
        As `hanging` gives them.

    Returns
    -------
    dict
        Element -> the functions that hung on it before, and those that do now.
    """
    return {
        name: (before.get(name, frozenset()), functions)
        for name, functions in after.items()
        if len(functions) > 1 and functions - before.get(name, frozenset())
    }
