"""From likelihoods to suspects: rows weighed, grouped by the mend that puts them right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.meter import scale
from ohmtrail.diagnosis.evidence import Evidence, Looked, Measured, Seen
from ohmtrail.diagnosis.likelihood import discrete, joint_of, log_likelihood, numeric, slip_density
from ohmtrail.diagnosis.table import SuspectTable
from ohmtrail.diagnosis.unlisted import Strangers

__all__ = ["UNLISTED", "Answer", "Posterior", "Version", "posterior_of", "weigh", "weigh_versions"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: share of machines whose fault is in no table, or whose wiring is not what the file says
UNLISTED = 0.02
#: how an unlisted fault answers a reading: like a sound machine, or anything at all
LIKE_SOUND = 0.5
#: share of unlisted faults that are some one change to one branch, so that their readings follow the circuit
FOLLOWS = 0.5


@dataclass(frozen=True)
class Version:
    """What counts if some of the mends put something right, and the others were made in vain.

    Attributes
    ----------
    evidence : tuple of Evidence
        What no mend that was right may have changed.
    log_weight : float
        Natural logarithm of its weight: that what was mended was wrong as well, and how well it explains what does not
        count.
    stale : frozenset of int
        Places in the evidence of what counts only because a mend was in vain: worth taking again.
    """

    evidence: tuple[Evidence, ...]
    log_weight: float
    stale: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Answer:
    """Suspects that one mend (or one set of mends) puts right.

    Attributes
    ----------
    mends : tuple of str
        Ids of the mends.
    share : float
        Posterior probability.
    rows : tuple of int
        Their rows in the table, the likeliest first.
    severity : tuple of (low, high) or None
        Where the severity of the likeliest fault lies, ohm or factor; None where it has none.
    """

    mends: tuple[str, ...]
    share: float
    rows: tuple[int, ...]
    severity: tuple[float, float] | None


@dataclass(frozen=True)
class Posterior:
    """Rows weighed by evidence.

    Attributes
    ----------
    table : SuspectTable
        The rows.
    evidence : tuple of Evidence
        What they were weighed by.
    chance : array, (n_rows,)
        Posterior probability of each row.
    unlisted : float
        Probability that it is none of them.
    strangers : Strangers or None
        What an answer is held against before it is named.
    following : float
        The part of ``unlisted`` that is some one change to one branch.
    version : int
        Which version of what counts has most of the weight; ``evidence`` is its.
    stale : frozenset of int
        Places in the evidence of what counts only because a mend was in vain.
    """

    table: SuspectTable
    evidence: tuple[Evidence, ...]
    chance: Floats
    unlisted: float
    strangers: Strangers | None = None
    following: float = 0.0
    version: int = 0
    stale: frozenset[int] = frozenset()

    @cached_property
    def answers(self) -> tuple[Answer, ...]:
        """Answers, the likeliest first; ties in the order of the harness file."""
        groups: dict[tuple[str, ...], list[int]] = {}
        for index, row in enumerate(self.table.rows):
            if row.faults:
                groups.setdefault(row.mends, []).append(index)
        made = [self._answer(mends, rows) for mends, rows in groups.items()]
        return tuple(sorted(made, key=lambda item: -item.share))

    def _answer(self, mends: tuple[str, ...], rows: list[int]) -> Answer:
        order = sorted(rows, key=lambda index: -self.chance[index])
        share = float(self.chance[rows].sum())
        return Answer(mends, share, tuple(order), self._severity(order))

    def _severity(self, order: list[int]) -> tuple[float, float] | None:
        """Bounds that hold nine tenths of the likeliest fault's chance."""
        first = self.table.rows[order[0]]
        if not first.bounds or not first.bounds[0][1]:
            return None
        same = [i for i in order if self.table.rows[i].faults == first.faults]
        total, held, low, high = self.chance[same].sum(), 0.0, np.inf, 0.0
        for index in same:
            bound = self.table.rows[index].bounds[0]
            low, high, held = min(low, bound[0]), max(high, bound[1]), held + self.chance[index]
            if held >= 0.9 * total:
                break
        return float(low), float(high)

    @cached_property
    def best(self) -> Answer | None:
        """The likeliest answer, None where there is none."""
        return self.answers[0] if self.answers and self.answers[0].share > 0 else None

    def needs(self, mends: Iterable[str]) -> float:
        """Give the chance that some mends are right, whatever else may be wrong beside them.

        Parameters
        ----------
        mends : iterable of str
            Ids of mends, commonly those of one answer.

        Returns
        -------
        float
            Share of all answers that need them, and maybe more.
        """
        wanted = set(mends)
        return sum(item.share for item in self.answers if wanted <= set(item.mends))

    @cached_property
    def unlisted_at(self) -> tuple[tuple[str, float], ...]:
        """Elements where a change that nobody listed would explain the evidence, and the share of each; the likeliest first."""
        if self.strangers is None or not self.following:
            return ()
        log = self.strangers.weighed(self.evidence)
        top = max(log.values(), default=-np.inf)
        if not np.isfinite(top):
            return ()
        weight = {name: float(np.exp(value - top)) for name, value in log.items()}
        total = sum(weight.values())
        return tuple(sorted(((name, self.following * w / total) for name, w in weight.items()), key=lambda item: -item[1]))

    def misfit(self) -> tuple[float, int | None]:
        """How badly the likeliest row fits: squared gap per reading, and the reading that fits least.

        Returns
        -------
        tuple of float and (int or None)
            Mean squared standardised gap (about 1 where it fits), and the place in ``evidence`` of the
            reading that fits least.
        """
        if self.best is None:
            return 0.0, None
        row = self.best.rows[0]
        worst, where, total, count = 0.0, None, 0.0, 0
        for index, item in enumerate(self.evidence):
            gap = self._gap(item, row)
            total, count = total + gap, count + 1
            if gap > worst:
                worst, where = gap, index
        return (total / count if count else 0.0), where

    def _gap(self, item: Evidence, row: int) -> float:
        if isinstance(item, Measured) and numeric(item):
            prediction = self.table.measured(item.quantity, item.setting, [(item.red, item.black)])[0]
            seen = float(scale(item.quantity, item.value, self.table.meter))
            return float(((seen - prediction.mean[row]) / prediction.spread[row]) ** 2)
        return float(-2.0 * np.log(max(discrete(self.table, item)[row], 1e-12)))


