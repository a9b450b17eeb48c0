"""The one-line reading: text that a person types at the machine, turned into evidence.

``ohms cdi.STOP frame 3.2``, ``volts battery.+ frame = 12.4 with ignition-switch on``, ``spark absent``,
``looked stop-2 cracked``, or a bare answer to what was proposed: ``3.2``, ``ol``, ``works``. And the one-line question, a reading
without its value, which a drill answers.
"""

from ohmtrail.grammar.answers import Said, read_answer
from ohmtrail.grammar.asking import Asked, Put, ToMend, read_question
from ohmtrail.grammar.reading import Context, Line, read_complaint, read_line
from ohmtrail.grammar.settings import read_setting, read_settings

__all__ = ["Asked", "Context", "Line", "Put", "Said", "ToMend", "read_answer", "read_complaint", "read_line", "read_question", "read_setting", "read_settings"]
