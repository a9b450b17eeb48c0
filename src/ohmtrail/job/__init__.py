"""The job on disk: one machine on the bench, everything done to it in order, in a file that only grows."""

from ohmtrail.job.file import begin, read_job
from ohmtrail.job.fitting import check_fits
from ohmtrail.job.records import VERSION, Start
from ohmtrail.job.state import Doing, Event, JobState, after, step_for
from ohmtrail.job.surveyed import answered
from ohmtrail.job.writing import (
    add_events,
    add_harness,
    add_mend,
    add_note,
    add_place,
    add_proposal,
    add_skip,
    add_strike,
    add_wanted,
)

__all__ = [
    "VERSION",
    "Doing",
    "Event",
    "JobState",
    "Start",
    "add_events",
    "add_harness",
    "add_mend",
    "add_note",
    "add_place",
    "add_proposal",
    "add_skip",
    "add_strike",
    "add_wanted",
    "after",
    "answered",
    "begin",
    "check_fits",
    "read_job",
    "step_for",
]
