"""Rehearsals: simulated technicians work through planted faults of a machine, job after job, and are compared."""

from ohmtrail.rehearsal.campaign import Task, Worked, rehearse, tasks_of
from ohmtrail.rehearsal.draws import Wanted, unnoticed
from ohmtrail.rehearsal.points import Helped, Unsplit
from ohmtrail.rehearsal.reduced import Reduced, reduced_problems
from ohmtrail.rehearsal.result import Group, Pairs, Rehearsal
from ohmtrail.rehearsal.summary import Band, Calibration, Compared, Interval, Summary
from ohmtrail.rehearsal.work import WAYS, Rehearsed, Way

__all__ = [
    "WAYS",
    "Band",
    "Calibration",
    "Compared",
    "Group",
    "Helped",
    "Interval",
    "Pairs",
    "Reduced",
    "Rehearsal",
    "Rehearsed",
    "Summary",
    "Task",
    "Unsplit",
    "Wanted",
    "Way",
    "Worked",
    "reduced_problems",
    "rehearse",
    "tasks_of",
    "unnoticed",
]
