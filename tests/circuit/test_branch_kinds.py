"""Every kind of branch is in the list, and a family holds nothing else."""

from pathlib import Path

import pytest

from ohmtrail.circuit import branch_kinds
from ohmtrail.circuit.branches import branches_of
from ohmtrail.harness import load_harness

CIRCUITS = Path(__file__).parents[2] / "circuits"


def test_every_branch_of_every_machine_is_of_a_listed_kind() -> None:
    """And every listed kind is met somewhere."""
    met = {branch.kind for path in CIRCUITS.glob("*.yaml") for branch in branches_of(load_harness(str(path)))}
    assert met == set(branch_kinds.KINDS)


@pytest.mark.parametrize("family", [name for name in branch_kinds.__all__ if name != "KINDS"])
def test_a_family_holds_listed_kinds(family: str) -> None:
    """A word that no branch has would be a member in vain."""
    assert getattr(branch_kinds, family) <= set(branch_kinds.KINDS)
