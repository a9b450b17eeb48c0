"""Every node voltage of the circuits as another program finds it: recorded, and live where it is installed."""

from __future__ import annotations

import importlib.util
import shutil
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from ohmtrail.circuit import Electrics
from ohmtrail.harness import load_harness, parse_harness
from ohmtrail.harness.text import read_tree

HERE = Path(__file__).parent
CIRCUITS = sorted((HERE.parents[2] / "circuits").glob("*.yaml"))
#: faults of every circuit that are tried where the program is installed
LIVE = 12
#: a lead that loses less says too little of its ohms for a hundredth of them to show
LOSES_V = 0.02


def _script(name: str) -> ModuleType:
    """A script beside this file, as a module."""
    spec = importlib.util.spec_from_file_location(name, HERE / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


precise, compare = _script("precise"), _script("compare")
RECORDED = compare.read_recorded()
NAMES = [item["circuit"] for item in RECORDED["circuits"]]


def _kept(name: str) -> dict[str, Any]:
    return next(item for item in RECORDED["circuits"] if item["circuit"] == name)


def _electrics(name: str) -> Electrics:
    """The machine as it was recorded."""
    return Electrics(parse_harness(read_tree(_kept(name)["harness"], file=f"{name}.yaml")), count=1)


def _lost_otherwise(electrics: Electrics, case: Any, theirs: dict[str, complex]) -> list[Any]:
    """Leads and joints along which other volts are lost than the record says."""
    return [gap for gap in compare.lost(electrics, case, theirs) if gap.share > 1.0]


def _too_far(electrics: Electrics, case: Any, theirs: dict[str, complex]) -> list[Any]:
    """Points that differ by more than is allowed, those that hang free by more than numbers cost there."""
    most = {False: 1.0, True: compare.HANGING_SHARE / compare.NEAR_SHARE}
    return [gap for gap in compare.gaps(electrics, case, theirs) if gap.share > most[gap.hangs]]


@pytest.mark.parametrize("name", NAMES)
def test_recorded_volts_are_ours(name: str) -> None:
    """Sound in every setting and with 200 faults: 1 mV or 0.1 %, relays and chargers borne out; along leads closer."""
    kept, electrics = _kept(name), _electrics(name)
    assert list(electrics.network.nodes) == kept["points"]
    for item in kept["cases"]:
        case, theirs = compare.as_case(electrics.harness, item), compare.as_volts(item)
        if not item["chatters"]:
            # of a machine that chatters one moment was recorded, and another may be ours
            assert _too_far(electrics, case, theirs) == []
            assert _lost_otherwise(electrics, case, theirs) == []
            assert compare.unlike(electrics, case, theirs) == []


@pytest.mark.parametrize("name", NAMES)
def test_the_record_is_what_it_says(name: str) -> None:
    """The program's version, a date, every setting sound, 200 faults, and few machines that chatter."""
    kept, electrics = _kept(name), _electrics(name)
    assert RECORDED["program"].startswith("ngspice-")
    assert len(RECORDED["date"]) == len("2026-01-31")
    faulty = [item for item in kept["cases"] if item["changes"]]
    assert len(kept["cases"]) - len(faulty) == len(compare.settings_of(electrics.harness))
    assert len(faulty) >= 200
    assert sum(item["chatters"] for item in kept["cases"]) <= 3


@pytest.mark.parametrize("name", NAMES)
def test_a_percent_in_one_lead_is_noticed(name: str) -> None:
    """The record holds a machine one of whose leads has 1 % more ohms to be another: every lead that loses 20 mV."""
    kept, electrics = _kept(name), _electrics(name)
    where: dict[str, Any] = {}
    for item in kept["cases"]:
        if not item["changes"]:
            case, theirs = compare.as_case(electrics.harness, item), compare.as_volts(item)
            losing = [gap for gap in compare.lost(electrics, case, theirs) if gap.theirs_v > LOSES_V]
            where.update({gap.point: (case, theirs) for gap in losing})
    assert len(where) >= 2
    for lead, (case, theirs) in where.items():
        wrong = _electrics(name)
        wrong.draws[0].live[wrong.network.index[lead]] *= 1.01
        assert lead in {gap.point for gap in _lost_otherwise(wrong, case, theirs)}


def test_a_twentieth_of_a_volt_is_noticed() -> None:
    """The same record against a machine whose battery has that much more does not pass."""
    kept, electrics = _kept(NAMES[0]), _electrics(NAMES[0])
    electrics.draws = (replace(electrics.draws[0], battery_v=0.05), *electrics.draws[1:])
    lit = next(item for item in kept["cases"] if not item["changes"] and max(item["dc"]) > 6.0)
    assert _too_far(electrics, compare.as_case(electrics.harness, lit), compare.as_volts(lit))


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_a_sample_of_today_is_as_ngspice_finds_it(path: Path, tmp_path: Path) -> None:
    """The circuits as they are now: sound in every setting, a dozen faults, pairs, things taken apart."""
    electrics = Electrics(load_harness(path), count=1)
    every = list(compare.cases_of(electrics, 20))
    sound, faulty = ([case for case in every if bool(case.changes) is what] for what in (False, True))
    for case in [*sound, *faulty[:: max(1, len(faulty) // LIVE)]]:
        tally = compare.Tally(path.stem)
        compare.one_case(electrics, case, tmp_path, tally)
        assert not tally.bad, (case.name, tally)
