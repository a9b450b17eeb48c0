"""Why: for each answer, what every reading says about it. Data only; reports turn it into words."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.meter import unscale
from ohmtrail.diagnosis.evidence import Evidence, Looked, Measured, Seen
from ohmtrail.diagnosis.likelihood import SLIP, category, discrete, joint_of, numeric, slip_density
from ohmtrail.diagnosis.posterior import Answer, Posterior, weigh

__all__ = ["Expected", "OddReading", "Outcome", "RuledOut", "Weight", "expected_of", "odd_reading", "outcomes_of", "ruled_out", "weights_of"]

Floats = NDArray[np.float64]

#: an answer that fell below this share, from at least ten times as much, counts as ruled out
RULED_OUT = 0.01


@dataclass(frozen=True)
class Expected:
    """What a reading should be.

    Attributes
    ----------
    low, high : float
        Band of display values (ohm, volt, ampere; infinity: over-range) that nine in ten machines show.
    chances : tuple of float
        For things seen or looked at: chance of fails, weak, works (or damaged, sound); else empty.
    """

    low: float
    high: float
    chances: tuple[float, ...] = ()


@dataclass(frozen=True)
class Weight:
    """What one reading says about one answer.

    Attributes
    ----------
    evidence : Evidence
        The reading.
    sound : Expected
        What a sound machine shows.
    suspect : Expected
        What this answer's likeliest fault shows.
    factor : float
        How many times likelier the reading is under this answer than under the others together;
        above one it speaks for the answer.
    """

    evidence: Evidence
    sound: Expected
    suspect: Expected
    factor: float


@dataclass(frozen=True)
class RuledOut:
    """An answer that a reading ruled out."""

    mends: tuple[str, ...]
    before: float
    after: float
    evidence: Evidence
    factor: float


@dataclass(frozen=True)
class OddReading:
    """The reading that fits least.

    Attributes
    ----------
    evidence : Evidence
        The reading.
    without : Answer
        The likeliest answer without it.
    share : float
        That answer's share without it.
    """

    evidence: Evidence
    without: Answer
    share: float


@dataclass(frozen=True)
class Outcome:
    """One outcome that a step may have, and what it would mean.

    Attributes
    ----------
    low, high : float
        Band of display values; both nan for outcomes in words.
    word : str
        "works", "weak", "fails", "damaged", "sound", "flickers" ... or "".
    chance : float
        How likely it is.
    answers : tuple of (mends, share)
        The likeliest answers after it.
    """

    low: float
    high: float
    word: str
    chance: float
    answers: tuple[tuple[tuple[str, ...], float], ...]


def expected_of(posterior: Posterior, item: Evidence, row: int) -> Expected:
    """Say what one row expects of one reading.

    Parameters
    ----------
    posterior : Posterior
        Where the rows are.
    item : Evidence
        The reading.
    row : int
        The row; 0 is the sound machine.

    Returns
    -------
    Expected
        A band or chances.
    """
    table = posterior.table
    if isinstance(item, Looked):
        damaged = float(discrete(table, Looked(item.element, True))[row])
        return Expected(np.nan, np.nan, (damaged, 1.0 - damaged))
    if isinstance(item, Seen):
        return Expected(np.nan, np.nan, tuple(float(v) for v in table.seen(item.function, item.setting)[row]))
    found = table.measured(item.quantity, item.setting, [(item.red, item.black)])[0]
    mean, sigma = float(found.mean[row]), float(found.spread[row])
    return Expected(_shown(item, mean - 1.645 * sigma, posterior), _shown(item, mean + 1.645 * sigma, posterior))


def _shown(item: Measured, scaled: float, posterior: Posterior) -> float:
    value = unscale(item.quantity, scaled)
    value = max(value, 0.0) if item.quantity in ("ac", "peak") else value
    return float("inf") if item.quantity in ("ohms", "beep") and value > posterior.table.meter.top_ohm else value


def weights_of(posterior: Posterior, answer: Answer) -> tuple[Weight, ...]:
    """Say for every reading how it bears on an answer.

    Parameters
    ----------
    posterior : Posterior
        All answers, weighed.
    answer : Answer
        The one in question.

    Returns
    -------
    tuple of Weight
        In the order of the evidence.
    """
    mine = np.zeros(len(posterior.table), dtype=bool)
    mine[list(answer.rows)] = True
    prior = posterior.table.prior
    made = []
    for item in posterior.evidence:
        chance = _density(posterior, item)
        factor = _mean(chance, prior * mine * _rest(posterior, item)) / max(_mean(chance, prior * ~mine * _rest(posterior, item)), 1e-300)
        row = answer.rows[0]
        made.append(Weight(item, expected_of(posterior, item, 0), expected_of(posterior, item, row), float(factor)))
    return tuple(made)


def _rest(posterior: Posterior, item: Evidence) -> Floats:
    """Weight that the other evidence leaves each row, so that severities it ruled out do not count."""
    weight = np.ones(len(posterior.table))
    for other in posterior.evidence:
        if other is not item:
            weight = weight * np.maximum(_density(posterior, other), 1e-12)
    return weight


def _density(posterior: Posterior, item: Evidence) -> Floats:
    """Density or chance of one reading alone under every row."""
    if not (isinstance(item, Measured) and numeric(item)):
        return discrete(posterior.table, item)
    joint = joint_of(posterior.table, [item])
    sigma = np.sqrt(joint.covariance()[:, 0, 0])
    gap = (joint.seen[0] - joint.mean[:, 0]) / sigma
    slip = slip_density(item, posterior.table.electrics.harness.supply.nominal)
    result: Floats = (1.0 - SLIP) * np.exp(-0.5 * gap**2) / (sigma * np.sqrt(2.0 * np.pi)) + SLIP * slip
    return result


def _mean(value: Floats, weight: Floats) -> float:
    total = float(weight.sum())
    return float((value * weight).sum() / total) if total > 0 else 0.0


def ruled_out(posterior: Posterior, before: Posterior) -> tuple[RuledOut, ...]:
    """List the answers that readings ruled out, and the reading that spoke most against each.

    Parameters
    ----------
    posterior : Posterior
        With all evidence.
    before : Posterior
        With the complaint alone.

    Returns
    -------
    tuple of RuledOut
        The likeliest before first.
    """
    now = {answer.mends: answer for answer in posterior.answers}
    made = []
    for answer in before.answers:
        after = now.get(answer.mends)
        share = after.share if after is not None else 0.0
        if answer.share < 0.002 or share > RULED_OUT or share > 0.1 * answer.share or after is None:
            continue
        weights = [item for item in weights_of(posterior, after) if item.evidence not in before.evidence]
        if weights:
            worst = min(weights, key=lambda item: item.factor)
            made.append(RuledOut(answer.mends, answer.share, share, worst.evidence, worst.factor))
    return tuple(made)


def odd_reading(posterior: Posterior, complaints: Collection[Evidence] = ()) -> OddReading | None:
    """Name the reading without which the rest would agree.

    Parameters
    ----------
    posterior : Posterior
        With all evidence.
    complaints : collection of Evidence
        What the job is about: never the odd one.

    Returns
    -------
    OddReading or None
        None where all readings fit, or where leaving one out does not help.
    """
    misfit, worst = posterior.misfit()
    if posterior.best is None or (posterior.unlisted < 0.10 and misfit < 4.0):
        return None
    best: OddReading | None = None
    for index, item in enumerate(posterior.evidence):
        if item in complaints or (isinstance(item, Seen) and item.level < 2 and index == 0):
            continue
        rest = [other for place, other in enumerate(posterior.evidence) if place != index]
        without = weigh(posterior.table, rest, strangers=posterior.strangers)
        if without.best is not None and (best is None or without.best.share > best.share):
            best = OddReading(item, without.best, without.best.share)
    if best is None or best.share < max(0.5, posterior.best.share + 0.2):
        named = worst is not None and posterior.evidence[worst] not in complaints
        return OddReading(posterior.evidence[worst], posterior.best, posterior.best.share) if named and worst is not None else None
    return best


def outcomes_of(posterior: Posterior, step_evidence: Sequence[Evidence], *, most: int = 4) -> tuple[Outcome, ...]:
    """Say what each outcome of a step would mean.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    step_evidence : sequence of Evidence
        For a measurement one reading with any value; for other steps one piece of evidence for each
        outcome.
    most : int
        How many outcomes at most.

    Returns
    -------
    tuple of Outcome
        By value, or in the order given.
    """
    first = step_evidence[0]
    if isinstance(first, Measured) and numeric(first):
        return _number_outcomes(posterior, first, most)
    made = []
    for item in step_evidence:
        chance = _category(posterior, item)
        weight = posterior.chance * chance
        made.append(Outcome(np.nan, np.nan, _word(item), float(weight.sum()), _after(posterior, weight)))
    return tuple(item for item in made if item.chance > 0.01)


def _category(posterior: Posterior, item: Evidence) -> Floats:
    if isinstance(item, Measured) and not item.flickers:
        found = posterior.table.measured(item.quantity, item.setting, [(item.red, item.black)])[0]
        return category(posterior.table.meter, item, found, posterior.table.electrics.harness.supply.nominal)
    return discrete(posterior.table, item)


def _word(item: Evidence) -> str:
    if isinstance(item, Looked):
        return "damaged" if item.damaged else "looks sound"
    if isinstance(item, Seen):
        return "comes and goes" if item.sometimes else ("fails", "weak", "works")[item.level]
    if item.flickers:
        return "flickers"
    if item.quantity == "beep":
        return "beeps" if item.value > 0.5 else "silent"
    return "bright" if item.value > 0.75 else "out" if item.value < 0.25 else "dim"


def _number_outcomes(posterior: Posterior, item: Measured, most: int) -> tuple[Outcome, ...]:
    """Bands of display values between which the answers differ."""
    found = posterior.table.measured(item.quantity, item.setting, [(item.red, item.black)])[0]
    live = np.flatnonzero(posterior.chance > 1e-3 * posterior.chance.max(initial=0.0))
    order = live[np.argsort(found.mean[live], kind="stable")]
    bands: list[list[int]] = []
    for row in order:
        if bands and found.mean[row] - found.mean[bands[-1][-1]] < 2.5 * max(found.spread[row], found.spread[bands[-1][-1]]):
            bands[-1].append(int(row))
        else:
            bands.append([int(row)])
    heavy = sorted(bands, key=lambda rows: -float(posterior.chance[rows].sum()))[:most]
    made = []
    for rows in sorted(heavy, key=lambda rows: float(found.mean[rows[0]])):
        weight = np.zeros(len(posterior.table))
        weight[rows] = posterior.chance[rows]
        low = float((found.mean[rows] - 1.645 * found.spread[rows]).min())
        high = float((found.mean[rows] + 1.645 * found.spread[rows]).max())
        made.append(Outcome(_shown(item, low, posterior), _shown(item, high, posterior), "", float(weight.sum()), _after(posterior, weight)))
    return tuple(item for item in made if item.chance > 0.005)


def _after(posterior: Posterior, weight: Floats) -> tuple[tuple[tuple[str, ...], float], ...]:
    total = float(weight.sum())
    if total <= 0:
        return ()
    shares = [(answer.mends, float(weight[list(answer.rows)].sum()) / total) for answer in posterior.answers]
    return tuple(sorted((item for item in shares if item[1] > 0.05), key=lambda item: -item[1])[:3])
