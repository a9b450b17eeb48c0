"""One machine's electricity: readings of any kind, in any setting, for many sets of changes at once.

The regimes hang together one way: generator AC gives the chargers their volts, DC pulls the relays,
relays and AC decide which modules are alive, and those deliver pulses.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.changes import Change, Rows
from ohmtrail.circuit.draws import Draw, draws, nominal
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.network import Network, Regime, nodes_of
from ohmtrail.circuit.response import Coupling, respond
from ohmtrail.circuit.setting import Setting
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Module, Need

__all__ = ["Cases", "Electrics", "Values"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Pair = tuple[str, str]

#: volts lost in a rectifier: one junction half wave, two full wave
JUNCTION_V = 0.65
_KEPT_EQUATIONS = 400


@dataclass(frozen=True)
class Cases:
    """Sets of changes with their values drawn machine by machine.

    Attributes
    ----------
    rows : Rows
        The changes.
    values : array, (n_draws, n_rows, n_slots) or None
        Value of each change in each drawn machine; None where they are all as in ``rows``.
    """

    rows: Rows
    values: Floats | None = None

    def __len__(self) -> int:
        return len(self.rows)

    def at(self, draw: int) -> Rows:
        """The changes as they stand in one drawn machine."""
        return self.rows if self.values is None else self.rows.valued(self.values[draw])

    def only(self, rows: Ints) -> Cases:
        """Give some of the rows."""
        return Cases(self.rows.only(rows), None if self.values is None else self.values[:, rows])


@dataclass(frozen=True)
class Values:
    """What stands between probe pairs.

    Attributes
    ----------
    value : array, (n_draws, n_rows, n_pairs)
        Volt (signed DC, RMS for AC, peak for pulse) or ohm.
    source_ohm : array, same shape
        What a meter is fed through, ohm; nought for the ohms regime.
    """

    value: Floats
    source_ohm: Floats


class Electrics:
    """The electricity of one machine and of its healthy draws.

    Parameters
    ----------
    harness : Harness
        The machine.
    count : int
        Healthy machines drawn within tolerance, beside the nominal one (draw 0).
    machines : sequence of Draw, optional
        Other machines than the fixed draws, such as the one on the bench of a rehearsal.

    Examples
    --------
    >>> # Electrics(harness).read("dc", setting, [("battery.+", "frame")])
    """

    def __init__(self, harness: Harness, *, count: int = 12, machines: Sequence[Draw] | None = None) -> None:
        self.harness = harness
        self.network = Network.of(harness)
        branches = self.network.branches
        self.draws = tuple(machines) if machines is not None else (nominal(branches), *draws(branches, count))
        self._kept: OrderedDict[tuple[Setting, Regime, int, frozenset[int]], Equations] = OrderedDict()

    @cached_property
    def sound(self) -> Cases:
        """The machine without a change."""
        return Cases(Rows.of(self.network, [()]))

    def cases(self, sets: Sequence[Sequence[Change]]) -> Cases:
        """Lay out sets of changes that are the same in every draw."""
        return Cases(Rows.of(self.network, sets))

    def read(
        self,
        regime: Regime,
        setting: Setting,
        pairs: Sequence[Pair],
        cases: Cases | None = None,
        *,
        machines: Sequence[int] = (0,),
        source: bool = False,
    ) -> Values:
        """Work out what stands between probe pairs.

        Parameters
        ----------
        regime : str
            ``dc``, ``ac``, ``pulse`` (volts) or ``ohms``.
        setting : Setting
            State of the machine.
        pairs : sequence of (red, black)
            Probe points.
        cases : Cases, optional
            Sets of changes; the sound machine where not given.
        machines : sequence of int
            Which draws.
        source : bool
            Whether the source resistance is wanted as well.

        Returns
        -------
        Values
            Arrays of shape (len(machines), len(cases), len(pairs)), volt or ohm.
        """
        cases = self.sound if cases is None else cases
        probes = np.array([nodes_of(self.network, pair) for pair in pairs], dtype=np.int64).reshape(-1, 2)
        shape = (len(machines), len(cases), len(pairs))
        value, ohm = np.zeros(shape), np.zeros(shape)
        for slot, draw in enumerate(machines):
            value[slot], ohm[slot] = self._read(regime, setting, probes, cases, draw, source)
        return Values(value, ohm)

    def _read(self, regime: Regime, setting: Setting, probes: Ints, cases: Cases, draw: int, source: bool) -> tuple[Floats, Floats]:
        return self._solve(regime, setting, probes, cases, draw, self._coupling(regime, setting, probes, cases, draw), source=source)

    def _solve(
        self, regime: Regime, setting: Setting, probes: Ints, cases: Cases, draw: int, coupling: Coupling, *, source: bool
    ) -> tuple[Floats, Floats]:
        islands, back, chosen = self._reduce(probes, cases.rows, coupling)
        equations = self._equations(setting, regime, draw, islands)
        rows = cases.at(draw).only(chosen)
        answer = respond(equations, rows, probes, _only(coupling, chosen))
        count = len(probes)
        if regime == "ohms":
            return answer.resistance(count).real[back], np.zeros((len(back), count))
        volts = answer.volts(count)
        shown = np.abs(volts) if regime == "ac" else volts.real
        ohm = np.abs(answer.resistance(count)) if source else np.zeros(shown.shape)
        return shown[back], ohm[back]

    def pulled(self, setting: Setting, cases: Cases, draw: int, probes: Ints) -> Bools:
        """(n_rows, n_branches) relay contacts that conduct, in the DC state of a setting."""
        relays = np.array([b.kind == "relay-contact" for b in self.network.branches])
        rest = np.tile([b.kind == "relay-contact" and b.rests_closed for b in self.network.branches], (len(cases), 1))
        if not relays.any() or not self._relay_matters(probes, cases.rows):
            return rest
        at = self.network.ends[relays]
        coils = np.array([self.network.ends[self.network.index[b.follows]] for b in self.network.branches if b.kind == "relay-contact"])
        ports = np.concatenate([at, coils])
        coupling = self._coupling("dc", setting, ports, cases, draw)
        islands, back, chosen = self._reduce(ports, cases.rows, coupling)
        equations = self._equations(setting, "dc", draw, islands)
        result: Bools = respond(equations, cases.at(draw).only(chosen), ports, _only(coupling, chosen)).pulled[back]
        return result

    def _relay_matters(self, probes: Ints, rows: Rows) -> bool:
        islands, _, _ = self._reduce(probes, rows, Coupling())
        inside = np.isin(self.network.islands, list(islands))
        return any(
            b.kind == "relay-contact" and any(node >= 0 and inside[node] for node in self.network.ends[i])
            for i, b in enumerate(self.network.branches)
        )

    def _coupling(self, regime: Regime, setting: Setting, probes: Ints, cases: Cases, draw: int) -> Coupling:
        if regime == "dc":
            return Coupling(charger_v=self._charger_volts(setting, cases, draw))
        if regime == "ac" and setting.battery:
            return Coupling(pulled=self.pulled(setting, cases, draw, probes))
        if regime == "pulse":
            return Coupling(delivers=self._alive(setting, cases, draw))
        return Coupling()

    def _charger_volts(self, setting: Setting, cases: Cases, draw: int) -> Floats | None:
        """(n_rows, n_branches) open-circuit volts of the chargers while the engine turns."""
        chargers = [i for i, b in enumerate(self.network.branches) if b.kind == "charger"]
        if setting.engine == "still" or not chargers:
            return None
        volts = np.zeros((len(cases), len(self.network.branches)))
        for index in chargers:
            branch = self.network.branches[index]
            if not branch.follows:
                volts[:, index] = branch.volts if setting.engine == "running" else 0.0
                continue
            load = self.network.branches[self.network.index[branch.follows]]
            ends = np.array([[self.network.node_index[load.a], self.network.node_index[load.b]]])
            # the relays count as they rest: what pulls them hangs on these very volts
            rms, _ = self._solve("ac", setting, ends, cases, draw, Coupling(), source=False)
            lost = JUNCTION_V * (2.0 if branch.factor > 0.6 else 1.0)
            volts[:, index] = np.clip(rms[:, 0] * branch.factor - lost, 0.0, branch.volts)
        return volts

    def _alive(self, setting: Setting, cases: Cases, draw: int) -> Bools:
        """(n_rows, n_branches) modules' outputs whose needs are met."""
        from ohmtrail.circuit.needs import met

        alive = np.ones((len(cases), len(self.network.branches)), dtype=bool)
        for index, branch in enumerate(self.network.branches):
            if branch.kind != "delivers":
                continue
            part = self.harness.parts[branch.owner]
            assert isinstance(part, Module)
            needs: tuple[Need, ...] = part.needs
            for need in needs:
                alive[:, index] &= met(self, need, setting, cases, draw) > 0
            if setting.engine == "still":
                alive[:, index] = False
        return alive

    def _equations(self, setting: Setting, regime: Regime, draw: int, islands: frozenset[int]) -> Equations:
        key = (setting, regime, draw, islands)
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        made = Equations(self.network, setting, regime, self.draws[draw], islands)
        self._kept[key] = made
        if len(self._kept) > _KEPT_EQUATIONS:
            self._kept.popitem(last=False)
        return made

    def _reduce(self, probes: Ints, rows: Rows, coupling: Coupling) -> tuple[frozenset[int], Ints, Ints]:
        """Islands to solve, the rows that matter there, and where each row finds its answer.

        A row that changes nothing on these islands reads like the first such row.
        """
        label = np.append(self.network.islands, -1)
        islands = set(label[probes].reshape(-1).tolist()) - {-1}
        a, b = label[rows.a], label[rows.b]
        live = rows.mode != 0
        crossing = live & (a != b) & (a >= 0) & (b >= 0)
        grown = True
        while grown:
            hit = crossing & (np.isin(a, list(islands)) | np.isin(b, list(islands)))
            more = (set(a[hit].tolist()) | set(b[hit].tolist())) - islands
            islands |= more
            grown = bool(more)
        inside = np.append(np.isin(self.network.islands, list(islands)), False)
        touching = (live & (inside[rows.a] | inside[rows.b])).any(axis=1)
        touching |= (rows.killed & inside[self.network.ends].any(axis=1)[None, :]).any(axis=1)
        for told in (coupling.charger_v, coupling.pulled, coupling.delivers):
            if told is not None:
                touching = touching | self._differs(told, touching, inside)
        chosen = np.flatnonzero(touching)
        quiet = np.flatnonzero(~touching)[:1]
        order = np.concatenate([quiet, chosen])
        back = np.zeros(len(rows), dtype=np.int64)
        back[chosen] = np.arange(len(chosen)) + len(quiet)
        return frozenset(islands), back, order

    def _differs(self, told: NDArray[Any], touching: Bools, inside: Bools) -> Bools:
        """Rows whose coupling on these islands is not that of the first untouched row."""
        quiet = np.flatnonzero(~touching)
        if not len(quiet):
            return touching
        here = inside[self.network.ends].any(axis=1)
        unlike: Any = np.asarray(told)[:, here] != np.asarray(told)[quiet[0], here]
        result: Bools = unlike.any(axis=1)
        return result


def _only(coupling: Coupling, rows: Ints) -> Coupling:
    def pick(told: NDArray[Any] | None) -> Any:
        return None if told is None else told[rows]

    return Coupling(pick(coupling.charger_v), pick(coupling.pulled), pick(coupling.delivers))