def weigh(
    table: SuspectTable, evidence: Sequence[Evidence], *, unlisted: float = UNLISTED, strangers: Strangers | None = None
) -> Posterior:
    """Weigh every row by the evidence.

    Parameters
    ----------
    table : SuspectTable
        The rows.
    evidence : sequence of Evidence
        In any order.
    unlisted : float
        Prior share of faults that are in no table.
    strangers : Strangers, optional
        Unlisted faults that follow the circuit; without them an unlisted fault reads like a sound machine, or anything.

    Returns
    -------
    Posterior
        Chances that sum to one, the unlisted one included.
    """
    return weigh_versions(table, [Version(tuple(evidence), 0.0)], unlisted=unlisted, strangers=strangers)


def weigh_versions(
    table: SuspectTable, versions: Sequence[Version], *, unlisted: float = UNLISTED, strangers: Strangers | None = None
) -> Posterior:
    """Weigh every row by evidence of which it is not certain what still counts.

    Parameters
    ----------
    table : SuspectTable
        The rows.
    versions : sequence of Version
        What counts, and how likely that is; at least one.
    unlisted, strangers : float, Strangers, optional
        As in `weigh`.

    Returns
    -------
    Posterior
        Chances over all versions that sum to one, the unlisted one included; the evidence is that of the likeliest.
    """
    priors, likelihoods, follows = zip(*(_logs(table, item, unlisted, strangers) for item in versions), strict=True)
    chance = posterior_of(np.concatenate(priors), np.concatenate(likelihoods)).reshape(len(versions), -1)
    if not chance.any():
        return Posterior(table, versions[0].evidence, np.zeros(len(table)), 1.0, strangers)
    chosen = int(chance.sum(axis=1).argmax())
    share, following = float(chance[:, -1].sum()), float(chance[:, -1] @ np.exp(follows))
    best = versions[chosen]
    return Posterior(table, best.evidence, chance[:, :-1].sum(axis=0), share, strangers, following, chosen, best.stale)


