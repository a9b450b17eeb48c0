"""Longer texts of the help: no line of an example is wider than 40 columns."""

from __future__ import annotations

__all__ = ["ABOUT", "COMPLAINTS", "ENDING", "EXITS", "GRAMMAR", "REPORTS_TO"]

REPORTS_TO = "Report mistakes where you got Ohmtrail, with the command, what it said, and the file of details it names."

ABOUT = "Find the fault in a machine's wiring: what to measure next, what it should be, what is wrong, what to mend."

EXITS = (
    "Exit status: 0 done; 1 done, and the answer is no (serious findings, readings that contradict each other, "
    "nothing left to try); 2 unusable input; 70 a mistake of ours; 74 cannot write; 75 the job is in use elsewhere; "
    "130 and 143 stopped."
)

ENDING = f"""A job, from complaint to proof:

\b
  ohmtrail start bike.job
      --harness circuits/outboard.yaml
      --complaint "spark-top absent"
  ohmtrail next bike.job
  ohmtrail read bike.job 4.3
  ohmtrail suspects bike.job
  ohmtrail mend bike.job
  ohmtrail bench bike.job
  ohmtrail page bike.job
  ohmtrail demo

{EXITS}

'ohmtrail help json' documents what --json writes, 'ohmtrail help reading' how a reading is typed. {REPORTS_TO}"""

COMPLAINTS = """What fails is a function of the harness file and how it fails; say it more than once where several fail:

\b
  --complaint "spark absent"
  --complaint "headlamp-dipped dim"
  --complaint "horn sometimes"
"""

GRAMMAR = """A reading is one line. Case and order do not matter, and units may be left out.

What the meter read, red, black, value:

\b
  ohms module.STOP frame 3.2k
  ohms a b OL
  volts battery.+ frame 12.4
  ac module.CH module.E 65 V
  beep a b beeps        (or silent)
  lamp a frame dim      (bright, out)
  peak, diode, and: amps LEAD 3.1
  ohms a b flickers with moving PLACE

What was seen or looked at, and a note:

\b
  spark absent          (works, weak,
                         sometimes)
  looked stop-2 cracked (or sound)
  note left screw is missing

A value alone answers the last proposal:

\b
  3.2     OL      works   absent
  beeps   dim     damaged

'with' says how the machine was set; 'and' goes on:

\b
  with SWITCH POSITION
  with LEAD.END lifted  (or back)
  with CONNECTOR parted (or mated)
  with FUSE out         (or in)
  with battery off      (or on)
  with engine cranking  (running)
  with moving PLACE

The setting stays until a later reading changes it; a turning engine and what is moved hold for one reading
only. An end of a lead, LEAD.from or LEAD.to, is probed once it is lifted; else name its terminal. '-' reads
lines from standard input: all of them are stored, or none.
"""
