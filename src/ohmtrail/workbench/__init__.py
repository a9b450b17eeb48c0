"""The verbs as plain functions: what the command line, the page and other programs call. Nothing here prints."""

from ohmtrail.changes.record import VERBS as STEPS
from ohmtrail.changes.steptext import read_values
from ohmtrail.workbench.ahead import work_ahead
from ohmtrail.workbench.asking import next_step, suspects, why
from ohmtrail.workbench.cards import class_cards, save_cards
from ohmtrail.workbench.changing import apply_changes, list_changes, note_change, step_for
from ohmtrail.workbench.comparing import change_report, compare, save_change_report
from ohmtrail.workbench.conversing import answer
from ohmtrail.workbench.drill_file import is_drill
from ohmtrail.workbench.drills import (
    ask,
    end_drill,
    hint,
    new_drill,
    open_drill,
    summarise_drills,
    things_like,
)
from ohmtrail.workbench.export import netlist
from ohmtrail.workbench.handover import dossier, save_dossier
from ohmtrail.workbench.lessons import lesson, save_lesson
from ohmtrail.workbench.machine import blank, check, schema, shipped, trace
from ohmtrail.workbench.mending import mend
from ohmtrail.workbench.offering import complaints, functions, harnesses, jobs
from ohmtrail.workbench.opened import OpenJob, open_job
from ohmtrail.workbench.particulars import Particulars
from ohmtrail.workbench.pictures import draw
from ohmtrail.workbench.playing import demo, play, proven, simulate
from ohmtrail.workbench.printing import save_drawn
from ohmtrail.workbench.recording import reachable, read, skip, start, strike
from ohmtrail.workbench.rehearsing import rehearse
from ohmtrail.workbench.reporting import report, save_report
from ohmtrail.workbench.sheets import save_sheet, sheet
from ohmtrail.workbench.spreadsheets import export_leads, import_leads
from ohmtrail.workbench.surveying import save_survey, survey
from ohmtrail.workbench.taking_back import undo_changes
from ohmtrail.workbench.undoing import undo

__all__ = [
    "STEPS",
    "OpenJob",
    "Particulars",
    "answer",
    "apply_changes",
    "ask",
    "blank",
    "change_report",
    "check",
    "class_cards",
    "compare",
    "complaints",
    "demo",
    "dossier",
    "draw",
    "end_drill",
    "export_leads",
    "functions",
    "harnesses",
    "hint",
    "import_leads",
    "is_drill",
    "jobs",
    "lesson",
    "list_changes",
    "mend",
    "netlist",
    "new_drill",
    "next_step",
    "note_change",
    "open_drill",
    "open_job",
    "play",
    "proven",
    "reachable",
    "read",
    "read_values",
    "rehearse",
    "report",
    "save_cards",
    "save_change_report",
    "save_dossier",
    "save_drawn",
    "save_lesson",
    "save_report",
    "save_sheet",
    "save_survey",
    "schema",
    "sheet",
    "shipped",
    "simulate",
    "skip",
    "start",
    "step_for",
    "strike",
    "summarise_drills",
    "survey",
    "suspects",
    "things_like",
    "trace",
    "undo",
    "undo_changes",
    "why",
    "work_ahead",
]
