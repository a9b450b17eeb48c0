"""What is left out because nothing flows there would have changed nothing."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ohmtrail.circuit import Electrics, function_setting
from ohmtrail.circuit.idle import lively
from ohmtrail.circuit.meter import Meter
from ohmtrail.circuit.needs import load_branch
from ohmtrail.diagnosis.table import SuspectTable, single_rows
from ohmtrail.faults import faults_of
from ohmtrail.harness import load_harness

CIRCUITS = sorted((Path(__file__).parents[2] / "circuits").glob("*.yaml"))
#: volts that a load may be off by; a lamp's light moves by less than a thousandth
NEAR_V = 2e-4


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_loads_have_the_volts_they_would_have(path: Path) -> None:
    """Every fault at every severity, with and without leaving out: the same volts over the load of a function."""
    electrics = Electrics(load_harness(path), count=1)
    table = SuspectTable(electrics, Meter(), single_rows(faults_of(electrics.network, year=2026)))
    still = [item for item in electrics.harness.functions.values() if function_setting(electrics.harness, item).engine == "still"]
    tried = 0
    for function in still[:3]:
        setting = function_setting(electrics.harness, function)
        for need in function.needs:
            if need.lit or need.works:
                branch = electrics.network.branches[load_branch(electrics.network, need.lit or need.works or "")]
                pairs = [(branch.a, branch.b)]
                every = electrics.read("dc", setting, pairs, table.cases).value
                fewer = electrics.read("dc", setting, pairs, table.cases, idle=True).value
                assert np.abs(every - fewer).max() < NEAR_V
                kept = lively(electrics, setting, table.cases, 0)
                assert 0 < len(kept) < 0.9 * len(table)
                # a row that moves the load is among those that were worked out
                assert np.isin(np.flatnonzero(np.abs(every - every[0, 0]).max(axis=(0, 2)) > NEAR_V), kept).all()
                tried += 1
    assert tried or not still
