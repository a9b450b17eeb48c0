"""Changes to a harness: their record, applying and undoing it, and what the changes do to the circuits."""

from ohmtrail.changes.applying import Applied, apply_record, apply_steps
from ohmtrail.changes.compare import Comparison, Machine, compare_machines
from ohmtrail.changes.days import Day
from ohmtrail.changes.reading import RecordFile, is_record, parse_record, read_record
from ohmtrail.changes.record import Change, Original, Record, Step
from ohmtrail.changes.rewriting import rewritten
from ohmtrail.changes.undoing import reverse_steps

__all__ = [
    "Applied",
    "Change",
    "Comparison",
    "Day",
    "Machine",
    "Original",
    "Record",
    "RecordFile",
    "Step",
    "apply_record",
    "apply_steps",
    "compare_machines",
    "is_record",
    "parse_record",
    "read_record",
    "reverse_steps",
    "rewritten",
]
