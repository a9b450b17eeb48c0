"""Drills: a hidden fault, a learner's way to it, and its mark. Data only; reports turn it into words."""

from ohmtrail.training.course import Course, Done
from ohmtrail.training.dangers import danger_of
from ohmtrail.training.drill import LEVELS, YEAR, Drill, Level, Wish
from ohmtrail.training.marking import Mark, Told, mark_of
from ohmtrail.training.planting import plant_drill, planted_again
from ohmtrail.training.route import Route, best_route

__all__ = [
    "LEVELS",
    "YEAR",
    "Course",
    "Done",
    "Drill",
    "Level",
    "Mark",
    "Route",
    "Told",
    "Wish",
    "best_route",
    "danger_of",
    "mark_of",
    "plant_drill",
    "planted_again",
]
