"""Rehearsals: simulated technicians work through planted faults of a machine, job after job, and are compared."""

from ohmtrail.rehearsal.campaign import Task, Worked, rehearse, tasks_of
from ohmtrail.rehearsal.draws import Wanted
from ohmtrail.rehearsal.result import Group, Pairs, Rehearsal
from ohmtrail.rehearsal.summary import Band, Calibration, Compared, Interval, Summary
from ohmtrail.rehearsal.work import WAYS, Rehearsed, Way

__all__ = [
    "WAYS",
    "Band",
    "Calibration",
    "Compared",
    "Group",
    "Interval",
    "Pairs",
    "Rehearsal",
    "Rehearsed",
    "Summary",
    "Task",
    "Wanted",
    "Way",
    "Worked",
    "rehearse",
    "tasks_of",
]