def _logs(table: SuspectTable, version: Version, unlisted: float, strangers: Strangers | None) -> tuple[Floats, Floats, float]:
    """(n_rows + 1,) log weights and log likelihoods, the unlisted one last; log of its part that is one change to one branch."""
    # a fixed order, so that the order of entry cannot touch even the last digit
    ordered = tuple(sorted(version.evidence, key=repr))
    complaint = [item for item in ordered if isinstance(item, Seen)][:1]
    with np.errstate(divide="ignore"):
        log_prior = np.log(table.prior)
    started = _total(log_prior + (np.log(discrete(table, complaint[0])) if complaint else 0.0))
    rest = [item for item in ordered if item not in complaint]
    follows = strangers.log_evidence(ordered) + np.log(FOLLOWS) if strangers is not None and rest else -np.inf
    plain = _log_unlisted(table, rest) if unlisted > 0 else 0.0
    together = float(np.logaddexp(plain + np.log1p(-FOLLOWS), follows)) if np.isfinite(follows) else plain
    with np.errstate(divide="ignore"):
        prior = np.append(log_prior, started + np.log(unlisted)) + version.log_weight
    return prior, np.append(log_likelihood(table, ordered), together), follows - together


def posterior_of(log_prior: Floats, log_likelihood: Floats) -> Floats:
    """Weigh hypotheses that exclude each other by Bayes' rule.

    Parameters
    ----------
    log_prior : array, (n_hypotheses,)
        Natural logarithm of each one's prior weight, not normalised; minus infinity for none.
    log_likelihood : array, (n_hypotheses,)
        Natural logarithm of the chance, or density, of what was found under each.

    Returns
    -------
    array, (n_hypotheses,)
        Chances that sum to one; all nought where no hypothesis can be.

    Examples
    --------
    >>> posterior_of(np.log([0.5, 0.5]), np.log([0.9, 0.1])).round(3).tolist()
    [0.9, 0.1]
    """
    together = log_prior + log_likelihood
    top = float(together.max(initial=-np.inf))
    if not np.isfinite(top):
        return np.zeros(len(together))
    weight = np.exp(together - top)
    result: Floats = weight / weight.sum()
    return result


def _total(log_values: Floats) -> float:
    top = float(log_values.max(initial=-np.inf))
    return -np.inf if not np.isfinite(top) else top + float(np.log(np.exp(log_values - top).sum()))


def _log_unlisted(table: SuspectTable, evidence: Sequence[Evidence]) -> float:
    """Log likelihood of the evidence under a fault that reads like a sound machine, or like anything."""
    nominal, total = table.electrics.harness.supply.nominal, 0.0
    for item in evidence:
        if isinstance(item, Measured) and numeric(item):
            sound = joint_of(table, [item])
            sigma = float(np.sqrt(sound.covariance()[0, 0, 0]))
            gap = (float(sound.seen[0]) - float(sound.mean[0, 0])) / sigma
            like = float(np.exp(-0.5 * gap**2) / (sigma * np.sqrt(2.0 * np.pi)))
            total += float(np.log(LIKE_SOUND * like + (1.0 - LIKE_SOUND) * slip_density(item, nominal)))
        elif isinstance(item, Looked):
            total += float(np.log(discrete(table, item)[0]))
        else:
            total += float(np.log(LIKE_SOUND * discrete(table, item)[0] + (1.0 - LIKE_SOUND) * 0.4))
    return total


def rows_of(posterior: Posterior, least: float) -> Ints:
    """Rows whose chance is at least a share of the best one's."""
    top = float(posterior.chance.max(initial=0.0))
    return np.flatnonzero(posterior.chance >= least * top) if top > 0 else np.array([], dtype=np.int64)
