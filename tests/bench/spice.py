"""The whole table of faults and readings of one circuit, against ngspice at its best.

ngspice runs as one process, with nothing but ``alter`` and ``op`` for each fault and pair. It gets a sample of
them, and its time is scaled up to the whole table; its own start and the reading of the netlist are measured by
themselves and taken off, and nothing is printed in the run that is timed. A second run prints what the answers
are compared by.
"""

from __future__ import annotations

import re
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from figures import Line, Watch, children_s
from numpy.typing import NDArray

from ohmtrail.circuit import Change, Electrics, Mode, Network, Setting, function_setting, put
from ohmtrail.circuit.changes import OPEN_OHM
from ohmtrail.circuit.equations import STRAY_S, Equations
from ohmtrail.circuit.meter import Meter
from ohmtrail.circuit.netlist import netlist
from ohmtrail.circuit.network import Regime
from ohmtrail.diagnosis.candidates import Surroundings, measurements
from ohmtrail.diagnosis.table import SuspectTable, single_rows
from ohmtrail.faults import faults_of
from ohmtrail.harness import Harness

__all__ = ["against_ngspice"]

Floats = NDArray[np.float64]
Pair = tuple[str, str]

#: faults and pairs of the sample of dead ohms, and faults of that of live volts
FAULTS, PAIRS, LIVE = 30, 30, 250
#: what answers may differ by: volts, ohms, or a share
NEAR_V, NEAR_OHM, NEAR_SHARE = 1e-3, 2e-3, 1e-3
#: volts at points that only insulation holds: both programs lose digits there (see tests/reference/ngspice)
HANGING_SHARE = 1e-2
#: beyond any meter's range both say that there is a gap
GAP_OHM = 60e6
#: one solve; what it leaves behind is thrown away, or each would take longer than the one before
SOLVE = ("op", "PRINT", "destroy all")
#: current that is put through a pair, ampere, and what stands for a path that is not there, ohm
TEST_A, NOTHING_OHM = 1e-3, 1e15


@dataclass(frozen=True)
class _Deck:
    """A netlist whose faults are set by ``alter``: its cards, the resting value of those that may change, and nodes.

    A path that a fault makes between two nodes is a card named after them, which is there at `NOTHING_OHM`.
    """

    letter: str
    cards: list[str]
    resting: dict[str, float]
    network: Network

    def node(self, index: int) -> str:
        """Name of a node, by its index in the network."""
        return f"n{index + 1}" if index >= 0 else "0"

    def altered(self, changes: Sequence[Change]) -> dict[str, float] | None:
        """Card -> value that a row's changes give it; None where the deck has no card that could be altered so."""
        found: dict[str, float] = {}
        for change in changes:
            if change.mode in (Mode.SHUNT, Mode.STRESS):
                found |= {self._path(change): change.value} if change.mode == Mode.SHUNT else {}
                continue
            card = f"r{self.letter}{self.network.index[change.branch] + 1}"
            if card not in self.resting or change.mode not in (Mode.SERIES, Mode.SCALE):
                return None
            before = found.get(card, self.resting[card])
            found[card] = before * change.value if change.mode == Mode.SCALE else before + min(change.value, OPEN_OHM)
        return found

    def _path(self, change: Change) -> str:
        """Card of a path between two nodes, made where it is not there yet."""
        a, b = (self.node(self.network.node_index[point]) for point in (change.a, change.b))
        card = f"rp{a}x{b}"
        if card not in self.resting:
            self.resting[card] = NOTHING_OHM
            self.cards.append(f"{card} {a} {b} {NOTHING_OHM:g}")
        return card


@dataclass(frozen=True)
class _Race:
    """Processor seconds for the whole table, and what was compared."""

    ours_s: float
    theirs_s: float
    told: str


