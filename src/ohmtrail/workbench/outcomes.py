"""What each outcome of a step would mean: bands of the display that tell the suspects apart, or words."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.meter import unscale
from ohmtrail.diagnosis import (
    Event,
    Evidence,
    Looked,
    Measured,
    Mended,
    Outcome,
    Posterior,
    Seen,
    Step,
    outcomes_of,
)
from ohmtrail.diagnosis.gain import gains, number_outcomes, outcome_edges

__all__ = ["likely_results", "next_events", "step_outcomes"]

Floats = NDArray[np.float64]

#: rows below this share of the likeliest do not shape the bands
_SHAPING = 1e-3
#: edges that are tried, bands at most, and bits that a further edge must add
_TRIED, _MOST_BANDS, _LEAST_BITS = 40, 4, 0.05
#: outcomes less likely than this, and answers below this share after one, are not told
_LEAST_CHANCE, _LEAST_SHARE = 0.005, 0.05
#: where results from equal shares of the chance are alike, shares so many times smaller are looked at
_FINER = 4
#: spread below which two results are one, on the scale of the reading
_SAME = 0.02


def step_outcomes(posterior: Posterior, step: Step) -> tuple[Outcome, ...]:
    """Say what each outcome of a step would mean.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    step : Step
        What is to be done; a mend has no outcomes before it is tried.

    Returns
    -------
    tuple of Outcome
        Bands in rising order, open at both ends by infinities; or words.
    """
    if _numeric(step):
        return _bands(posterior, step)
    items = _worded(step)
    return outcomes_of(posterior, items) if items else ()


def next_events(posterior: Posterior | None, step: Step) -> tuple[Event, ...]:
    """Give what may well happen next, for working ahead.

    Parameters
    ----------
    posterior : Posterior or None
        What is known; None where the one complaint was mended and is to be tried.
    step : Step
        What is to be done.

    Returns
    -------
    tuple of Event
        Results of a reading or a look; a mend that is made, which may change what earlier readings say; a complaint
        that is still there after it.
    """
    if step.kind == "mend":
        return (Mended(step.mend.id),) if step.mend is not None else ()
    if posterior is None:
        return (Seen(step.function, step.setting, 0),) if step.kind == "watch" else ()
    return likely_results(posterior, step)


def likely_results(posterior: Posterior, step: Step, *, most: int = 4) -> tuple[Evidence, ...]:
    """Give results that a step may well have, for working ahead.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    step : Step
        What is to be done; a mend has none.
    most : int
        How many.

    Returns
    -------
    tuple of Evidence
        Words the likeliest first; figures one from each equal share of the chance, and where those are alike, from
        smaller shares.
    """
    if not _numeric(step):
        items = _worded(step)
        chances = [sum(outcome.chance for outcome in outcomes_of(posterior, [item])) for item in items]
        return tuple(item for _, item in sorted(zip(chances, items, strict=True), key=lambda pair: -pair[0])[:most])
    found = posterior.table.measured(step.quantity, step.setting, [(step.red, step.black)])[0]
    rows = np.flatnonzero(np.isfinite(found.mean) & (posterior.chance > 0))
    rows = rows[np.argsort(found.mean[rows], kind="stable")]
    if not len(rows):
        return ()
    held = np.cumsum(posterior.chance[rows]) / posterior.chance[rows].sum()
    values: list[float] = []
    for parts in (most, _FINER * most):
        places = rows[np.searchsorted(held, (np.arange(parts) + 0.5) / parts)]  # the middles of equal shares of the chance
        for row in places:
            if len(values) < most and all(abs(found.mean[row] - other) > max(2.0 * found.spread[row], _SAME) for other in values):
                values.append(float(found.mean[row]))
    return tuple(Measured(step.quantity, step.red, step.black, step.setting, _shown(posterior, step, value)) for value in values)


def _numeric(step: Step) -> bool:
    return step.kind == "measure" and step.quantity not in ("beep", "lamp")


def _worded(step: Step) -> list[Evidence]:
    """Every result that a step can have in words."""
    items: list[Evidence] = []
    if step.kind == "measure":
        values = (0.0, 0.5, 1.0) if step.quantity == "lamp" else (0.0, 1.0)
        items = [Measured(step.quantity, step.red, step.black, step.setting, value) for value in values]
    elif step.kind == "watch" and step.setting.moved:
        seen = ((0, True), (0, False), (2, False))
        items = [Seen(step.function, step.setting, level, sometimes) for level, sometimes in seen]
    elif step.kind == "watch":
        items = [Seen(step.function, step.setting, level) for level in (0, 1, 2)]
    elif step.kind == "look":
        items = [Looked(step.element, True), Looked(step.element, False)]
    return items


def _bands(posterior: Posterior, step: Step) -> tuple[Outcome, ...]:
    """Bands of a number, cut where that tells the most."""
    rows = np.flatnonzero(posterior.chance > _SHAPING * posterior.chance.max(initial=0.0))
    rows = rows[rows > 0]
    if not len(rows):
        return ()
    found = posterior.table.measured(step.quantity, step.setting, [(step.red, step.black)])[0]
    mean, spread = found.mean[rows][None], np.maximum(found.spread[rows], 1e-6)[None]
    weight = posterior.chance[rows] / posterior.chance[rows].sum()
    groups = {mends: index for index, mends in enumerate(dict.fromkeys(posterior.table.rows[i].mends for i in rows))}
    group = np.array([groups[posterior.table.rows[i].mends] for i in rows], dtype=np.int64)
    cuts = _cuts(mean, spread, weight, group)
    shares = number_outcomes(mean, spread, np.array([cuts]))[0]
    ends = [-np.inf, *(_shown(posterior, step, cut) for cut in cuts), np.inf]
    made = []
    for band in range(shares.shape[1]):
        joint = weight * shares[:, band]
        after = np.bincount(group, joint, minlength=len(groups)) / joint.sum()
        answers = sorted(((mends, float(after[index])) for mends, index in groups.items()), key=lambda item: -item[1])
        told = tuple(item for item in answers[:3] if item[1] > _LEAST_SHARE)
        made.append(Outcome(ends[band], ends[band + 1], "", float(joint.sum()), told))
    return tuple(item for item in made if item.chance > _LEAST_CHANCE)


def _cuts(mean: Floats, spread: Floats, weight: Floats, group: NDArray[np.int64]) -> list[float]:
    """Edges on the scale, added one by one while each tells enough more."""
    low, high = float((mean - 2.0 * spread).min()), float((mean + 2.0 * spread).max())
    tried = sorted({*np.linspace(low, high, _TRIED).tolist(), *outcome_edges(mean, spread, weight)[0].tolist()})
    cuts: list[float] = []
    bits = 0.0
    while len(cuts) < _MOST_BANDS - 1:
        gain, cut = max((_bits(mean, spread, weight, group, [*cuts, item]), -item) for item in tried)
        if gain < bits + _LEAST_BITS:
            break
        bits, cuts = gain, sorted([*cuts, -cut])
    return cuts


def _bits(mean: Floats, spread: Floats, weight: Floats, group: NDArray[np.int64], cuts: list[float]) -> float:
    return float(gains(number_outcomes(mean, spread, np.array([sorted(cuts)])), weight, group)[0])


def _shown(posterior: Posterior, step: Step, cut: float) -> float:
    """An edge as the display has it."""
    value = unscale(step.quantity, cut)
    return float(np.inf) if step.quantity == "ohms" and value > posterior.table.meter.top_ohm else value
