"""The cheapest plan on a small, noise-free table: exact where that is feasible, look-ahead where not.

The table has hypotheses with weights, each with the answer (mend) that puts it right, steps with crisp
outcomes and costs, and what each mend costs. The value of a set of hypotheses is the least expected cost
to a proven mend.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from ohmtrail.diagnosis.gain import entropy

__all__ = ["Choice", "Plan", "expected_cost", "greedy_cost"]

#: sets of hypotheses that the exact search may visit before it gives way to look-ahead
MOST_SETS = 1500


@dataclass(frozen=True)
class Choice:
    """The best first move and what it comes to.

    Attributes
    ----------
    step : int or None
        Index of the step, None for a mend.
    answer : int or None
        Answer whose mend is made, None for a step.
    cost : float
        Expected cost from here to a proven mend, in the unit of the costs, per unit of weight.
    exact : bool
        Whether the search was exact.
    """

    step: int | None
    answer: int | None
    cost: float
    exact: bool


@dataclass
class Plan:
    """A small decision table.

    Parameters
    ----------
    weight : sequence of float
        Of each hypothesis.
    answer : sequence of int
        Answer that puts each hypothesis right.
    outcome : sequence of sequence of int
        Outcome of each step under each hypothesis, (n_steps, n_hypotheses).
    cost : sequence of float
        Of each step.
    mend_cost : sequence of float
        Of each answer's mend.
    vain_cost : sequence of float
        Of each answer's mend where it turns out to be the wrong one, beside its cost.
    trials : bool
        Whether a mend may be made while another answer is still possible.
    """

    weight: Sequence[float]
    answer: Sequence[int]
    outcome: Sequence[Sequence[int]]
    cost: Sequence[float]
    mend_cost: Sequence[float]
    vain_cost: Sequence[float] = ()
    trials: bool = True
    most_sets: int = MOST_SETS
    _value: dict[int, float] = field(default_factory=dict)
    _mass: dict[int, float] = field(default_factory=dict)
    _greedy: dict[int, float] = field(default_factory=dict)

    @property
    def everything(self) -> int:
        """The set of all hypotheses, as bits."""
        return (1 << len(self.weight)) - 1

    def __post_init__(self) -> None:
        count = len(self.weight)
        self._parts = [_masks(row[:count]) for row in self.outcome]
        self._of_answer = dict(sorted(_named_masks(self.answer).items()))

    def mass(self, group: int) -> float:
        """Weight of a set."""
        known = self._mass.get(group)
        if known is None:
            known = sum(weight for index, weight in enumerate(self.weight) if group >> index & 1)
            self._mass[group] = known
        return known

    def answers(self, group: int) -> tuple[int, ...]:
        """Answers that occur in a set, in a fixed order."""
        return tuple(answer for answer, mask in self._of_answer.items() if mask & group)

    def without(self, group: int, answer: int) -> int:
        """A set less the hypotheses that an answer's mend puts right."""
        return group & ~self._of_answer.get(answer, 0)

    def split(self, group: int, step: int) -> tuple[int, ...]:
        """The parts of a set that a step tells apart."""
        return tuple(part for mask in self._parts[step] if (part := mask & group))

    def best(self) -> Choice:
        """Find the best first move."""
        return self.at(self.everything)

    def at(self, group: int) -> Choice:
        """Find the best move where a set of hypotheses is left."""
        try:
            self._exact(group)
            exact, value = True, self._exact
        except _TooLarge:
            exact, value = False, self._rollout
        total = self.mass(group) or 1.0
        found = min(self._moves(group, value), key=lambda item: (item[0], item[1] is None, item[1] or 0, item[2] or 0))
        return Choice(found[1], found[2], found[0] / total, exact)

    def _moves(self, group: int, value: Callable[[int], float]) -> list[tuple[float, int | None, int | None]]:
        mass, answers = self.mass(group), self.answers(group)
        made: list[tuple[float, int | None, int | None]] = []
        if self.trials or len(answers) == 1:
            for answer in answers:
                rest = self.without(group, answer)
                made.append((self.mend_mass(group, answer) + value(rest), None, answer))
        if len(answers) > 1:
            for step, cost in enumerate(self.cost):
                parts = self.split(group, step)
                if len(parts) > 1:
                    made.append((mass * cost + sum(value(part) for part in parts), step, None))
        if not made:
            # nothing splits what is left and no trial is allowed: it ends here as one group
            made.append((0.0, None, answers[0]))
        return made

    def mend_mass(self, group: int, answer: int) -> float:
        """Cost of a mend made on a set, times its weight: what it takes, and what it costs in vain."""
        rest = self.without(group, answer)
        vain = self.vain_cost[answer] if self.vain_cost else 0.0
        return self.mass(group) * self.mend_cost[answer] + (self.mass(rest) * vain if rest else 0.0)

    def _exact(self, group: int) -> float:
        if group == 0:
            return 0.0
        known = self._value.get(group)
        if known is None:
            if len(self._value) > self.most_sets:
                raise _TooLarge
            self._value[group] = 0.0
            known = min(move[0] for move in self._moves(group, self._exact))
            self._value[group] = known
        return known

    def _rollout(self, group: int) -> float:
        """Cost of going on by information per cost, exactly reckoned."""
        if group == 0:
            return 0.0
        known = self._greedy.get(group)
        if known is None:
            known = self._greedy_move(group)
            self._greedy[group] = known
        return known

    def _greedy_move(self, group: int) -> float:
        mass, answers = self.mass(group), self.answers(group)
        if len(answers) == 1:
            return mass * self.mend_cost[answers[0]]
        rated = [(self.rate(group, step), step) for step in range(len(self.cost))]
        rate, step = max(rated, default=(0.0, -1), key=lambda item: (item[0], -item[1]))
        if rate > 1e-12:
            return mass * self.cost[step] + sum(self._rollout(part) for part in self.split(group, step))
        if not self.trials:
            return 0.0
        share = {answer: mass - self.mass(self.without(group, answer)) for answer in answers}
        answer = max(answers, key=lambda item: share[item] / max(self.mend_cost[item], 1e-9))
        rest = self.without(group, answer)
        return self.mend_mass(group, answer) + self._rollout(rest)

    def rate(self, group: int, step: int) -> float:
        """Bits per cost of a step on a set."""
        parts = self.split(group, step)
        if len(parts) < 2:
            return 0.0
        return (self._entropy(group) - sum(self.mass(p) / self.mass(group) * self._entropy(p) for p in parts)) / max(
            self.cost[step], 1e-9
        )

    def _entropy(self, group: int) -> float:
        mass = self.mass(group)
        return entropy([mass - self.mass(self.without(group, answer)) for answer in self.answers(group)]) if mass > 0 else 0.0


def _named_masks(labels: Sequence[int]) -> dict[int, int]:
    """Label -> the hypotheses that have it, as bits."""
    found: dict[int, int] = {}
    for index, label in enumerate(labels):
        found[label] = found.get(label, 0) | 1 << index
    return found


def _masks(labels: Sequence[int]) -> tuple[int, ...]:
    return tuple(_named_masks(labels).values())


class _TooLarge(Exception):
    """The exact search would visit too many sets."""


def expected_cost(plan: Plan) -> float:
    """Give the least expected cost of a table.

    Parameters
    ----------
    plan : Plan
        The table.

    Returns
    -------
    float
        In the unit of its costs, per unit of weight.
    """
    return plan.best().cost


def greedy_cost(plan: Plan) -> float:
    """Give the expected cost of going by information per cost alone, for comparison.

    Parameters
    ----------
    plan : Plan
        The table.

    Returns
    -------
    float
        In the unit of its costs, per unit of weight.
    """
    total = plan.mass(plan.everything) or 1.0
    return plan._rollout(plan.everything) / total
