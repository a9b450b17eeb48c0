"""Lessons: one HTML file in which a machine's switches can be turned and faults put in.

The page solves the circuit itself, by the equations of `ohmtrail.circuit` written in JavaScript
(``data/solve.js``), on the branches and constants that `circuit_data` exports. Solved in advance the same
machine would not fit: thirteen switches of the utility car alone have 41 472 positions, times three engine
states, times 1 786 faults. In the page one flip of a switch is one solution; tests compare it with
Python over random settings and faults.
"""

from ohmtrail.reports.lesson.made import Lesson, Saved, make_lesson, saved_json
from ohmtrail.reports.lesson.page import lesson_data, lesson_page

__all__ = ["Lesson", "Saved", "lesson_data", "lesson_page", "make_lesson", "saved_json"]
