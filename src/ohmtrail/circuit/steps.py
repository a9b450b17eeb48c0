"""What a trace is made of: points, gaps, routes. Plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ohmtrail.circuit.needs import Checked
from ohmtrail.circuit.network import Regime
from ohmtrail.circuit.setting import Setting
from ohmtrail.harness.model import Function

__all__ = ["Gap", "Role", "Route", "State", "Step", "Trace"]

Role = Literal["main", "return", "side", "shared"]
State = Literal["live", "dead", "floating"]


@dataclass(frozen=True)
class Step:
    """One point of a route, and the branch that leads on from it.

    Attributes
    ----------
    point : str
        Terminal, lead end or frame.
    volts : float or None
        Against the frame: signed in dc and pulse, RMS in ac; None on a route that is measured dead.
    state : str
        ``live``, ``dead`` or ``floating``.
    branch, kind, owner : str
        What leads to the next point; all "" at the end of a route.
    conducts : bool
        Whether that branch lets current pass.
    amps : float or None
        Through that branch, in magnitude, ampere.
    """

    point: str
    volts: float | None
    state: State
    branch: str = ""
    kind: str = ""
    owner: str = ""
    conducts: bool = True
    amps: float | None = None


@dataclass(frozen=True)
class Gap:
    """Something open on a route: which branch, between which points, and why in short words."""

    branch: str
    kind: str
    owner: str
    points: tuple[str, str]
    why: str


@dataclass(frozen=True)
class Route:
    """A way of current, or the way it would take.

    Attributes
    ----------
    role : str
        ``main``, ``return``, ``side`` or ``shared``.
    need : int
        Which condition of the function it belongs to, counted from nought.
    regime : str
        ``dc``, ``ac``, ``pulse`` or ``ohms``.
    setting : Setting
        State of the machine it was solved in.
    source : str
        Branch id of the source that feeds it, or "".
    load : str
        Branch id of the load, or "".
    steps : tuple of Step
        In the direction from the source to the frame.
    gaps : tuple of Gap
        What is open on it.
    """

    role: Role
    need: int
    regime: Regime
    setting: Setting
    source: str
    load: str
    steps: tuple[Step, ...]
    gaps: tuple[Gap, ...]

    @property
    def conducts(self) -> bool:
        """Whether nothing is open on it."""
        return not self.gaps

    @property
    def points(self) -> tuple[str, ...]:
        """Its points in order."""
        return tuple(step.point for step in self.steps)


@dataclass(frozen=True)
class Trace:
    """A function's routes in a setting.

    Attributes
    ----------
    function : Function
        What is traced.
    setting : Setting
        State of the machine.
    checked : tuple of Checked
        Every condition, solved on the sound machine.
    routes : tuple of Route
        Main routes in the order of the conditions, each followed by what belongs to it.
    """

    function: Function
    setting: Setting
    checked: tuple[Checked, ...]
    routes: tuple[Route, ...]

    def of(self, role: Role) -> tuple[Route, ...]:
        """The routes of one role."""
        return tuple(route for route in self.routes if route.role == role)

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Everything that is open on any route, each once."""
        return tuple(dict.fromkeys(gap for route in self.routes for gap in route.gaps))
