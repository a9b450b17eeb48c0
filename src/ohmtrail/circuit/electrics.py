"""One machine's electricity: readings of any kind, in any setting, for many sets of changes at once.

The regimes hang together one way: generator AC gives the chargers their volts, DC pulls the relays,
relays and AC decide which modules are alive, and those deliver pulses.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.cases import Cases, Values
from ohmtrail.circuit.changes import Change, Rows
from ohmtrail.circuit.draws import Draw, draws, nominal
from ohmtrail.circuit.equations import Equations
from ohmtrail.circuit.idle import lively
from ohmtrail.circuit.kept import KeptAnswers
from ohmtrail.circuit.kinds import fed_straight
from ohmtrail.circuit.memory import keep_large_arrays_apart
from ohmtrail.circuit.needs import met
from ohmtrail.circuit.network import Network, Regime, nodes_of
from ohmtrail.circuit.response import Answer, Coupling, respond
from ohmtrail.circuit.setting import Setting
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Module, Need

__all__ = ["Electrics"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Pair = tuple[str, str]

#: mean volts lost in a rectifier: two junctions all the time full wave; one junction half of the time half wave
JUNCTION_V = 0.65
#: solved networks and sets of readings that are kept in memory
_KEPT_EQUATIONS, _KEPT_READINGS = 400, 250
#: memory that solved networks may take together, in bytes, and after how many new ones it is looked at
_KEPT_BYTES, _LOOKED_AFTER = 120_000_000, 4
#: memory that sets of readings may take together, in bytes
_KEPT_READING_BYTES = 100_000_000
#: rows from which it pays to look where nothing flows
_MANY = 50


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
        keep_large_arrays_apart(len(branches))
        self.draws = tuple(machines) if machines is not None else (nominal(branches), *draws(branches, count))
        self._kept: OrderedDict[tuple[Setting, Regime, int], Equations] = OrderedDict()
        self._read_before: OrderedDict[tuple[object, ...], tuple[Cases, Values]] = OrderedDict()
        self._answers = KeptAnswers()
        self._made = 0
        self._read_bytes = 0
        self._gap: dict[tuple[frozenset[str], ...], tuple[int, ...]] = {}
        #: called before every solution; what it raises stops the work, and nothing half done is kept
        self.before_solving: Callable[[], None] = lambda: None

    @cached_property
    def sound(self) -> Cases:
        """The machine without a change."""
        return Cases(Rows.of(self.network, [()]))

    @cached_property
    def fed_straight(self) -> frozenset[str]:
        """Points that a battery's live post reaches with no load before them."""
        return fed_straight(self.network)

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
        idle: bool = False,
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
        idle : bool
            Whether rows whose changes lie where nothing flows may be taken for the sound machine: see
            `ohmtrail.circuit.idle`. Only for DC volts.

        Returns
        -------
        Values
            Arrays of shape (len(machines), len(cases), len(pairs)), volt or ohm.
        """
        cases = self.sound if cases is None else cases
        key = (regime, replace(setting, moved=None), tuple(pairs), tuple(machines), source, idle)
        known = self._read_before.get(key)
        if known is not None and known[0] is cases:
            return known[1]
        found = self._read_all(regime, setting, pairs, cases, machines, source, idle)
        self._read_before[key] = (cases, found)
        self._read_bytes += found.value.nbytes + found.source_ohm.nbytes
        while len(self._read_before) > 1 and (len(self._read_before) > _KEPT_READINGS or self._read_bytes > _KEPT_READING_BYTES):
            _, (_, old) = self._read_before.popitem(last=False)
            self._read_bytes -= old.value.nbytes + old.source_ohm.nbytes
        return found

    def _read_all(
        self,
        regime: Regime,
        setting: Setting,
        pairs: Sequence[Pair],
        cases: Cases,
        machines: Sequence[int],
        source: bool,
        idle: bool,
    ) -> Values:
        probes = np.array([nodes_of(self.network, pair) for pair in pairs], dtype=np.int64).reshape(-1, 2)
        shape = (len(machines), len(cases), len(pairs))
        value, ohm = np.zeros(shape), np.zeros(shape)
        idle = idle and regime == "dc" and setting.engine == "still" and not source and len(cases) >= _MANY
        for slot, draw in enumerate(machines):
            some = self._alike(setting, probes, cases, draw, value[slot]) if idle else np.arange(len(cases))
            for rows, block in (cases.only(some) if idle else cases).blocks if len(some) else ():
                at = some[rows]
                value[slot, at], ohm[slot, at] = self._read(regime, setting, probes, block, draw, source)
        return Values(value, ohm)

    def _alike(self, setting: Setting, probes: Ints, cases: Cases, draw: int, value: Floats) -> Ints:
        """Rows that something flows through; the sound machine's values are put into all others."""
        found = lively(self, setting, cases, draw)
        if len(found) < len(cases):
            value[:] = self._read("dc", setting, probes, self.sound, draw, False)[0]
        return found

    def fed(self, setting: Setting, pair: Pair, feed: tuple[float, float], cases: Cases | None = None, *, draw: int = 0) -> Floats:
        """Volts across a pair that a meter feeds, junctions and all, with nothing else driving the circuit.

        Parameters
        ----------
        setting : Setting
            State of the machine; its battery must be off and its engine still.
        pair : (red, black)
            Probe points.
        feed : (volt, ohm)
            The meter's open-circuit volts and its resistance.
        cases : Cases, optional
            Sets of changes.
        draw : int
            Which machine.

        Returns
        -------
        array, (n_rows,)
            Volt.
        """
        return self._coupled(setting, pair, self.sound if cases is None else cases, draw, Coupling(feed=feed))

    def loaded(self, setting: Setting, pair: Pair, ohm: Floats, cases: Cases | None = None, *, draw: int = 0) -> Floats:
        """DC volts across a pair with a resistance held to it.

        Parameters
        ----------
        setting : Setting
            State of the machine.
        pair : (red, black)
            Probe points.
        ohm : array, (n_rows,)
            The resistance of each row.
        cases : Cases, optional
            Sets of changes.
        draw : int
            Which machine.

        Returns
        -------
        array, (n_rows,)
            Volt.
        """
        cases = self.sound if cases is None else cases
        return self._coupled(setting, pair, cases, draw, replace(self.coupling("dc", setting, cases, draw), feed=(0.0, ohm)))

    def _coupled(self, setting: Setting, pair: Pair, cases: Cases, draw: int, coupling: Coupling) -> Floats:
        """(n_rows,) DC volts across a pair with something held to it."""
        probes = nodes_of(self.network, pair).reshape(1, 2)
        return self._respond("dc", setting, probes, cases, draw, coupling).volts[:, 0].real

    def _read(self, regime: Regime, setting: Setting, probes: Ints, cases: Cases, draw: int, source: bool) -> tuple[Floats, Floats]:
        return self._solve(regime, setting, probes, cases, draw, None, source=source)

    def _solve(
        self, regime: Regime, setting: Setting, probes: Ints, cases: Cases, draw: int, coupling: Coupling | None, *, source: bool
    ) -> tuple[Floats, Floats]:
        count = len(probes)
        answer = self._respond(regime, setting, probes, cases, draw, coupling)
        if regime == "ohms":
            return answer.resistance.real, np.zeros((len(cases), count))
        volts = answer.volts
        shown = np.abs(volts) if regime == "ac" else volts.real
        return shown, np.abs(answer.resistance) if source else np.zeros(shown.shape)

    def _respond(self, regime: Regime, setting: Setting, probes: Ints, cases: Cases, draw: int, coupling: Coupling | None = None) -> Answer:
        """Every row at rest, coupled as the other regimes have it where nothing else is said; worked out once for all probes.

        What is lifted, parted or taken out is one more change to the mated machine, not another machine.
        """
        self.before_solving()
        mated = replace(setting, parted=frozenset(), lifted=frozenset(), out=frozenset(), moved=None)
        gaps = self._gaps(setting)
        key, usual = (mated, gaps, regime, draw), coupling is None
        known = self._answers.get(key, cases) if usual else None
        if known is not None:
            return known.at(probes)
        coupling = self.coupling(regime, setting, cases, draw) if coupling is None else coupling
        rows = cases.at(draw).apart(self.network, gaps)
        answer = respond(self._equations(mated, regime, draw), rows, probes, coupling)
        if usual:
            self._answers.keep(key, cases, answer)
        return answer

    def everywhere(self, regime: Regime, setting: Setting, cases: Cases, draw: int) -> tuple[Answer, Rows]:
        """Solve every node, and give the changes that were solved for, those of the setting included.

        Parameters
        ----------
        regime : str
            ``dc``, ``ac`` or ``pulse``.
        setting : Setting
            State of the machine.
        cases : Cases
            Sets of changes.
        draw : int
            Which machine.

        Returns
        -------
        tuple of Answer and Rows
            The answer has no probes; its node volts are whole.
        """
        nowhere = np.zeros((0, 2), dtype=np.int64)
        answer = self._respond(regime, setting, nowhere, cases, draw)
        return answer, cases.at(draw).apart(self.network, self._gaps(setting))

    def _gaps(self, setting: Setting) -> tuple[int, ...]:
        """Branches that the setting opens by hand."""
        key = (setting.parted, setting.lifted, setting.out)
        if key not in self._gap:
            self._gap[key] = tuple(
                index
                for index, branch in enumerate(self.network.branches)
                if branch.id in setting.lifted
                or (branch.kind == "contact" and branch.owner in setting.parted)
                or (branch.kind in ("fuse", "filament") and branch.owner in setting.out)
            )
        return self._gap[key]

    def pulled(self, setting: Setting, cases: Cases, draw: int) -> Bools:
        """(n_rows, n_branches) relay contacts that conduct, in the DC state of a setting."""
        relays = self.network.kinds == "relay-contact"
        if not relays.any():
            return np.tile(self.network.resting, (len(cases), 1))
        at = self.network.ends[relays]
        coils = np.array([self.network.ends[self.network.index[self.network.branches[i].follows]] for i in np.flatnonzero(relays)])
        ports = np.concatenate([at, coils])
        return self._respond("dc", setting, ports, cases, draw).pulled

    def coupling(self, regime: Regime, setting: Setting, cases: Cases, draw: int) -> Coupling:
        """What the other regimes put into one: volts of the chargers, relays that are pulled, modules that deliver."""
        if regime == "dc":
            return Coupling(charger_v=self._charger_volts(setting, cases, draw))
        if regime == "ac" and setting.battery and self._relays:
            return Coupling(pulled=self.pulled(setting, cases, draw))
        if regime == "pulse":
            return Coupling(delivers=self._alive(setting, cases, draw))
        return Coupling()

    @cached_property
    def _relays(self) -> bool:
        """Whether there is a relay at all."""
        return bool((self.network.kinds == "relay-contact").any())

    def _charger_volts(self, setting: Setting, cases: Cases, draw: int) -> Floats | None:
        """(n_rows, n_branches) open-circuit volts of the chargers while the engine turns."""
        chargers = np.flatnonzero(self.network.kinds == "charger")
        if setting.engine == "still" or not len(chargers):
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
            rms, _ = self._solve("ac", setting, ends, cases, draw, Coupling() if self._relays else None, source=False)
            lost = JUNCTION_V * (2.0 if branch.factor > 0.6 else 0.5)
            volts[:, index] = np.clip(rms[:, 0] * branch.factor - lost, 0.0, branch.volts)
        return volts

    def _alive(self, setting: Setting, cases: Cases, draw: int) -> Bools:
        """(n_rows, n_branches) modules' outputs whose needs are met."""
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

    def _equations(self, setting: Setting, regime: Regime, draw: int) -> Equations:
        key = (setting, regime, draw)
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        made = Equations(self.network, setting, regime, self.draws[draw])
        self._kept[key] = made
        self._made += 1
        if len(self._kept) > _KEPT_EQUATIONS:
            self._drop_oldest()
        if self._made % _LOOKED_AFTER == 0:
            self._forget()
        return made

    def _forget(self) -> None:
        """Let go of the networks that were used longest ago, as far as all take too much memory."""
        taken = sum(item.nbytes for item in self._kept.values())
        while taken > _KEPT_BYTES and len(self._kept) > 1:
            taken -= self._drop_oldest()

    def _drop_oldest(self) -> int:
        """Let go of one network; give what it took, in bytes."""
        _, oldest = self._kept.popitem(last=False)
        taken = oldest.nbytes
        # a network and its sound state hold each other: Python would come to free them late, by count and not by size
        oldest.settled.clear()
        self._answers.forget(oldest)
        return taken
