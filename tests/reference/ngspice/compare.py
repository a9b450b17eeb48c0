"""Every node voltage of the circuits against ngspice, sound and with planted faults.

python tests/reference/ngspice/compare.py                     the whole campaign, with a table of differences
python tests/reference/ngspice/compare.py --only outboard     on one circuit
python tests/reference/ngspice/compare.py --record            a sample of it, kept beside this file
"""

from __future__ import annotations

import argparse
import gzip
import itertools
import json
import math
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from ohmtrail.circuit import Change, Electrics, Mode, Setting, function_setting, put
from ohmtrail.circuit.electrics import JUNCTION_V
from ohmtrail.circuit.flows import Flow, flow
from ohmtrail.circuit.netlist import netlist
from ohmtrail.circuit.network import law_values
from ohmtrail.diagnosis import plant
from ohmtrail.faults import faults_of
from ohmtrail.harness import Harness, load_harness, parse_harness
from ohmtrail.harness.text import read_tree

HERE = Path(__file__).parent
CIRCUITS = HERE.parents[2] / "circuits"
RECORDED = HERE / "recorded.json.gz"
#: what two solutions may differ by: volts, or a share of the volts, whichever is more
NEAR_V, NEAR_SHARE = 1e-3, 1e-3
#: what the volts lost along a lead or joint may differ by, likewise
NEAR_LOST_V, NEAR_LOST_SHARE = 1e-4, 5e-3
#: share that ordinary numbers may cost at points that nothing but insulation holds: see SOURCE.md
HANGING_SHARE = 3e-3
#: an ordinary meter's input
METER_OHM = 10e6
YEAR = 2024


@dataclass(frozen=True)
class Case:
    """One machine to compare: its state, and what is wrong with it."""

    name: str
    setting: Setting
    changes: tuple[Change, ...] = ()


@dataclass(frozen=True)
class Gap:
    """Where two solutions of a case differ, as a share of what they may differ by."""

    case: str
    point: str
    regime: str
    ours_v: float
    theirs_v: float
    share: float
    hangs: bool


# ---- cases ----


def settings_of(harness: Harness) -> tuple[Setting, ...]:
    """Every setting in which a function is watched, and those of its conditions."""
    found: dict[Setting, None] = {}
    for function in harness.functions.values():
        setting = function_setting(harness, function)
        found[setting] = None
        for need in function.needs:
            found[put(harness, setting, positions=need.when)] = None
    return tuple(found)


