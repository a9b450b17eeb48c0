"""What to renew whatever the meter says, what original wiring can stay, and what each costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Literal

import yaml

from ohmtrail.faults import Fault, Mend
from ohmtrail.harness.model import FRAME, Harness, Lead
from ohmtrail.harness.parts import Part

__all__ = ["VERDICTS", "Advice", "Verdict", "advice_of"]

Verdict = Literal["regardless", "unless-original", "watch", "sound"]
#: from the strongest on
VERDICTS: tuple[Verdict, ...] = ("regardless", "unless-original", "watch", "sound")

#: a fault's chance from which what was measured speaks for renewing its element
MEASURED_BAD = 0.5
#: an element of which readings inside their bands would have noticed so much of its odds is sound as far as they go
MEASURED_SOUND = 0.8


@dataclass(frozen=True)
class Advice:
    """What to do about one lead or part.

    Attributes
    ----------
    element : str
        Its id.
    verdict : str
        ``regardless``: renew; ``unless-original``: renew if original papers do not matter; ``watch``: keep and
        watch; ``sound``.
    reason, source : str
        Why, and where that is from.
    original : bool
        Whether the harness marks it as original.
    minutes : float
        What renewing takes with every place closed before, minute.
    age : int or None
        Years, None where nothing says.
    """

    element: str
    verdict: Verdict
    reason: str
    source: str
    original: bool
    minutes: float
    age: int | None


@dataclass(frozen=True)
class _Facts:
    """What a rule asks of a lead or part."""

    on: str
    age: int | None
    born: int | None
    says: Mapping[str, str]


@cache
def _rules() -> tuple[Mapping[str, Any], ...]:
    text = resources.files("ohmtrail.survey").joinpath("data/renewal.yaml").read_text(encoding="utf-8")
    return tuple(yaml.load(text, Loader=yaml.BaseLoader)["rules"])  # BaseLoader reads text only


_ASKED = frozenset({"on", "age", "from", "to", "verdict", "safety", "reason", "source"})


def _rule_for(facts: _Facts) -> Mapping[str, Any] | None:
    return next((rule for rule in _rules() if _fits(rule, facts)), None)


def _fits(rule: Mapping[str, Any], facts: _Facts) -> bool:
    if rule["on"] != facts.on or facts.age is None or facts.born is None or facts.age < int(rule["age"]):
        return False
    if not int(rule.get("from", 0)) <= facts.born <= int(rule.get("to", 9999)):
        return False
    return all(facts.says.get(key) == value for key, value in rule.items() if key not in _ASKED)


def _born(harness: Harness, item: Lead | Part) -> int | None:
    return item.renewed or item.made or harness.made


def _lead_facts(harness: Harness, name: str, year: int) -> _Facts:
    lead = harness.leads[name]
    loom = harness.looms.get(lead.loom or "")
    ends = [harness.terminals[point][0] for point in (lead.from_, lead.to)]
    places = {harness.place_of(f"{name}.from"), harness.place_of(f"{name}.to"), *(loom.passes if loom else ())}
    says = {
        "ignition_stop": _word(lead.ignition_stop),
        "high_tension": _word(name in harness.high_tension),
        "covering": lead.covering or (loom.covering if loom and loom.covering else "unknown"),
        "flexes": _word(bool(loom and loom.flexes_at)),
        "hot": _word(any(harness.places[place].hot for place in places if place)),
        "strap": _word(all(end == FRAME or harness.parts[end].kind in ("earth", "metal") for end in ends)),
    }
    born = _born(harness, lead)
    return _Facts("lead", None if born is None else year - born, born, says)


def _part_facts(harness: Harness, name: str, year: int) -> _Facts:
    part = harness.parts[name]
    born = _born(harness, part)
    return _Facts(part.kind, None if born is None else year - born, born, {"wet": _word(harness.places[part.at].wet)})


def _word(value: bool) -> str:
    return "yes" if value else "no"


def _milder(verdict: Verdict) -> Verdict:
    return VERDICTS[min(VERDICTS.index(verdict) + 1, VERDICTS.index("watch"))]


def advice_of(
    harness: Harness,
    faults: tuple[Fault, ...],
    *,
    year: int,
    noticed: Mapping[str, float] | None = None,
    suspected: Mapping[str, float] | None = None,
) -> tuple[Advice, ...]:
    """Say of every lead and part whether it is to be renewed.

    Parameters
    ----------
    harness : Harness
        The machine.
    faults : tuple of Fault
        Every single fault, for what mends take.
    year : int
        The year that ages are counted to.
    noticed : mapping of str to float, optional
        Element -> share of its odds that readings, taken and inside their bands, would have noticed.
    suspected : mapping of str to float, optional
        Element -> chance that it is what is wrong now.

    Returns
    -------
    tuple of Advice
        The strongest first; in the order of the harness file within a verdict.
    """
    mends: dict[str, Mend] = {}
    for fault in faults:
        mends.setdefault(fault.mend.element.partition(".")[0], fault.mend)
        if fault.element == fault.mend.element:
            mends[fault.element] = fault.mend
    named = (name for name in (*harness.leads, *harness.parts) if name in mends)
    made = [_advice(harness, name, mends[name], year, noticed or {}, suspected or {}) for name in named]
    return tuple(sorted(made, key=lambda item: VERDICTS.index(item.verdict)))


def _advice(
    harness: Harness, name: str, mend: Mend, year: int, noticed: Mapping[str, float], suspected: Mapping[str, float]
) -> Advice:
    is_lead = name in harness.leads
    item: Lead | Part = harness.leads[name] if is_lead else harness.parts[name]
    facts = _lead_facts(harness, name, year) if is_lead else _part_facts(harness, name, year)
    places = [place for place in mend.places if place in harness.places]
    minutes = mend.minutes + sum(harness.places[place].reach for place in places)

    def say(verdict: Verdict, reason: str, source: str) -> Advice:
        return Advice(name, verdict, reason, source, item.original, minutes, facts.age)

    if suspected.get(name, 0.0) >= MEASURED_BAD:
        return say("regardless", f"what was measured points at it ({100.0 * suspected[name]:.0f} %)", "the readings of this job")
    rule = _rule_for(facts)
    if rule is not None:
        verdict: Verdict = rule["verdict"]
        if item.original and rule.get("safety") != "yes":
            mild = _milder(verdict)
            return say(mild, f"{rule['reason']}; it is original" + (", so the advice is milder" if mild != verdict else ""), rule["source"])
        return say(verdict, rule["reason"], rule["source"])
    share = noticed.get(name)
    if share is not None and share >= MEASURED_SOUND:
        return say("sound", f"readings that would show {100.0 * share:.0f} % of what may be wrong with it were as on a sound machine", "the readings of this survey")
    return say("sound", "nothing that the harness says speaks against it", "the harness file")
