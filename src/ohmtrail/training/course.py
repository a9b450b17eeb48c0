"""A drill as a learner goes through it: what was done, where the machine stands, the minutes so far."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from ohmtrail.circuit import Setting, put
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Bench, Event, Evidence, Mended, Seen, Step, after
from ohmtrail.faults import Mend
from ohmtrail.training.drill import Drill
from ohmtrail.training.machine import DrillMachine

__all__ = ["Course", "Done", "Kind"]

Kind = Literal["reading", "set", "mend", "danger", "hint"]


@dataclass(frozen=True)
class Done:
    """One thing that a learner did.

    Attributes
    ----------
    kind : str
        A reading (something seen or looked at included), the machine set, a mend made and tried, a step that
        was stopped, a hint taken.
    said : str
        As typed.
    minutes : float
        What it took.
    step : Step or None
        The step, where there is one.
    result : Evidence, Mended or None
        What came of it.
    tried : Seen or None
        After a mend: how the complaint did then.
    note : str
        Of a danger the id of its caution, of a hint its sentence.
    opened : tuple of str
        Places that had to be opened for it.
    cured : bool
        Whether a mend put something right.
    """

    kind: Kind
    said: str
    minutes: float = 0.0
    step: Step | None = None
    result: Event | None = None
    tried: Seen | None = None
    note: str = ""
    opened: tuple[str, ...] = ()
    cured: bool = False


@dataclass
class Course:
    """A learner's way through a drill; it grows.

    Attributes
    ----------
    drill : Drill
        What is planted.
    done : list of Done
        Everything so far.
    bench : Bench
        Where the machine stands.
    machine : DrillMachine
        The machine, mends made included.
    """

    drill: Drill
    done: list[Done] = field(default_factory=list)
    bench: Bench = field(default_factory=lambda: Bench(Setting()))
    machine: DrillMachine = field(init=False)

    def __post_init__(self) -> None:
        self.machine = self.drill.machine()

    @property
    def meter(self) -> Meter:
        """What is read with."""
        return self.drill.case.meter

    @property
    def minutes(self) -> float:
        """Minutes so far."""
        return sum(item.minutes for item in self.done)

    @property
    def mended(self) -> bool:
        """Whether nothing is wrong any more."""
        return not self.machine.faults

    @property
    def history(self) -> tuple[Event, ...]:
        """What a case is assessed by: the complaint, and what was found since."""
        found: list[Event] = [self.drill.complaint]
        for item in self.done:
            found += [part for part in (item.result, item.tried) if part is not None]
        return tuple(found)

    def take(self, step: Step, said: str, *, known: Evidence | None = None) -> Done:
        """Do a step that gives a reading.

        Parameters
        ----------
        step : Step
            A measurement, a function to watch or an element to look at.
        said : str
            As typed.
        known : Evidence, optional
            What came of it, where that was written down before.

        Returns
        -------
        Done
            Not kept yet; see `keep`.
        """
        if known is None:
            known = self.machine.take(step)
        else:
            self.machine.pass_over(step)
        bench, minutes = after(self.drill.case.harness, self.bench, step)
        return Done("reading", said, minutes, step, known, opened=self._opened(bench))

    def put(self, setting: Setting, said: str) -> Done:
        """Set the machine without a reading.

        Parameters
        ----------
        setting : Setting
            Its state afterwards.
        said : str
            As typed.

        Returns
        -------
        Done
            Not kept yet.
        """
        still = put(self.drill.case.harness, setting, engine="still", moved="")
        # what only is set costs what setting it costs: a watch less the watching
        step = Step("watch", still)
        bench, minutes = after(self.drill.case.harness, self.bench, step)
        _, nothing = after(self.drill.case.harness, bench, step)
        return Done("set", said, minutes - nothing, step, opened=self._opened(bench))

    def mend(self, mend: Mend, said: str, *, known: Seen | None = None) -> Done:
        """Make a mend and try the complaint.

        Parameters
        ----------
        mend : Mend
            What is put right, or is not.
        said : str
            As typed.
        known : Seen, optional
            How the complaint did, where that was written down before.

        Returns
        -------
        Done
            Not kept yet, though the machine is mended.
        """
        harness, complaint = self.drill.case.harness, self.drill.complaint
        step = Step("mend", self.bench.setting, mend=mend)
        cured = self.machine.mend(mend.id)
        bench, minutes = after(harness, self.bench, step)
        trial = Step("watch", complaint.setting, function=complaint.function)
        _, more = after(harness, bench, trial)
        tried = self._tried(trial) if known is None else known
        if known is not None and not complaint.sometimes:
            self.machine.pass_over(trial)
        return Done("mend", said, minutes + more, step, Mended(mend.id), tried, opened=self._opened(bench), cured=cured)

    def keep(self, item: Done) -> None:
        """Add what was done, and let the machine stand as it leaves it."""
        self.done.append(item)
        if item.step is None:
            return
        harness = self.drill.case.harness
        self.bench, _ = after(harness, self.bench, item.step)
        if item.tried is not None:
            self.bench, _ = after(harness, self.bench, Step("watch", item.tried.setting, function=item.tried.function))

    # ---- inside ----

    def _tried(self, trial: Step) -> Seen:
        """What comes and goes is tried for as long as it takes: it shows again while anything is wrong."""
        complaint = self.drill.complaint
        if complaint.sometimes:
            return replace(complaint, level=2, sometimes=False) if self.mended else complaint
        found = self.machine.take(trial)
        assert isinstance(found, Seen), "a function that is watched is seen"
        return found

    def _opened(self, bench: Bench) -> tuple[str, ...]:
        return tuple(name for name in self.drill.case.harness.places if name in bench.opened - self.bench.opened)