def cases_of(electrics: Electrics, count: int) -> Iterator[Case]:
    """The sound machine and ``count`` faults in every setting, pairs of faults, things taken apart."""
    generator = np.random.default_rng(5)
    network = electrics.network
    faults, settings = faults_of(network, year=YEAR), settings_of(electrics.harness)
    for number, setting in enumerate(settings):
        yield Case(f"sound, {told_setting(setting)}", setting)
        # each setting begins elsewhere, so that together they meet every fault
        for at in np.roll(np.arange(len(faults)), -number * count)[:count]:
            changes = plant(faults[at], generator).changes(network)
            yield Case(f"{faults[at].id}, {told_setting(setting)}", setting, changes)
    for _ in range(count // 4):
        setting = settings[generator.integers(len(settings))]
        one, two = (faults[i] for i in generator.choice(len(faults), 2, replace=False))
        if one.element != two.element:
            both = plant(one, generator).changes(network) + plant(two, generator).changes(network)
            yield Case(f"{one.id} + {two.id}, {told_setting(setting)}", setting, both)
    for number in range(count // 4):
        setting = taken_apart(electrics.harness, settings[generator.integers(len(settings))], number, generator)
        fault = faults[generator.integers(len(faults))]
        yield Case(f"{fault.id}, {told_setting(setting)}", setting, plant(fault, generator).changes(network))


def taken_apart(harness: Harness, setting: Setting, number: int, generator: np.random.Generator) -> Setting:
    """With a lead lifted, a connector parted, a bulb or fuse out, or the battery off."""
    connectors = [name for name, part in harness.parts.items() if part.kind == "connector"]
    removable = [name for name, part in harness.parts.items() if part.kind in ("lamp", "fuse")]
    match number % 4:
        case 0:
            return put(harness, setting, lifted=[str(generator.choice(list(harness.lead_ends)))])
        case 1:
            return put(harness, setting, parted=[str(generator.choice(connectors))])
        case 2:
            return put(harness, setting, out=[str(generator.choice(removable))])
        case _:
            return put(harness, setting, battery=False)


def told_setting(setting: Setting) -> str:
    """A setting in one phrase."""
    return ", ".join(setting.words()) or "at rest"


# ---- the other program ----


def version() -> str:
    """What the installed program calls itself."""
    told = subprocess.run(["ngspice", "--version"], capture_output=True, text=True, check=True).stdout
    found = re.search(r"ngspice-\S+", told)
    return found.group() if found else "ngspice, version not told"


def solve(text: str, folder: Path) -> dict[str, complex]:
    """Node -> volts (``n...``) or phasor (``a...``), as ngspice finds them."""
    source, result = folder / "case.cir", folder / "case.raw"
    source.write_text(text, encoding="ascii")
    result.unlink(missing_ok=True)
    run = subprocess.run(["ngspice", "-b", "-r", result, source], capture_output=True, text=True, check=False)
    if not result.exists() or re.search(r"no convergence|singular matrix|aborted|doAnalyses", run.stderr):
        raise RuntimeError(f"ngspice gave no answer: {run.stderr[-500:]}")
    found: dict[str, complex] = {"0": 0j}
    for regime, values in plots(result.read_bytes()):
        letter = "a" if regime.startswith("AC") else "n"
        found.update((node, value) for node, value in values.items() if node.startswith(letter))
    return found


def plots(raw: bytes) -> Iterator[tuple[str, dict[str, complex]]]:
    """Name of each analysis in a raw file, and its first point by node."""
    while raw:
        head, _, rest = raw.partition(b"Binary:\n")
        lines = head.decode("ascii").splitlines()
        fields = dict(line.split(": ", 1) for line in lines if ": " in line and not line.startswith("\t"))
        count = int(fields["No. Variables"])
        kind = np.dtype(np.complex128 if "complex" in fields["Flags"] else np.float64)
        names = [line.split("\t")[2] for line in lines if line.startswith("\t")]
        data = np.frombuffer(rest[: count * kind.itemsize], dtype=kind)
        pairs = zip(names, data, strict=True)
        yield fields["Plotname"], {name[2:-1]: complex(value) for name, value in pairs if name.startswith("v(")}
        raw = rest[count * kind.itemsize * int(fields["No. Points"]) :]


def solved(electrics: Electrics, case: Case, folder: Path, tally: Tally | None = None) -> dict[str, complex]:
    """What ngspice finds; where its steps run astray, once more from near our solution."""
    text = netlist(electrics, case.setting, changes=case.changes)
    try:
        return solve(text, folder)
    except RuntimeError:
        if tally is not None:
            tally.helped += 1
        ours = flow(electrics, case.setting, "dc", changes=case.changes)
        hints = (f".nodeset v(n{index})={volts.real:.2f}\n" for index, volts in enumerate(ours.volts[:-1], 1))
        return solve(text.replace(".op\n", "".join([*hints, ".op\n"])), folder)


# ---- the comparison ----


def share(ours: complex, theirs: complex) -> float:
    """Difference as a share of what is allowed."""
    return abs(ours - theirs) / max(NEAR_V, NEAR_SHARE * abs(theirs))


def gaps(electrics: Electrics, case: Case, theirs: dict[str, complex]) -> Iterator[Gap]:
    """Every node of a case, in each regime that the other solution has."""
    for regime in ("dc", "ac") if any(node.startswith("a") for node in theirs) else ("dc",):
        letter = "n" if regime == "dc" else "a"
        ours = flow(electrics, case.setting, regime, changes=case.changes)  # type: ignore[arg-type]
        for index, point in enumerate(electrics.network.nodes, 1):
            told, found = complex(ours.volts[index - 1]), theirs[f"{letter}{index}"]
            hangs = point not in ours.grounded
            yield Gap(case.name, point, regime, abs(told), abs(found), share(told, found), hangs)


def lost(electrics: Electrics, case: Case, theirs: dict[str, complex]) -> Iterator[Gap]:
    """Volts lost along every lead and joint that conducts: here a conductor's own ohms show."""
    network = electrics.network
    for regime in ("dc", "ac") if any(node.startswith("a") for node in theirs) else ("dc",):
        ours = flow(electrics, case.setting, regime, changes=case.changes)  # type: ignore[arg-type]
        for index, branch in enumerate(network.branches):
            held = branch.a in ours.grounded and branch.b in ours.grounded
            if branch.kind in ("lead", "joint") and ours.conducts[index] and held:
                a, b = network.ends[index]
                told = complex(ours.volts[a] - ours.volts[b])
                found = across(network.node_index, theirs, branch.a, branch.b, "n" if regime == "dc" else "a")
                off = abs(told - found) / max(NEAR_LOST_V, NEAR_LOST_SHARE * abs(found))
                yield Gap(case.name, branch.id, regime, abs(told), abs(found), off, False)


def metered(electrics: Electrics, case: Case, point: str, folder: Path, tally: Tally) -> Gap:
    """A point with a meter of 10 MΩ on it, in both."""
    shunt = Change(Mode.SHUNT, a=point, b="frame", value=METER_OHM)
    loaded = Case(case.name, case.setting, (*case.changes, shunt))
    theirs = solved(electrics, loaded, folder, tally)[f"n{electrics.network.node_index[point] + 1}"]
    ours = flow(electrics, case.setting, "dc", changes=loaded.changes).at(point)
    return Gap(case.name, point, "dc", abs(ours), abs(theirs), share(ours, theirs), False)


# ---- what the netlist takes from our own solution ----


def unlike(electrics: Electrics, case: Case, theirs: dict[str, complex]) -> list[str]:
    """Relay contacts and chargers of the netlist that ngspice's own volts do not bear out."""
    ours = flow(electrics, case.setting, "dc", changes=case.changes)
    conducts = {item.id: bool(on) for item, on in zip(electrics.network.branches, ours.conducts, strict=True)}
    found = [name for name, on in wanted_contacts(electrics, case, theirs).items() if on != conducts[name]]
    if case.setting.engine != "still" and relays_rest(ours):
        found += unlike_chargers(electrics, case, theirs)
    return [f"{name}: {case.name}" for name in found]


def wanted_contacts(electrics: Electrics, case: Case, theirs: dict[str, complex]) -> dict[str, bool]:
    """Relay contact -> whether it conducts at the volts that ngspice finds over its coil."""
    network, gone = electrics.network, {item.branch for item in case.changes if item.mode == Mode.KILL}
    found = {}
    for branch in network.branches:
        if branch.kind == "relay-contact" and branch.id not in gone:
            coil = network.branches[network.index[branch.follows]]
            dead = any(item.branch == coil.id and math.isinf(item.value) for item in case.changes)
            on = not dead and abs(across(network.node_index, theirs, coil.a, coil.b)) >= branch.volts
            found[branch.id] = on != branch.rests_closed
    return found


def unlike_chargers(electrics: Electrics, case: Case, theirs: dict[str, complex]) -> list[str]:
    """Chargers whose open volts are not those of ngspice's alternating current."""
    network, found = electrics.network, []
    known = charger_volts(electrics, case)
    for index, branch in enumerate(network.branches):
        if branch.kind == "charger" and branch.follows:
            load = network.branches[network.index[branch.follows]]
            rms = abs(across(network.node_index, theirs, load.a, load.b, "a"))
            lost = JUNCTION_V * (2.0 if branch.factor > 0.6 else 0.5)
            emf = min(max(rms * branch.factor - lost, 0.0), branch.volts)
            if share(known[index], emf) > 1.0:
                found.append(branch.id)
    return found


def charger_volts(electrics: Electrics, case: Case) -> np.ndarray[Any, Any]:
    """(n_branches,) open volts of chargers in our own solution."""
    known = electrics.coupling("dc", case.setting, electrics.cases([case.changes]), 0).charger_v
    return np.zeros(len(electrics.network.branches)) if known is None else known[0]


def never_rests(electrics: Electrics, case: Case, folder: Path) -> bool:
    """Whether ngspice finds no state of the relay contacts that its own volts bear out."""
    network, text = electrics.network, netlist(electrics, case.setting, changes=case.changes)
    cards = {}
    for index, branch in enumerate(network.branches, 1):
        if branch.kind == "relay-contact":
            text = re.sub(rf"^Rn{index} .*\n", "", text, flags=re.MULTILINE)
            a, b = (f"n{i + 1}" if i >= 0 else "0" for i in network.ends[index - 1])
            cards[branch.id] = f"Rn{index} {a} {b} {branch.ohm}\n"
    nothing = {"0": 0j} | {f"n{i}": 0j for i in range(1, len(network.nodes) + 1)}
    movable = list(wanted_contacts(electrics, case, nothing))
    for states in itertools.product((False, True), repeat=len(movable)):
        state = dict(zip(movable, states, strict=True))
        added = "".join(cards[name] for name, on in state.items() if on)
        theirs = solve(text.replace(".op\n", f"{added}.op\n"), folder)
        if wanted_contacts(electrics, case, theirs) == state:
            return False
    return True


def relays_rest(solved: Flow) -> bool:
    """Whether no relay is pulled, so that a charger's volts follow from the alternating current alone."""
    pairs = zip(solved.network.branches, solved.conducts, strict=True)
    return all(bool(on) == branch.rests_closed for branch, on in pairs if branch.kind == "relay-contact")


def across(index: dict[str, int], theirs: dict[str, complex], a: str, b: str, letter: str = "n") -> complex:
    """Volts that ngspice finds between two points."""
    one, two = (theirs["0" if index[point] < 0 else f"{letter}{index[point] + 1}"] for point in (a, b))
    return one - two


# ---- the campaign ----


@dataclass
class Tally:
    """What a campaign on one circuit came to."""

    circuit: str
    cases: int = 0
    sound: int = 0
    nodes: int = 0
    beyond: int = 0
    beyond_held: int = 0
    beyond_hanging: int = 0
    judged: int = 0
    chattering: int = 0
    helped: int = 0
    worst: dict[str, Gap] = field(default_factory=dict)
    nearer: Counter[str] = field(default_factory=Counter)
    failed: list[str] = field(default_factory=list)
    unlike: list[str] = field(default_factory=list)

    @property
    def bad(self) -> bool:
        """Whether anything is left without an explanation."""
        return bool(self.beyond_held or self.beyond_hanging or self.failed or self.unlike)

    def keep(self, key: str, gap: Gap) -> None:
        """Keep a gap where it is the worst of its kind."""
        if key not in self.worst or gap.share > self.worst[key].share:
            self.worst[key] = gap


def campaign(path: Path, count: int) -> Tally:
    """Compare every case of one circuit."""
    electrics = Electrics(load_harness(path), count=1)
    tally = Tally(path.stem)
    with tempfile.TemporaryDirectory() as folder:
        for case in cases_of(electrics, count):
            one_case(electrics, case, Path(folder), tally)
    return tally


def one_case(electrics: Electrics, case: Case, folder: Path, tally: Tally) -> None:
    """Compare one case and count it."""
    try:
        theirs = solved(electrics, case, folder, tally)
    except RuntimeError as error:
        tally.failed.append(f"{case.name}: {error}")
        return
    tally.cases += 1
    tally.sound += not case.changes
    odd = unlike(electrics, case, theirs)
    if odd and case.changes and never_rests(electrics, case, folder):
        tally.chattering += 1
    else:
        tally.unlike += odd
    found = list(gaps(electrics, case, theirs))
    tally.nodes += len(found)
    for gap in found:
        tally.keep(f"{gap.regime}{', hanging' if gap.hangs else ''}", gap)
    tally.beyond += sum(gap.share > 1.0 for gap in found)
    tally.beyond_held += sum(gap.share > 1.0 and not gap.hangs for gap in found)
    hanging = max((gap for gap in found if gap.hangs and gap.regime == "dc"), key=lambda gap: gap.share, default=None)
    if hanging is not None:
        tally.keep("dc, hanging, with a meter on it", metered(electrics, case, hanging.point, folder, tally))
    if any(gap.share > 1.0 for gap in found):
        judge(electrics, case, theirs, tally)


def judge(electrics: Electrics, case: Case, theirs: dict[str, complex], tally: Tally) -> None:
    """Hold both solutions against one in 80-bit numbers."""
    from precise import law_of, solve_precisely  # beside this file

    text = netlist(electrics, case.setting, changes=case.changes)
    emf = charger_volts(electrics, case)
    network = electrics.network
    own = [law_values(network, electrics.draws[0], np.array([i])) for i in range(len(network.branches))]
    laws = {str(i + 1): law_of(item, *own[i], float(emf[i])) for i, item in enumerate(network.branches)}
    precise = solve_precisely(text, theirs, laws)
    if any(node.startswith("a") for node in theirs):
        precise |= solve_precisely(text, theirs, laws, "a")
    tally.judged += 1
    for gap, other in zip(gaps(electrics, case, precise), gaps(electrics, case, theirs), strict=True):
        letter = "n" if gap.regime == "dc" else "a"
        node = f"{letter}{electrics.network.node_index[gap.point] + 1}"
        off = share(theirs[node], precise[node])
        tally.keep(f"{gap.regime}, ours against 80 bits", gap)
        tally.keep(f"{gap.regime}, ngspice against 80 bits", Gap(case.name, gap.point, gap.regime, abs(theirs[node]), abs(precise[node]), off, gap.hangs))
        tally.beyond_hanging += gap.share > HANGING_SHARE / NEAR_SHARE
        if other.share > 1.0:
            tally.nearer["ours" if gap.share <= off else "ngspice"] += 1


# ---- recorded results ----


def record(path: Path, count: int) -> dict[str, Any]:
    """Volts that ngspice finds on a sample of one circuit, with all that makes the case."""
    text = path.read_text(encoding="utf-8")
    electrics = Electrics(parse_harness(read_tree(text, file=path.name)), count=1)
    every = list(cases_of(electrics, 200))
    faulty = [case for case in every if case.changes]
    picked = [case for case in every if not case.changes]
    picked += [faulty[i] for i in sorted(np.random.default_rng(1).choice(len(faulty), count, replace=False))]
    kept = []
    with tempfile.TemporaryDirectory() as folder:
        for case in picked:
            made = {"name": case.name, "setting": as_plain(case.setting), "changes": [as_row(c) for c in case.changes]}
            theirs = solved(electrics, case, Path(folder))
            made["chatters"] = bool(unlike(electrics, case, theirs)) and never_rests(electrics, case, Path(folder))
            kept.append(made | volts_of(electrics, theirs))
    return {"circuit": path.stem, "harness": text, "points": list(electrics.network.nodes), "cases": kept}


def volts_of(electrics: Electrics, theirs: dict[str, complex]) -> dict[str, Any]:
    """Volts in the order of the points, to a hundredth of a millivolt."""
    count = len(electrics.network.nodes)
    told: dict[str, Any] = {"dc": [round(theirs[f"n{i}"].real, 5) for i in range(1, count + 1)]}
    if "a1" in theirs:
        phasors = [theirs[f"a{i}"] for i in range(1, count + 1)]
        told["ac"] = [[round(value.real, 5), round(value.imag, 5)] for value in phasors]
    return told


def as_plain(setting: Setting) -> dict[str, Any]:
    """A setting as plain values."""
    return {
        "positions": dict(setting.positions),
        "parted": sorted(setting.parted),
        "lifted": sorted(setting.lifted),
        "out": sorted(setting.out),
        "battery": setting.battery,
        "engine": setting.engine,
    }


def as_row(change: Change) -> list[Any]:
    """A change as plain values."""
    value = "open" if math.isinf(change.value) else change.value
    return [change.mode.name, change.branch, change.a, change.b, value]


def as_case(harness: Harness, kept: dict[str, Any]) -> Case:
    """A case from its plain values."""
    changes = tuple(
        Change(Mode[mode], branch, a, b, math.inf if value == "open" else value)
        for mode, branch, a, b, value in kept["changes"]
    )
    return Case(kept["name"], put(harness, Setting(), **kept["setting"]), changes)


def as_volts(kept: dict[str, Any]) -> dict[str, complex]:
    """Node -> volts or phasor of a recorded case."""
    found = {"0": 0j} | {f"n{i}": complex(volts) for i, volts in enumerate(kept["dc"], 1)}
    return found | {f"a{i}": complex(*parts) for i, parts in enumerate(kept.get("ac", ()), 1)}


def read_recorded() -> dict[str, Any]:
    """What was recorded, and with which program."""
    kept: dict[str, Any] = json.loads(gzip.decompress(RECORDED.read_bytes()))
    return kept


def write_recorded(count: int) -> None:
    """Record a sample of every circuit, with the circuits as they are now."""
    found = [record(path, count) for path in sorted(CIRCUITS.glob("*.yaml"))]
    kept = {"program": version(), "date": time.strftime("%Y-%m-%d"), "circuits": found}
    text = json.dumps(kept, separators=(",", ":"))
    RECORDED.write_bytes(gzip.compress(text.encode(), 9, mtime=0))


def main() -> int:
    """Run the campaign, or record."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=200, help="faults in every setting; recorded: faults in all")
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    parser.add_argument("--only", nargs="*", help="circuits by name, such as outboard")
    parser.add_argument("--record", action="store_true", help="record a sample instead")
    args = parser.parse_args()
    if args.record:
        write_recorded(args.count)
        return 0
    print(f"{version()}; {NEAR_V * 1e3:g} mV or {NEAR_SHARE:.1%} allowed", flush=True)
    paths = [path for path in sorted(CIRCUITS.glob("*.yaml")) if not args.only or path.stem in args.only]
    bad = False
    with ProcessPoolExecutor(args.jobs) as pool:
        for tally in pool.map(campaign, paths, [args.count] * len(paths)):
            tell(tally)
            bad |= tally.bad
    return int(bad)


def tell(tally: Tally) -> None:
    """Print what one circuit came to."""
    print(f"{tally.circuit}: {tally.cases} cases ({tally.sound} sound), {tally.nodes} node volts")
    for regime, gap in sorted(tally.worst.items()):
        apart = f"{gap.ours_v:.6f} V for {gap.theirs_v:.6f} V"
        print(f"  worst {regime}: {gap.share:.3g} of what is allowed, {apart} at {gap.point} ({gap.case})")
    if tally.beyond:
        nearer = f"ours nearer at {tally.nearer['ours']}, ngspice at {tally.nearer['ngspice']}"
        print(f"  beyond: {tally.beyond}, of them {tally.beyond_held} that do not hang; {tally.judged} cases in 80 bits: {nearer}")
    for words, items in (("gave no answer", tally.failed), ("relay or charger unlike", tally.unlike)):
        if items:
            often = Counter(item.partition(":")[0] for item in items).most_common(3)
            print(f"  {words}: {len(items)}, such as {items[0]}; {often}")
    if tally.helped:
        print(f"  needed a start near our solution: {tally.helped}")
    if tally.chattering:
        print(f"  chatters, in ngspice as well: {tally.chattering}")


if __name__ == "__main__":
    sys.exit(main())
