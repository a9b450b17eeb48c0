"""Changes to a circuit: what cannot be done to a branch is refused, not passed over."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ohmtrail.circuit import Change, Electrics, Mode
from ohmtrail.circuit.branch_kinds import NONLINEAR
from ohmtrail.errors import CircuitError
from ohmtrail.faults import faults_of
from ohmtrail.harness import load_harness

CIRCUITS = sorted((Path(__file__).parents[2] / "circuits").glob("*.yaml"))


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_a_bent_branch_takes_no_ohms_and_no_factor(path: Path) -> None:
    """Filaments, junctions, clamps, chargers and relay contacts are taken away or left as they are."""
    electrics = Electrics(load_harness(path), count=1)
    for branch in electrics.network.branches:
        if branch.kind not in NONLINEAR:
            continue
        for change in (
            Change(Mode.SERIES, branch.id, value=4.7),
            Change(Mode.SCALE, branch.id, value=0.5),
            Change(Mode.EMF, branch.id, value=9.0),
        ):
            with pytest.raises(CircuitError, match=re.escape(f"'{branch.id}' ({branch.kind}) cannot be changed by {change.mode.name}")):
                electrics.cases([(change,)])
        for change in (Change(Mode.SERIES, branch.id), Change(Mode.KILL, branch.id), Change(Mode.FLAG, branch.id)):
            assert electrics.cases([(change,)]).rows.gone.tolist() == [[electrics.network.index[branch.id]]]


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_no_fault_of_the_catalogue_is_refused(path: Path) -> None:
    """Every fault of every machine can be laid out, with no change of it lost."""
    electrics = Electrics(load_harness(path), count=1)
    faults = faults_of(electrics.network, year=2026)
    rows = electrics.cases([fault.changes for fault in faults]).rows
    for row, fault in enumerate(faults):
        kept = int((rows.mode[row] != Mode.NONE).sum()) + int((rows.gone[row] >= 0).sum())
        assert kept >= len(fault.changes), fault.id
