"""Two faults at once, made best-first around what single faults leave unexplained."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.meter import scale
from ohmtrail.diagnosis.evidence import Measured
from ohmtrail.diagnosis.likelihood import discrete, numeric
from ohmtrail.diagnosis.posterior import Posterior
from ohmtrail.diagnosis.table import Row, SuspectTable, pair_row

__all__ = ["with_pairs"]

#: chance that a machine with one fault has a second one that matters; common practice, no source
SECOND = 0.10
#: single faults taken as the first of a pair, and as the second
FIRSTS, SECONDS = 14, 40


def with_pairs(posterior: Posterior, everything: SuspectTable) -> SuspectTable | None:
    """Give a table with likely pairs added.

    Parameters
    ----------
    posterior : Posterior
        Single faults, weighed.
    everything : SuspectTable
        Every single fault of the machine.

    Returns
    -------
    SuspectTable or None
        The rows of the posterior's table and pairs; None where no pair comes into question.
    """
    _, worst = posterior.misfit()
    if worst is None:
        return None
    firsts = _firsts(posterior)
    seconds = _seconds(posterior, everything, worst)
    total = float(everything.prior.sum())
    pairs: dict[tuple[object, ...], Row] = {}
    for first in firsts:
        one = posterior.table.rows[first]
        for second in seconds:
            two = everything.rows[second]
            if {fault.element for fault in one.faults} & {fault.element for fault in two.faults} or two.moves_at:
                continue
            weight = one.weight * two.weight / total * SECOND
            key = tuple(sorted([(one.faults[0].id, one.bounds[0]), (two.faults[0].id, two.bounds[0])]))
            pairs.setdefault(key, pair_row(one, two, weight))
    if not pairs:
        return None
    return posterior.table.widened(list(pairs.values()))


def _firsts(posterior: Posterior) -> NDArray[np.int64]:
    """Single faults that could be the first: the likeliest, and the heaviest before any reading."""
    table = posterior.table
    alone = np.array([len(row.faults) == 1 and not row.moves_at for row in table.rows])
    by_chance = [i for i in np.argsort(-posterior.chance, kind="stable") if alone[i]][: FIRSTS // 2]
    by_weight = [i for i in np.argsort(-table.prior, kind="stable") if alone[i]][: FIRSTS]
    return np.array(list(dict.fromkeys([*by_chance, *by_weight]))[:FIRSTS], dtype=np.int64)


def _seconds(posterior: Posterior, everything: SuspectTable, worst: int) -> NDArray[np.int64]:
    """Faults that bring the least fitting reading where it was read."""
    item = posterior.evidence[worst]
    if isinstance(item, Measured) and numeric(item):
        found = everything.measured(item.quantity, item.setting, [(item.red, item.black)], scan=True)[0]
        seen = float(scale(item.quantity, item.value, everything.meter))
        fit = np.exp(-0.5 * ((seen - found.mean) / (found.spread + 0.05)) ** 2)
    else:
        fit = discrete(everything, item, scan=True)
    score = everything.prior * (fit + 1e-6)
    return np.argsort(-score, kind="stable")[:SECONDS]
