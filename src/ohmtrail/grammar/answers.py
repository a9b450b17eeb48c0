"""What is typed in a conversation about a job: a verb of its own, or else a reading."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

__all__ = ["Said", "read_answer"]

Verb = Literal[
    "read", "skip", "bar", "unbar", "why", "undo", "done", "mend", "strike", "again", "readings", "suspects", "help", "quit"
]

#: verbs that are said with nothing after them, and what stands for each
_ALONE: dict[str, Verb] = {
    **dict.fromkeys(("skip", "another", "something else"), "skip"),
    **dict.fromkeys(("undo", "take back", "take it back"), "undo"),
    **dict.fromkeys(("done", "mended", "it is done"), "done"),
    **dict.fromkeys(("again", "repeat", "say again", ""), "again"),
    **dict.fromkeys(("readings", "list"), "readings"),
    "suspects": "suspects",
    **dict.fromkeys(("?", "help", "h"), "help"),
    **dict.fromkeys(("quit", "exit", "q", "bye"), "quit"),
}
#: verbs with something after them
_WITH: tuple[tuple[Verb, str], ...] = (
    ("bar", r"(?:can'?t|can ?not|unable to) (?:be )?(?:reach(?:ed)?|get (?:at|to|in))(?: (?P<rest>.+))?"),
    ("unbar", r"can (?:be )?(?:reach(?:ed)?|get (?:at|to|in))(?: (?P<rest>.+))?"),
    ("why", r"why\??(?: (?P<rest>.+?)\??)?"),
    ("mend", r"mend(?:ed)?:? (?P<rest>.+)"),
    ("strike", r"strike (?P<rest>\d{1,9}\b.*)"),
)


@dataclass(frozen=True)
class Said:
    """One answer.

    Attributes
    ----------
    verb : str
        ``read`` where it is a reading, as `ohmtrail.grammar.read_line` takes it.
    rest : str
        What follows the verb; of a reading, all of it.
    """

    verb: Verb
    rest: str = ""


def read_answer(text: str) -> Said:
    """Tell what somebody wants who types one line about a job.

    Parameters
    ----------
    text : str
        As typed.

    Returns
    -------
    Said
        A verb and what follows it.

    Examples
    --------
    >>> read_answer("can't reach under-tank"), read_answer("12.4").verb
    (Said(verb='bar', rest='under-tank'), 'read')
    """
    plain = " ".join(text.replace("’", "'").split())
    said = plain.casefold().rstrip(".!")
    if said in _ALONE:
        return Said(_ALONE[said])
    for verb, pattern in _WITH:
        found = re.fullmatch(pattern, plain, re.IGNORECASE)
        if found:
            return Said(verb, (found["rest"] or "").strip())
    return Said("read", plain)
