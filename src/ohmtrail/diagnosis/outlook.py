"""How every row would answer a step: chances of its outcomes, faults that come and go included."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.setting import Setting
from ohmtrail.diagnosis.evidence import Measured
from ohmtrail.diagnosis.firstlook import moved_gains, steady_gains
from ohmtrail.diagnosis.foreseen import Prediction
from ohmtrail.diagnosis.gain import number_outcomes, outcome_edges
from ohmtrail.diagnosis.likelihood import FALSE_LOOK, FLICKER, NO_FLICKER, OUT_AT_REST, Joint, discrete
from ohmtrail.diagnosis.steps import Step
from ohmtrail.diagnosis.table import SuspectTable

__all__ = ["Outlook", "conditional"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: least chance given to any outcome of a watched function
LEAST = 0.005


class Outlook:
    """Chances of outcomes under some rows of a table.

    Parameters
    ----------
    table : SuspectTable
        All rows.
    rows : array of int
        Those that shape the choice.
    weight : array
        Their chances.
    """

    def __init__(self, table: SuspectTable, rows: Ints, weight: Floats) -> None:
        self.table, self.rows, self.weight = table, rows, weight
        self._read: Ints = np.append(0, rows)
        #: the rows of a first look: these and the sound machine
        self.asked: Ints = self._read

    @cached_property
    def _moving(self) -> Bools:
        """(n_rows,) whether each row comes and goes."""
        return np.array([bool(self.table.moves_at[i]) for i in self.rows], dtype=bool)

    def _moved(self, setting: Setting) -> Bools:
        """(n_rows,) whether a setting moves each row's own place."""
        if not setting.moved:
            return np.zeros(len(self.rows), dtype=bool)
        return np.array([self.table.moves_at[i] == setting.moved for i in self.rows], dtype=bool)

    def numbers(self, found: Sequence[Prediction], setting: Setting) -> Floats:
        """Outcomes of readings on a scale; the last one is that the display flickers.

        Parameters
        ----------
        found : sequence of Prediction
            What all rows of the table predict.
        setting : Setting
            State of the machine.

        Returns
        -------
        array, (n_readings, n_rows, n_outcomes)
            Chances.
        """
        return self._numbers(*self._predicted(found), setting)

    def told(self, found: Sequence[Prediction], setting: Setting, group: Ints) -> Floats:
        """Bits that readings on a scale give on which mend is wanted; (n_readings,).

        Parameters
        ----------
        found : sequence of Prediction
            What all rows of the table predict.
        setting : Setting
            State of the machine.
        group : array of int, (n_rows,)
            Mend group of each row.

        Returns
        -------
        array, (n_readings,)
            Bit.
        """
        mean, spread, flickers = self._at_rest(*self._predicted(found), setting)
        if not setting.moved:
            return steady_gains(mean, spread, self.weight, group)
        return moved_gains(mean, spread, self.weight, group, flickers)

    def _predicted(self, found: Sequence[Prediction]) -> tuple[Floats, Floats]:
        """(n_readings, 1 + n_rows) mean and sigma: of the sound machine, then of the rows."""
        values = np.stack([item.values[:, self._read] for item in found])
        noise = np.stack([item.noise[self._read] for item in found])
        return values.mean(axis=1), np.sqrt(values.var(axis=1) + noise**2)

    def _numbers(self, mean: Floats, spread: Floats, setting: Setting) -> Floats:
        """(n_readings, n_rows, n_outcomes) from mean and sigma of the sound machine, then of the rows."""
        mean, spread, flickers = self._at_rest(mean, spread, setting)
        result = number_outcomes(mean, spread, outcome_edges(mean, spread, self.weight), beside=1)
        flick = np.where(flickers, FLICKER, NO_FLICKER)[:, :, None]
        result[:, :, :-1] *= 1.0 - flick
        result[:, :, -1:] = flick
        return result

    def _at_rest(self, mean: Floats, spread: Floats, setting: Setting) -> tuple[Floats, Floats, Bools]:
        """Mean and sigma of the rows, and where the display flickers: what comes and goes mostly reads as on a sound machine."""
        sound, width = mean[:, :1], spread[:, :1]
        apart = np.abs(mean[:, 1:] - sound) > 3.0 * width + 3.0 * np.minimum(spread[:, 1:], 0.3)
        steady = ~self._moving[None, :]
        return np.where(steady, mean[:, 1:], sound), np.where(steady, spread[:, 1:], width), self._moved(setting)[None, :] & apart

    def lamps(self, found: Sequence[Prediction]) -> Floats:
        """Outcomes of a test lamp: out, dim, bright."""
        volts = np.stack([np.where(self._moving, item.mean[0], item.mean[self.rows]) for item in found])
        share = np.abs(volts) / self.table.electrics.harness.supply.nominal
        bright, out = np.clip((share - 0.55) / 0.3, 0, 1), np.clip((0.40 - share) / 0.3, 0, 1)
        lit: Floats = np.clip(np.stack([out, 1.0 - out - bright, bright], axis=2), 0.01, 1.0)
        return lit

    def watched(self, step: Step) -> Floats:
        """Outcomes of a watched function: fails, weak, works, comes and goes; (n_rows, 4)."""
        chance = self.table.seen(step.function, step.setting, scan=True, rows=self.asked)
        sound, level = chance[0], chance[self.rows]
        mixed = np.where(self._moving[:, None], (1.0 - OUT_AT_REST) * sound + OUT_AT_REST * level, level)
        shows = np.abs(level - sound).sum(axis=1) > 0.5
        flick = np.where(self._moved(step.setting) & shows, FLICKER, NO_FLICKER)[:, None]
        result: Floats = np.clip(np.concatenate([mixed * (1.0 - flick), flick], axis=1), LEAST, 1.0)
        return result

    def looked(self, element: str) -> Floats:
        """Outcomes of a close look: damaged, sound; (n_rows, 2)."""
        look = np.array([max((fault.shows(element) for fault in self.table.rows[i].faults), default=0.0) for i in self.rows])
        seen = look + (1.0 - look) * FALSE_LOOK
        both: Floats = np.stack([seen, 1.0 - seen], axis=1)
        return both

    def closer(self, step: Step, joint: Joint) -> Floats:
        """Outcomes of one step, given what was read already; (n_rows, n_outcomes)."""
        if step.kind == "look":
            return self.looked(step.element)
        if step.kind == "watch":
            return self.watched(step)
        if step.quantity in ("lamp", "beep"):
            items = [Measured(step.quantity, step.red, step.black, step.setting, value) for value in (0.0, 0.5, 1.0)]
            found = np.stack([discrete(self.table, item)[self.rows] for item in items], axis=1)
            result: Floats = found / found.sum(axis=1, keepdims=True)
            return result
        mean, spread = conditional(self.table, step, joint, self.asked)
        only: Floats = self._numbers(mean[None], spread[None], step.setting)[0]
        return only


