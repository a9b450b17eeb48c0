"""From a complaint to the rows that could cause it, without working out everything else."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit import function_level
from ohmtrail.diagnosis.evidence import Seen
from ohmtrail.diagnosis.likelihood import discrete
from ohmtrail.diagnosis.table import SuspectTable

__all__ = ["causes"]

Bools = NDArray[np.bool_]

#: rows whose prior times chance of the complaint is less than this share of the best are left out
CUT = 2e-5


def causes(table: SuspectTable, complaints: Sequence[Seen]) -> SuspectTable:
    """Keep the rows that could cause any of the complaints, and the sound machine.

    Parameters
    ----------
    table : SuspectTable
        Every row.
    complaints : sequence of Seen
        Functions that fail or work weakly.

    Returns
    -------
    SuspectTable
        A smaller table with the same meaning; the sound machine stays row 0.
    """
    # a row that causes one of several complaints may be half of a pair that causes them all
    keep = np.zeros(len(table), dtype=bool)
    for item in complaints:
        keep |= _could(table, item)
    keep[0] = True
    small = table.restricted(np.flatnonzero(keep))
    weight = small.prior.copy()
    for item in complaints:
        weight = weight * discrete(small, item)
    strong = weight >= CUT * weight.max(initial=0.0)
    strong[0] = True
    return small.restricted(np.flatnonzero(strong))


def _could(table: SuspectTable, item: Seen) -> Bools:
    """Rows that show the complaint on the nominal machine, and their neighbours in severity."""
    function = table.electrics.harness.functions[item.function]
    level = function_level(table.electrics, function, item.setting, table.cases, machines=(0,))[0]
    if item.level > level[0]:
        hit = level > level[0]
    else:
        # what comes and goes was seen to work in between: its causes are those that make it fail
        hit = level < level[0]
    wide: Bools = hit.copy()
    for index in np.flatnonzero(hit):
        for near in (index - 1, index + 1):
            if 0 < near < len(table) and table.rows[near].faults == table.rows[index].faults:
                wide[near] = True
    return wide
