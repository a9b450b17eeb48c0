"""What is in no table: any one branch changed in any way, or leaking to the frame. Held against an answer.

A fault that nobody listed reads, so far, like some listed one: the readings that were chosen to tell listed
faults apart need not tell it from them. So before an answer is named it is held against strangers, and where
one of them explains the readings about as well, a reading is asked for that tells the two apart.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from ohmtrail.circuit import Change, Electrics, Mode, Network
from ohmtrail.circuit.branch_kinds import EARTHING
from ohmtrail.circuit.branches import Branch
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis.evidence import Complaint, Evidence, Seen
from ohmtrail.diagnosis.likelihood import discrete, log_likelihood
from ohmtrail.diagnosis.screen import causes
from ohmtrail.diagnosis.table import Row, SuspectTable
from ohmtrail.faults import SEVERITY, Fault, Mend, earth_name
from ohmtrail.harness.model import FRAME

__all__ = ["UNKNOWN", "Rival", "Strangers"]

Floats = NDArray[np.float64]

#: stands for a mend where nobody listed one
UNKNOWN = "unlisted"
#: a stranger under which the readings are less likely than so is ruled out; as for a named answer: one in twenty
RULED_OUT = 0.05
#: strangers that are held against an answer at once, the best first
MOST_RIVALS = 12
#: sets of evidence whose weighing is kept: what counts after some mends, in so many versions
MOST_WEIGHED = 8

#: ohms put into a branch, and between a branch and the frame or across it: from what matters to what hardly does;
#: common practice, no source
_SERIES = (0.15, 3.0, 60.0, 2e3, 1e5, 3e6)
_TO_FRAME = (0.1, 3.0, 60.0, 2e3, 6e4)
_ACROSS = (0.01, 3.0, 1e3)
_AT_VOLTS = (10.0, 1e3)

_IN_SERIES = EARTHING | {"switch", "fuse", "winding", "coil", "battery", "resistor"}
_GONE = frozenset({"filament", "relay-contact", "delivers", "charger", "diode", "clamp"})
_SHORTED = frozenset({"switch", "relay-contact", "diode", "clamp", "capacitor", "inside", "resistor", "filament"})
_LEAKING = frozenset({"lead", "winding"})
#: what may fail in a way that no meter sees
_UNSEEN = (".secondary", ".gap")


@dataclass(frozen=True)
class Rival:
    """A stranger that an answer has not ruled out.

    Attributes
    ----------
    element : str
        Where something would be changed.
    times : float
        How much likelier the readings are under it than under the answer.
    rows : tuple of int
        Its rows in the table of strangers.
    """

    element: str
    times: float
    rows: tuple[int, ...]


class Strangers:
    """Every single change that could bring a complaint, whether or not it is listed as a fault.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    meter : Meter
        What readings are taken with.
    complaints : sequence of Seen or Measured
        What is wrong.
    """

    def __init__(self, electrics: Electrics, meter: Meter, complaints: Sequence[Complaint]) -> None:
        self.electrics, self.meter, self.complaints = electrics, meter, tuple(complaints)
        self._weighed: OrderedDict[tuple[Evidence, ...], dict[str, float]] = OrderedDict()

    @cached_property
    def table(self) -> SuspectTable:
        """The changes that bring a complaint, at every severity; the sound machine is row 0."""
        rows = [Row((), (), 0.0), *_rows(self.electrics.network)]
        return causes(SuspectTable(self.electrics, self.meter, rows), self.complaints)

    @cached_property
    def _by_element(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for index, row in enumerate(self.table.rows):
            if row.faults:
                found.setdefault(row.faults[0].element, []).append(index)
        return found

    def weighed(self, evidence: Sequence[Evidence]) -> dict[str, float]:
        """Weigh each element by the evidence, whatever was changed there.

        Parameters
        ----------
        evidence : sequence of Evidence
            In any order.

        Returns
        -------
        dict of str to float
            Element -> natural logarithm of how likely the evidence is, given that the element brings the complaint.
        """
        key = tuple(sorted(evidence, key=repr))
        if key not in self._weighed:
            log, weight = _log_given(self.table, key)
            self._weighed[key] = {name: _mean(log[rows], weight[rows]) for name, rows in self._by_element.items()}
            while len(self._weighed) > MOST_WEIGHED:
                self._weighed.popitem(last=False)
        return self._weighed[key]

    def log_evidence(self, evidence: Sequence[Evidence]) -> float:
        """Say how likely evidence is under something unlisted, each element as likely as any other.

        Parameters
        ----------
        evidence : sequence of Evidence
            In any order; the function that was complained of is taken as given.

        Returns
        -------
        float
            Natural logarithm of a density; minus infinity where nothing unlisted brings the complaint.
        """
        each = np.array(list(self.weighed(evidence).values()))
        return float(logsumexp(each) - np.log(len(each))) if len(each) else -np.inf

    def rivals(self, evidence: Sequence[Evidence], answer: float, own: Collection[str]) -> tuple[Rival, ...]:
        """Give the strangers that the evidence does not rule out against an answer.

        Parameters
        ----------
        evidence : sequence of Evidence
            In any order.
        answer : float
            Natural logarithm of how likely the evidence is under the answer, as `log_mean` gives it.
        own : collection of str
            Elements that the answer puts right.

        Returns
        -------
        tuple of Rival
            The likeliest first.
        """
        found = [
            Rival(name, float(np.exp(min(value - answer, 50.0))), tuple(self._by_element[name]))
            for name, value in self.weighed(evidence).items()
            if name not in own
        ]
        kept = [item for item in found if item.times > RULED_OUT]
        return tuple(sorted(kept, key=lambda item: -item.times)[:MOST_RIVALS])


def log_mean(table: SuspectTable, evidence: Sequence[Evidence], rows: Sequence[int]) -> float:
    """Say how likely evidence is under some rows together, given that they bring the complaint.

    Parameters
    ----------
    table : SuspectTable
        Where the rows are.
    evidence : sequence of Evidence
        In any order; the functions that were complained of are taken as given.
    rows : sequence of int
        Rows of one answer.

    Returns
    -------
    float
        Natural logarithm of a density.
    """
    log, weight = _log_given(table, sorted(evidence, key=repr))
    return _mean(log[list(rows)], weight[list(rows)])


def _log_given(table: SuspectTable, ordered: Sequence[Evidence]) -> tuple[Floats, Floats]:
    """(n_rows,) log likelihood beyond the first function complained of, and weights given that function."""
    first = next((item for item in ordered if isinstance(item, Seen)), None)
    weight = table.prior if first is None else table.prior * discrete(table, first)
    return log_likelihood(table, [item for item in ordered if item is not first]), weight


def _mean(log: Floats, weight: Floats) -> float:
    top = float(log.max(initial=-np.inf))
    if weight.sum() <= 0.0 or not np.isfinite(top):
        return -np.inf
    return top + float(np.log((weight * np.exp(log - top)).sum() / weight.sum()))


def _rows(network: Network) -> Iterator[Row]:
    """Arbitrary changes: each element has the weight of one."""
    made: dict[str, list[tuple[Change, float, float]]] = {}
    for branch in network.branches:
        # such branches are worked on by themselves, not with the part that owns them
        element = earth_name(branch.id) if branch.kind in EARTHING else branch.owner
        made.setdefault(element, []).extend(_changes(branch))
    for element, changes in made.items():
        for index, (change, low, high) in enumerate(changes):
            mend = Mend(UNKNOWN, element, 0.0, ())
            fault = Fault(f"{element} {UNKNOWN} {index}", element, UNKNOWN, f"something at {element}", (change,), low, high, 1.0, 0.0, mend)
            yield Row((fault,), ((low, high),), 1.0 / len(changes))


def _changes(branch: Branch) -> Iterator[tuple[Change, float, float]]:
    """What can become of one branch."""
    if branch.kind in _IN_SERIES:
        yield Change(Mode.SERIES, branch.id), 0.0, 0.0
        for low, high in pairwise(_SERIES):
            yield Change(Mode.SERIES, branch.id, value=SEVERITY), low, high
    if branch.kind in _GONE:
        yield Change(Mode.KILL, branch.id), 0.0, 0.0
    if branch.id.endswith(_UNSEEN):
        yield Change(Mode.FLAG, branch.id), 0.0, 0.0
    if branch.kind in _LEAKING and branch.a != FRAME:
        for low, high in pairwise(_TO_FRAME):
            yield Change(Mode.SHUNT, a=branch.a, b=FRAME, value=SEVERITY), low, high
        if branch.kind == "lead":
            yield Change(Mode.STRESS, a=branch.a, b=FRAME, value=SEVERITY), *_AT_VOLTS
    if branch.kind in _SHORTED:
        for low, high in pairwise(_ACROSS):
            yield Change(Mode.SHUNT, a=branch.a, b=branch.b, value=SEVERITY), low, high
