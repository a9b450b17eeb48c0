"""Two faults at once, made best-first: each reading explained by the one that shows in it, or by the better of two."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ohmtrail.diagnosis.evidence import Evidence, Measured
from ohmtrail.diagnosis.likelihood import discrete, numeric, reading_density
from ohmtrail.diagnosis.posterior import Posterior
from ohmtrail.diagnosis.table import Row, SuspectTable, pair_row

__all__ = ["with_pairs"]

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: chance that a machine with one fault has a second one that matters; common practice, no source
SECOND = 0.10
#: rows taken as the first of a pair, and as the second; pairs that are added at most, and the least of the best one's
#: weight that each must have; own choice
FIRSTS, SECONDS, MOST_PAIRS, NEAR = 60, 4000, 400, 1e-6
#: how much better, as a logarithm, two must explain the evidence than either does; own choice
BETTER = 1.0
#: pairs are added where nothing single is strained once they have so much of the weight; own choice
WORTH_PAIRS = 0.02
#: chances, and spreads of a reading, that differ by more than this from a sound machine's show something
SHOWS, APART = 0.3, 2.0
LEAST = 1e-12
#: chance that the one fault hides the other from a reading in which that one would show: an open lead before a leak;
#: own choice, for the order in which pairs are made
HIDES = 0.25


@dataclass(frozen=True)
class _Told:
    """What one piece of evidence tells about some rows: log likelihood, and where the row shows in it at all."""

    log: Floats
    shows: Bools
    sound: float

    def of(self, rows: Ints) -> _Told:
        return _Told(self.log[rows], self.shows[rows], self.sound)


def with_pairs(posterior: Posterior, pool: SuspectTable, *, whole: float, strained: bool) -> SuspectTable | None:
    """Give a table with likely pairs added.

    Parameters
    ----------
    posterior : Posterior
        Single faults, weighed.
    pool : SuspectTable
        Single faults that may be the second.
    whole : float
        Weight of every single fault of the machine.
    strained : bool
        Whether no single fault explains the evidence well: then pairs come in however little they weigh.

    Returns
    -------
    SuspectTable or None
        The rows of the posterior's table and pairs; None where no pair comes into question.
    """
    table, scan = posterior.table, pool is not posterior.table
    ones, twos = _firsts(posterior), _alone(pool)
    if not len(ones) or not len(twos):
        return None
    firsts = [told.of(ones) for told in _tellings(table, posterior.evidence, scan=False)]
    seconds = [told.of(twos) for told in _tellings(pool, posterior.evidence, scan=scan)]
    if len(twos) > SECONDS:
        kept = np.sort(np.argsort(-_useful(pool.prior[twos], seconds), kind="stable")[:SECONDS])
        twos, seconds = twos[kept], [told.of(kept) for told in seconds]
    with np.errstate(divide="ignore"):
        one, two = np.log(table.prior[ones]), np.log(pool.prior[twos])
    score = np.zeros((len(ones), len(twos)))
    for first, second in zip(firsts, seconds, strict=True):
        score += _together(first, second)
    by_one, by_two = (sum((told.log for told in all_), np.zeros(size)) for all_, size in ((firsts, len(ones)), (seconds, len(twos))))
    # one of them beside a fault that shows in nothing is no second answer: its own mend is the same
    needless = score < np.maximum(by_one[:, None], by_two[None, :]) + BETTER
    score += one[:, None] + two[None, :] + np.log(SECOND / whole)
    score[needless | _clashing(table, ones, pool, twos)] = -np.inf
    alone = one + by_one
    best = float(score.max())
    if not np.isfinite(best):
        return None
    # a pair whose two faults are both among the firsts stands there twice
    if not strained and 0.5 * np.exp(score - alone.max()).sum() < WORTH_PAIRS * np.exp(alone - alone.max()).sum():
        return None
    made: dict[tuple[object, ...], Row] = {}
    for place in np.argsort(-score, axis=None, kind="stable"):
        i, j = np.unravel_index(int(place), score.shape)
        if len(made) >= MOST_PAIRS or score[i, j] < best + np.log(NEAR):
            break
        pair = table.rows[ones[i]], pool.rows[twos[j]]
        key = tuple(sorted((row.faults[0].id, row.bounds[0]) for row in pair))
        made.setdefault(key, pair_row(*pair, pair[0].weight * pair[1].weight / whole * SECOND))
    return table.widened(list(made.values()))


def _alone(table: SuspectTable) -> Ints:
    """Single steady faults."""
    return np.array([i for i, row in enumerate(table.rows) if len(row.faults) == 1 and not row.moves_at], dtype=np.int64)


def _firsts(posterior: Posterior) -> Ints:
    """Single faults that could be the first: the likeliest, and the heaviest before any reading."""
    alone = _alone(posterior.table)
    by_chance = alone[np.argsort(-posterior.chance[alone], kind="stable")[: FIRSTS // 2]]
    by_weight = alone[np.argsort(-posterior.table.prior[alone], kind="stable")[:FIRSTS]]
    return np.array(list(dict.fromkeys([*by_chance, *by_weight]))[:FIRSTS], dtype=np.int64)


def _tellings(table: SuspectTable, evidence: Sequence[Evidence], *, scan: bool) -> Iterator[_Told]:
    """What each piece of evidence tells about every row, readings taken one by one."""
    for item in sorted(evidence, key=repr):
        if isinstance(item, Measured) and numeric(item):
            found = table.measured(item.quantity, item.setting, [(item.red, item.black)], scan=scan)[0]
            log = np.log(reading_density(table, item, scan=scan))
            shows = np.abs(found.mean - found.mean[0]) > APART * np.maximum(found.spread, found.spread[0])
        else:
            chance = discrete(table, item, scan=scan)
            log, shows = np.log(np.maximum(chance, LEAST)), np.abs(chance - chance[0]) > SHOWS
        yield _Told(log, shows, float(log[0]))


def _together(first: _Told, second: _Told) -> Floats:
    """Log likelihood of one piece of evidence under pairs: (n_firsts, n_seconds)."""
    one, two = first.log[:, None], second.log[None, :]
    alone_one, alone_two = (np.logaddexp(np.log1p(-HIDES) + log, np.log(HIDES) + first.sound) for log in (one, two))
    both: Floats = np.where(
        first.shows[:, None],
        np.where(second.shows[None, :], np.maximum(one, two), alone_one),
        np.where(second.shows[None, :], alone_two, first.sound),
    )
    return both


def _useful(prior: Floats, told: Sequence[_Told]) -> Floats:
    """How much a row may do as a second fault: its weight, and what it explains better than a sound machine."""
    gain = sum((np.where(item.shows, np.maximum(item.log - item.sound, 0.0), 0.0) for item in told), np.zeros(len(prior)))
    with np.errstate(divide="ignore"):
        result: Floats = np.log(prior) + gain
    return result


def _clashing(table: SuspectTable, ones: Ints, pool: SuspectTable, twos: Ints) -> Bools:
    """Pairs that are none: two faults of one element, or put right by one mend; (n_firsts, n_seconds)."""
    names: dict[str, int] = {}

    def numbered(rows: Sequence[Row], at: Ints, what: str) -> Ints:
        faults = [rows[int(i)].faults[0] for i in at]
        words = [fault.element if what == "element" else fault.mend.id for fault in faults]
        return np.array([names.setdefault(f"{what} {word}", len(names)) for word in words])

    same = [numbered(table.rows, ones, what)[:, None] == numbered(pool.rows, twos, what)[None, :] for what in ("element", "mend")]
    result: Bools = same[0] | same[1]
    return result
