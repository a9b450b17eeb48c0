"""A machine for other programs: a plain SPICE netlist of one setting, sound or with one fault."""

from __future__ import annotations

import math
from collections.abc import Sequence
from os import PathLike, fspath

from ohmtrail.circuit import Electrics, Setting, function_setting
from ohmtrail.circuit.netlist import netlist as written
from ohmtrail.diagnosis import PlantedFault
from ohmtrail.errors import InputError, UnknownName
from ohmtrail.faults import Fault, faults_of
from ohmtrail.grammar import read_settings
from ohmtrail.grammar.names import Names
from ohmtrail.harness import load_harness
from ohmtrail.reports.results import Netlisted
from ohmtrail.workbench.files import existing

__all__ = ["netlist"]


def netlist(
    file: str | PathLike[str],
    *,
    function: str = "",
    setting: Sequence[str] = (),
    fault: str = "",
    severity: float | None = None,
    year: int,
) -> Netlisted:
    """Write a machine in one setting as a netlist that ngspice reads.

    Parameters
    ----------
    file : str or path
        A harness file.
    function : str
        The machine is set as this function wants it; at rest where not given.
    setting : sequence of str
        What differs from that, each as the ``with`` part of a reading: ``engine running``,
        ``battery off``, ``head-plug parted``, ``stop-1.from lifted``, ``main-fuse out``.
    fault : str
        Id of a fault, such as ``stop-2 leak``; the machine is sound where not given.
    severity : float, optional
        Ohm or factor, where the fault has one; the middle of its range, on a log scale, where not given.
    year : int
        For the age of leads and parts.

    Returns
    -------
    Netlisted
        The text, and what it stands for.

    Raises
    ------
    UnknownName, SettingError
        A function, fault, switch or position that does not exist.
    InputError
        A severity that is not above nought, or that has no fault to belong to.
    CircuitError
        The machine has no answer in this setting.
    """
    harness = load_harness(existing(fspath(file)))
    chosen = Names(harness).function(function.split()) if function else ""
    then = function_setting(harness, harness.functions[chosen]) if chosen else Setting()
    then = read_settings(harness, then, setting)
    electrics = Electrics(harness, count=1)
    planted = _planted(electrics, fault, severity, year)
    changes = () if planted is None else planted.changes(electrics.network)
    return Netlisted(harness, chosen, then, planted, written(electrics, then, changes=changes))


def _planted(electrics: Electrics, name: str, severity: float | None, year: int) -> PlantedFault | None:
    if severity is not None and not (severity > 0.0 and math.isfinite(severity)):
        raise InputError(f"a severity of {severity:g} is none: give one above nought, such as 4")
    if not name:
        if severity is not None:
            raise InputError(f"a severity of {severity:g} belongs to a fault: name one with --fault")
        return None
    fault = _fault(electrics, name, year)
    if not fault.high:
        return PlantedFault(fault, 0.0)
    return PlantedFault(fault, math.sqrt(fault.low * fault.high) if severity is None else severity)


def _fault(electrics: Electrics, name: str, year: int) -> Fault:
    """The fault that a name means, case apart."""
    known = {item.id.casefold(): item for item in faults_of(electrics.network, year=year)}
    folded = " ".join(name.casefold().split())
    if folded not in known:
        raise UnknownName("fault", name, [item.id for item in known.values()])
    return known[folded]