def against_ngspice(harness: Harness) -> Iterator[Line]:
    """Give the lines of the table: dead ohms between every proposed pair, live volts.

    Parameters
    ----------
    harness : Harness
        The machine.

    Yields
    ------
    Line
        Ratios of processor time.
    """
    network = Electrics(harness, count=1)
    table = SuspectTable(network, Meter(), single_rows(faults_of(network.network, year=2026)))
    around = Surroundings(network, table.rows)
    settings = [function_setting(harness, item) for item in harness.functions.values()]
    live = next(item for item in settings if item.engine == "still")
    dead = put(harness, live, battery=False)
    generator = np.random.default_rng(3)
    ohms = _ohms(harness, table, dead, measurements(around, dead, "ohms", Meter()), generator)
    volts = _volts(harness, table, live, measurements(around, live, "volts", Meter()), generator)
    together = (ohms.theirs_s + volts.theirs_s) / (ohms.ours_s + volts.ours_s)
    yield Line("ngspice / ours, live volts and dead ohms", f"{together:,.0f} x", "1,000 x", together >= 1000, ohms.told)
    alone = volts.theirs_s / volts.ours_s
    yield Line("ngspice / ours, live volts alone", f"{alone:,.0f} x", "20 x", alone >= 20, volts.told)


def _ohms(harness: Harness, table: SuspectTable, dead: Setting, pairs: Sequence[Pair], generator: np.random.Generator) -> _Race:
    """Every row, every pair: one solve each in ngspice."""
    ours, ours_s = _ours(harness, table, "ohms", dead, pairs)
    picked = sorted(int(i) for i in generator.choice(len(pairs), PAIRS, replace=False))
    deck = _dead_deck(Equations(table.electrics.network, dead, "ohms", table.electrics.draws[0]), [pairs[i] for i in picked])
    rows = _sample(table, deck, FAULTS, generator)
    sources = [f"i{number}" for number in range(len(picked))]
    blocks = []
    for altered in rows.values():
        sets, back = _commands(altered), _commands({card: deck.resting[card] for card in altered})
        solves = [[f"alter {name} dc = {TEST_A}", *SOLVE, f"alter {name} dc = 0"] for name in sources]
        blocks.append([*sets, *(line for solve in solves for line in solve), *back])
    solve_s, answers = _run(deck, blocks)
    for (row, pair), found in zip(((row, pair) for row in rows for pair in picked), answers, strict=True):
        a, b = (deck.node(table.electrics.network.node_index[point]) for point in pairs[pair])
        ohm, told = (found[a] - found[b]) / TEST_A, float(ours[row, pair])
        gap = min(ohm, told) > GAP_OHM
        assert gap or abs(ohm - told) <= max(NEAR_OHM, NEAR_SHARE * ohm), (table.rows[row], pairs[pair], ohm, told)
    each = solve_s / len(answers)
    how = f"{len(table):,} rows x {len(pairs)} pairs of ohms in {ours_s:.2f} s; ngspice {1e3 * each:.2f} ms each, {len(answers)} tried, equal"
    return _Race(ours_s, each * len(table) * len(pairs), how)


def _volts(harness: Harness, table: SuspectTable, live: Setting, pairs: Sequence[Pair], generator: np.random.Generator) -> _Race:
    """Every row: one solve in ngspice gives all pairs."""
    ours, ours_s = _ours(harness, table, "dc", live, pairs)
    deck = _live_deck(table.electrics, live)
    rows = _sample(table, deck, LIVE, generator)
    blocks = []
    for altered in rows.values():
        back = {card: deck.resting[card] for card in altered}
        blocks.append([*_commands(altered), *SOLVE, *_commands(back)])
    solve_s, answers = _run(deck, blocks)
    for row, found in zip(rows, answers, strict=True):
        for told, (a, b) in zip(ours[row], pairs, strict=True):
            red, black = (found[deck.node(table.electrics.network.node_index[point])] for point in (a, b))
            near = max(NEAR_V, HANGING_SHARE * abs(red - black))
            assert abs(red - black - told) <= near, (table.rows[row], (a, b), red - black, told)
    each = solve_s / len(answers)
    how = f"{len(table):,} rows, {len(pairs)} pairs each, in {ours_s:.2f} s; ngspice {1e3 * each:.2f} ms a row, {len(answers)} tried, equal"
    return _Race(ours_s, each * len(table), how)


