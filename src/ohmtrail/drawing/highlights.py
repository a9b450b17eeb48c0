"""What a job lays over a picture: readings, suspects, what is ruled out, the next reading, mends."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Highlights", "MendMark", "NextMark", "ReadingMark", "SuspectMark"]


@dataclass(frozen=True)
class ReadingMark:
    """A reading that was taken.

    Attributes
    ----------
    number : int
        Its number in the job.
    red, black : str
        Probe points; ``black`` may be ``frame`` or empty.
    value : str
        What was read, in words.
    words : str
        The whole of it, for lists and titles, where probes do not say it: a function watched, a look.
    """

    number: int
    red: str
    black: str
    value: str
    words: str = ""

    def told(self) -> str:
        """Value and probes, or the words that stand for them."""
        if self.words:
            return self.words
        return f"{self.value} · red {self.red}" + (f", black {self.black}" if self.black else "")


@dataclass(frozen=True)
class SuspectMark:
    """What may be at fault.

    Attributes
    ----------
    elements : tuple of str
        Leads, lead ends, parts, or ``plug.cavity``.
    share : str
        Such as ``61 %``.
    words : str
        Such as ``leaks to frame``.
    weight : float
        Share as a number, 0 to 1: how dark its shade is.
    """

    elements: tuple[str, ...]
    share: str
    words: str
    weight: float = 1.0


@dataclass(frozen=True)
class NextMark:
    """The reading to take next.

    Attributes
    ----------
    red, black : str
        Probe points; empty for something to look at, watch or mend.
    sentence : str
        The whole instruction, printed under the picture.
    """

    red: str
    black: str
    sentence: str


@dataclass(frozen=True)
class MendMark:
    """Something that was mended or changed.

    Attributes
    ----------
    element : str
        Lead or part.
    words : str
        What was done.
    head : str
        The bold word before it.
    """

    element: str
    words: str
    head: str = "mended"


@dataclass(frozen=True)
class Highlights:
    """Everything a job lays over a picture; it is placed after the layout and moves nothing.

    Attributes
    ----------
    readings : tuple of ReadingMark
        In the order taken.
    suspects : tuple of SuspectMark
        Likeliest first.
    ruled_out : tuple of str
        Elements that are sound.
    next : NextMark or None
        What to do now.
    mends : tuple of MendMark
        What was done.
    """

    readings: tuple[ReadingMark, ...] = ()
    suspects: tuple[SuspectMark, ...] = ()
    ruled_out: tuple[str, ...] = ()
    next: NextMark | None = None
    mends: tuple[MendMark, ...] = ()
