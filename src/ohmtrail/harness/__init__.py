"""What the machine is: the frozen model, the YAML that describes it, and checks on it."""

from ohmtrail.harness.load import load_harness, parse_harness, read_harness
from ohmtrail.harness.model import FRAME, Function, Harness, Lead, Loom, Place, Supply

__all__ = [
    "FRAME",
    "Function",
    "Harness",
    "Lead",
    "Loom",
    "Place",
    "Supply",
    "load_harness",
    "parse_harness",
    "read_harness",
]
