"""What is known about the machine on the bench: readings, things seen, things looked at."""

from __future__ import annotations

from dataclasses import dataclass

from ohmtrail.circuit.meter import Quantity
from ohmtrail.circuit.setting import Setting

__all__ = ["Complaint", "Evidence", "Looked", "Measured", "Seen"]


@dataclass(frozen=True)
class Measured:
    """A meter reading.

    Attributes
    ----------
    quantity : str
        ohms, volts, ac, peak, diode, beep, lamp or amps.
    red, black : str
        Probe points.
    setting : Setting
        State of the machine.
    value : float
        Display value: ohm, volt or ampere; infinity for over-range; for ``beep`` 1 (beeps) or 0
        (silent); for ``lamp`` the share of full brightness seen: 1 bright, 0.5 dim, 0 out.
    flickers : bool
        Whether the display came and went while the wiring was moved; ``value`` then does not count.
    off : bool
        Whether a survey found it outside the band of a sound machine, so that it is a complaint.
    """

    quantity: Quantity
    red: str
    black: str
    setting: Setting
    value: float = 0.0
    flickers: bool = False
    off: bool = False


@dataclass(frozen=True)
class Seen:
    """A function watched.

    Attributes
    ----------
    function : str
        Id of the function.
    setting : Setting
        State of the machine, the function's own switches included.
    level : int
        0 fails, 1 weak, 2 works.
    sometimes : bool
        Whether it comes and goes.
    """

    function: str
    setting: Setting
    level: int
    sometimes: bool = False


@dataclass(frozen=True)
class Looked:
    """An element looked at closely.

    Attributes
    ----------
    element : str
        Lead, joint, contact or part.
    damaged : bool
        Whether something was seen.
    """

    element: str
    damaged: bool


Evidence = Measured | Seen | Looked
#: what says that something is wrong: a function that fails, a reading outside its band
Complaint = Seen | Measured