def _ours(harness: Harness, table: SuspectTable, regime: Regime, setting: Setting, pairs: Sequence[Pair]) -> tuple[Floats, float]:
    """(n_rows, n_pairs) from cold, and processor seconds; the best of three."""
    took = []
    for _ in range(3):
        fresh, watch = Electrics(harness, count=1), Watch()
        found = fresh.read(regime, setting, pairs, table.cases).value[0]
        took.append(watch.lap())
    return found, min(took)


# ---- decks and runs ----


def _dead_deck(equations: Equations, pairs: Sequence[Pair]) -> _Deck:
    """What an ohmmeter sees, with a current source, off, at every pair."""
    network, conductance = equations.network, equations.values[0].real
    deck = _Deck("", [], {}, network)
    for index in np.flatnonzero(conductance):
        a, b = (deck.node(end) for end in network.ends[index])
        deck.resting[f"r{index + 1}"] = 1.0 / conductance[index]
        deck.cards.append(f"r{index + 1} {a} {b} {1.0 / conductance[index]:.12g}")
    deck.cards.extend(f"rf{i + 1} n{i + 1} 0 {1.0 / STRAY_S:g}" for i in equations.strays)
    for number, (red, black) in enumerate(pairs):
        a, b = (deck.node(network.node_index[point]) for point in (red, black))
        deck.cards.append(f"i{number} {b} {a} dc 0")
    return deck


def _live_deck(electrics: Electrics, live: Setting) -> _Deck:
    """The machine at work, as `ohmtrail netlist` writes it."""
    lines = [line for line in netlist(electrics, live).splitlines()[1:] if line and line[0] not in "*."]
    fixed = re.compile(r"(r\S+) \S+ \S+ ([-+.\de]+)$", re.IGNORECASE)
    resting = {found[1].lower(): float(found[2]) for line in lines if (found := fixed.match(line))}
    return _Deck("n", lines, resting, electrics.network)


def _sample(table: SuspectTable, deck: _Deck, count: int, generator: np.random.Generator) -> dict[int, dict[str, float]]:
    """Rows at random, and what they alter; those are passed over that would need another netlist, or change nothing."""
    values, found = table.cases.values, {}
    assert values is not None
    for row in generator.permutation(len(table)):
        changes = [change for fault in table.rows[row].faults for change in fault.changes]
        drawn = [replace(change, value=float(values[0, row, slot])) for slot, change in enumerate(changes)]
        altered = deck.altered(drawn)
        if altered:
            found[int(row)] = altered
        if len(found) == count:
            break
    return found


def _commands(altered: dict[str, float]) -> list[str]:
    return [f"alter {card} = {value:.12g}" for card, value in altered.items()]


def _run(deck: _Deck, blocks: Sequence[Sequence[str]]) -> tuple[float, list[dict[str, float]]]:
    """Processor seconds of all solves without start and reading, and every node's volts of each."""
    lines = [line for block in blocks for line in block]
    with tempfile.TemporaryDirectory() as folder:
        idle_s = min(_spice(deck, ["op"], Path(folder))[0] for _ in range(3))
        busy_s = min(_spice(deck, [line for line in lines if line != "PRINT"], Path(folder))[0] for _ in range(3))
        _, text = _spice(deck, ["print all" if line == "PRINT" else line for line in lines], Path(folder))
    answers: list[dict[str, float]] = []
    for name, value in re.findall(r"^(n\d+) = (\S+)$", text, re.MULTILINE):
        if not answers or name in answers[-1]:
            answers.append({"0": 0.0})
        answers[-1][name] = float(value)
    return busy_s - idle_s, answers


def _spice(deck: _Deck, commands: Sequence[str], folder: Path) -> tuple[float, str]:
    """Processor seconds of one run of ngspice, and what it printed."""
    options = ".options reltol=1e-6 vntol=1e-6 abstol=1e-12 itl1=500 numdgt=12"
    script = [".control", "set numdgt=12", *commands, "quit", ".endc"]
    source = folder / "deck.cir"
    source.write_text("\n".join(["deck", *deck.cards, options, *script, ".end"]) + "\n", encoding="ascii")
    before = children_s()
    run = subprocess.run(["ngspice", "-b", source], capture_output=True, text=True, check=False)
    return children_s() - before, run.stdout