def conditional(table: SuspectTable, step: Step, joint: Joint, rows: Ints) -> tuple[Floats, Floats]:
    """Mean and sigma of a reading under some rows, given the readings taken so far.

    Parameters
    ----------
    table : SuspectTable
        The rows.
    step : Step
        A measurement.
    joint : Joint
        The numeric readings taken so far.
    rows : array of int, (n,)
        Which rows.

    Returns
    -------
    tuple of array, (n,)
        Scaled mean and sigma.
    """
    prediction = table.measured(step.quantity, step.setting, [(step.red, step.black)], rows=rows)[0]
    if not joint.items:
        return prediction.mean[rows], prediction.spread[rows]
    joint = joint.of(rows)
    centred = prediction.values[:, rows] - prediction.mean[None, rows]
    with_past = np.einsum("dr,dri->ri", centred, joint.centred) / len(centred)
    covariance = joint.covariance()
    weight = np.linalg.solve(covariance, with_past[:, :, None])[:, :, 0]
    limit = 3.0 * np.sqrt(np.diagonal(covariance, axis1=1, axis2=2))
    # a row that the readings contradict is not to be dragged after them
    gap = np.clip(joint.seen[None] - joint.mean, -limit, limit)
    mean = prediction.mean[rows] + np.einsum("ri,ri->r", weight, gap)
    own = (centred**2).mean(axis=0)
    left = np.maximum(own - np.einsum("ri,ri->r", weight, with_past), 0.0)
    return mean, np.sqrt(left + prediction.noise[rows] ** 2)
