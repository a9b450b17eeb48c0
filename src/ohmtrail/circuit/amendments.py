"""Single changes to a file: a lead more, two leads with their ends exchanged, an end moved to a bare terminal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from ohmtrail.circuit.changes import Change, Mode
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Connector, Earth, Metal, Splice

__all__ = ["Amendment", "amendments", "likeness"]

#: changes of one kind that are tried at most; beyond that only leads that share a part are exchanged. Own choice: some
#: seconds
MOST_TRIED = 25_000
#: ohms of a lead that the file does not have; common practice, no source
_LEAD_OHM = 0.01


@dataclass(frozen=True)
class Amendment:
    """One change to a file.

    Attributes
    ----------
    leads : tuple of str
        The leads that would run otherwise; none where one is to be added.
    joins : tuple of (str, str)
        The terminals that each of them, or the added one, would run between.
    """

    leads: tuple[str, ...]
    joins: tuple[tuple[str, str], ...]

    @property
    def ends(self) -> tuple[str, ...]:
        """Every terminal concerned."""
        return tuple(dict.fromkeys(end for pair in self.joins for end in pair))

    def changes(self, harness: Harness) -> tuple[Change, ...]:
        """What the change does to the circuit."""
        cut = (Change(Mode.SERIES, name) for name in self.leads)
        return (*cut, *(Change(Mode.SHUNT, a=a, b=b, value=_LEAD_OHM) for a, b in self.joins))

    def words(self) -> str:
        """Say it, as after "with"."""
        if not self.leads:
            return f"a lead from {self.joins[0][0]} to {self.joins[0][1]}"
        return " and ".join(f"{name} from {a} to {b}" for name, (a, b) in zip(self.leads, self.joins, strict=True))


def amendments(harness: Harness) -> Iterator[list[Amendment]]:
    """Give single changes, kind by kind, those that show in the file itself first.

    Parameters
    ----------
    harness : Harness
        The file.

    Yields
    ------
    list of Amendment
        A lead between two terminals that have none; between one that has none and any; two leads with their ends
        exchanged; an end moved to a terminal that has none; a lead between any two.
    """
    bare, every = _bare(harness), [*_terminals(harness), FRAME]
    yield [_added(a, b) for a, b in combinations(bare, 2)]
    yield [_added(a, b) for a in bare for b in every if b not in bare]
    yield list(_exchanged(harness))
    yield [_moved(harness, name, end, to) for name in _plain(harness) for end in (0, 1) for to in bare][:MOST_TRIED]
    pairs = list(combinations(every, 2))
    yield [_added(a, b) for a, b in pairs] if len(pairs) <= MOST_TRIED else []


def likeness(harness: Harness, amendment: Amendment) -> float:
    """Say how well a change suits the colours and the terminals, to rank by.

    Parameters
    ----------
    harness : Harness
        The file.
    amendment : Amendment
        A change.

    Returns
    -------
    float
        One more for each end that comes to a lead of its own colour, one less for each that comes away from one;
        something for leads that share a part, and for terminals that take any number of leads.
    """
    if not amendment.leads:
        a, b = amendment.joins[0]
        same = bool(_colours(harness, a, "") & _colours(harness, b, ""))
        crowded = sum(_crowd(harness, end) for end in amendment.ends)
        return float(same) - 0.5 * crowded
    gained = 0.0
    for name, pair in zip(amendment.leads, amendment.joins, strict=True):
        colour, lead = harness.leads[name].colour, harness.leads[name]
        if colour:
            gained += sum(colour in _colours(harness, end, name) for end in pair)
            gained -= sum(colour in _colours(harness, end, name) for end in (lead.from_, lead.to))
    return gained + 0.5 * (len(amendment.leads) > 1 and _beside(harness, *amendment.leads))


def _added(a: str, b: str) -> Amendment:
    return Amendment((), ((a, b),))


def _moved(harness: Harness, name: str, end: int, to: str) -> Amendment:
    lead = harness.leads[name]
    return Amendment((name,), ((lead.from_, to) if end else (to, lead.to),))


def _exchanged(harness: Harness) -> Iterator[Amendment]:
    pairs = list(combinations(_plain(harness), 2))
    if 2 * len(pairs) > MOST_TRIED:
        pairs = [pair for pair in pairs if _beside(harness, *pair)][: MOST_TRIED // 2]
    for one, two in pairs:
        first, second = harness.leads[one], harness.leads[two]
        for joins in (((first.from_, second.to), (second.from_, first.to)), ((first.from_, second.from_), (first.to, second.to))):
            if all(a != b for a, b in joins):
                yield Amendment((one, two), joins)


def _plain(harness: Harness) -> list[str]:
    """Leads that may be taken for one another: no plug leads."""
    return [name for name in harness.leads if name not in harness.high_tension]


def _terminals(harness: Harness) -> list[str]:
    return [name for name in harness.terminals if name != FRAME]


def _bare(harness: Harness) -> list[str]:
    """Terminals that no lead and no mount reaches; of connectors only those with a lead across, and lone ends at splices."""
    mounted = {f"{name}.{terminal}" for name, part in harness.parts.items() for terminal in part.mounts}
    found = []
    for terminal in _terminals(harness):
        owner, name = harness.terminals[terminal]
        part, here = harness.parts.get(owner), len(harness.leads_at.get(terminal, ()))
        if isinstance(part, Splice):
            found += [terminal] * (here < 2)
        elif isinstance(part, Connector):
            found += [terminal] * (not here and _across(owner, name) in harness.leads_at)
        elif not here and terminal not in mounted and not isinstance(part, Metal):
            found.append(terminal)
    return found


def _across(owner: str, name: str) -> str:
    return f"{owner}.{name[:-1]}{'b' if name.endswith('a') else 'a'}"


def _colours(harness: Harness, terminal: str, but: str) -> set[str]:
    """Colours of the leads at a terminal and across its cavity."""
    owner, name = harness.terminals.get(terminal, ("", ""))
    at = [terminal, *([_across(owner, name)] if isinstance(harness.parts.get(owner), Connector) else [])]
    leads = {harness.lead_ends[end][0] for point in at for end in harness.leads_at.get(point, ())} - {but}
    return {colour for lead in leads if (colour := harness.leads[lead].colour)}


def _crowd(harness: Harness, terminal: str) -> int:
    """How much is fixed there already, where little would be expected: leads, and the case of a part."""
    owner, name = harness.terminals.get(terminal, ("", ""))
    part = harness.parts.get(owner)
    if part is None or isinstance(part, Splice | Earth):
        return 0
    return len(harness.leads_at.get(terminal, ())) + (name in part.mounts or isinstance(part, Metal))


def _beside(harness: Harness, one: str, two: str) -> bool:
    """Whether two leads share a part."""
    parts = [{harness.terminals.get(end, ("", ""))[0] for end in (harness.leads[name].from_, harness.leads[name].to)} for name in (one, two)]
    return bool((parts[0] & parts[1]) - {"", FRAME})
