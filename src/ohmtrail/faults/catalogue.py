"""Every fault a machine can have: one small function for each class of element."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from ohmtrail.circuit import Change, Mode, Network
from ohmtrail.circuit.branches import Branch
from ohmtrail.faults.fault import Fault, Mend
from ohmtrail.faults.rates import Says, contact_factor, lead_factor, part_factor
from ohmtrail.faults.tables import Kind, factor, kinds_of, mend_work
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Connector

__all__ = ["SEVERITY", "earth_name", "faults_of"]

#: stands in a change for the severity that is drawn
SEVERITY = -1.0
#: chance that a close look shows crossed leads of one colour, or of colours that the file does not give; common practice, no source
SAME_COLOUR = 0.1


def faults_of(network: Network, *, year: int) -> tuple[Fault, ...]:
    """List every single fault of a machine.

    Parameters
    ----------
    network : Network
        Its circuit.
    year : int
        The year in which it stands on the bench, for the age of its leads and parts.

    Returns
    -------
    tuple of Fault
        Sorted as the harness file is; ids are unique.
    """
    found: list[Fault] = []
    for branch in network.branches:
        maker = _MAKERS.get(branch.kind)
        if maker is not None:
            found += maker(network.harness, branch, year)
    found += _lead_neighbours(network.harness, year)
    found += _connector_faults(network.harness, year)
    unique: dict[str, Fault] = {}
    for fault in found:
        unique.setdefault(fault.id, fault)
    return tuple(unique.values())


def _mend(element_class: str, name: str, places: tuple[str | None, ...]) -> Mend:
    work = mend_work(element_class)
    real = tuple(dict.fromkeys(place for place in places if place is not None))
    return Mend(f"{work.words} {name}", name, work.minutes, real, work.vain)


def _make(kind: Kind, name: str, changes: tuple[Change, ...], rate: float, mend: Mend, *, place: str | None = None, tail: str = "", other: str = "") -> Fault:
    tail = tail or (f" {other}" if other else "")
    words = f"{name} {kind.words}{tail}"
    where = place or (mend.places[0] if mend.places else "")
    return Fault(f"{name} {kind.kind}{tail}", name, kind.kind, words, changes, kind.low, kind.high, kind.rate * rate, kind.look, mend, place=where, other=other)


def _series(branch: str, kind: Kind) -> tuple[Change, ...]:
    return (Change(Mode.SERIES, branch, value=SEVERITY),) if kind.high else (Change(Mode.SERIES, branch),)


def _shunt(a: str, b: str) -> tuple[Change, ...]:
    return (Change(Mode.SHUNT, a=a, b=b, value=SEVERITY),)


# ---- leads and joints ----


def _flex(harness: Harness, lead_id: str) -> tuple[str, ...]:
    loom = harness.leads[lead_id].loom
    return harness.looms[loom].flexes_at if loom else ()


def _lead(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    lead, name = harness.leads[branch.id], branch.id
    ends = (harness.place_of(f"{name}.from"), harness.place_of(f"{name}.to"))
    if name in harness.high_tension:
        yield from _ht_lead(harness, name, ends)
        return
    mend = _mend("lead", name, ends)
    flex = _flex(harness, name)
    place = (*flex, *ends)[0]
    for kind in kinds_of("lead"):
        rate = lead_factor(harness, name, kind.kind, year)
        if kind.kind in ("open", "high"):
            yield _make(kind, name, _series(name, kind), rate, mend, place=place)
        elif kind.kind == "leak":
            yield _make(kind, name, _shunt(branch.a, FRAME), rate, mend, place=place)
        elif kind.kind == "leak-at-volts" and lead.ignition_stop:
            yield _make(kind, name, (Change(Mode.STRESS, a=branch.a, b=FRAME, value=SEVERITY),), rate, mend, place=place)
        elif kind.kind in ("moving-open", "moving-leak"):
            changes = _series(name, kind) if kind.kind == "moving-open" else _shunt(branch.a, FRAME)
            for spot in flex:
                fault = _make(kind, name, changes, rate / len(flex), mend, place=spot, tail=f" ({spot})")
                yield replace(fault, moves_at=spot, words=f"{name} {kind.words} at {spot}")


def _ht_lead(harness: Harness, name: str, ends: tuple[str | None, str | None]) -> Iterator[Fault]:
    mend = _mend("ht-lead", name, ends)
    gaps = [f"{part}.gap" for part, item in harness.parts.items() if item.kind == "spark-plug"]
    far = {harness.leads[name].from_.partition(".")[0], harness.leads[name].to.partition(".")[0]}
    own = [gap for gap in gaps if gap.rpartition(".")[0] in far] or gaps
    for kind in kinds_of("ht-lead"):
        changes = _series(name, kind) if kind.kind == "open" else tuple(Change(Mode.FLAG, gap) for gap in own)
        yield _make(kind, name, changes, part_factor(Says.of(harness.leads[name]), 0), mend)


def _joint(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    place = harness.place_of(branch.id)
    mend = _mend("joint", branch.id, (place,))
    rate = contact_factor(harness, Says.of(harness.leads[branch.owner]), place, year)
    for kind in kinds_of("joint"):
        yield _make(kind, branch.id, _series(branch.id, kind), rate, mend)


def _lead_neighbours(harness: Harness, year: int) -> Iterator[Fault]:
    """Each lead of a loom against the next two in the file that are not fixed to the same terminal."""
    for loom in harness.looms:
        members = [name for name, lead in harness.leads.items() if lead.loom == loom and name not in harness.high_tension]
        for index, first in enumerate(members):
            for second in members[index + 1 : index + 3]:
                one, two = harness.leads[first], harness.leads[second]
                if {one.from_, one.to} & {two.from_, two.to}:
                    continue
                kind = next(item for item in kinds_of("lead") if item.kind == "neighbour")
                mend = _mend("lead", f"{first} and {second}", (harness.place_of(f"{first}.from"), harness.place_of(f"{first}.to")))
                rate = lead_factor(harness, first, kind.kind, year)
                yield _make(kind, first, _shunt(f"{first}.from", f"{second}.from"), rate, mend, other=second)


# ---- contacts, earths ----


def _contact(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    part = harness.parts[branch.owner]
    mend = _mend("contact", branch.id, (part.at,))
    rate = contact_factor(harness, Says.of(part), part.at, year)
    for kind in kinds_of("contact"):
        if kind.kind in ("open", "high"):
            yield _make(kind, branch.id, _series(branch.id, kind), rate, mend)


def _connector_faults(harness: Harness, year: int) -> Iterator[Fault]:
    """Leaks between neighbouring cavities, and leads crossed between two cavities."""
    neighbour, crossed = (next(k for k in kinds_of("contact") if k.kind == word) for word in ("neighbour", "crossed"))
    for name, part in harness.parts.items():
        if not isinstance(part, Connector):
            continue
        rate = contact_factor(harness, Says.of(part), part.at, year)
        for first, second in zip(part.cavities, part.cavities[1:], strict=False):
            one, two = f"{name}.{first}", f"{name}.{second}"
            mend = _mend("contact", f"{one} and {two}", (part.at,))
            yield _make(neighbour, one, _shunt(f"{one}a", f"{two}a"), rate, mend, other=two)
        cavities = [(a, b) for i, a in enumerate(part.cavities) for b in part.cavities[i + 1 :]]
        worked_on = factor("crossed", "altered") if part.altered is not None else 1.0
        for first, second in cavities:
            yield from _crossed(harness, name, part, first, second, crossed, worked_on)


def _crossed(harness: Harness, name: str, part: Connector, first: str, second: str, kind: Kind, rate: float) -> Iterator[Fault]:
    for side in "ab":
        here, there = f"{name}.{first}{side}", f"{name}.{second}{side}"
        one, two = harness.leads_at.get(here, ()), harness.leads_at.get(there, ())
        if len(one) != 1 or len(two) != 1:
            continue
        lead, other = one[0].rpartition(".")[0], two[0].rpartition(".")[0]
        changes = (
            Change(Mode.SERIES, one[0]),
            Change(Mode.SERIES, two[0]),
            Change(Mode.SHUNT, a=one[0], b=there, value=0.005),
            Change(Mode.SHUNT, a=two[0], b=here, value=0.005),
        )
        mend = _mend("crossed", f"{lead} and {other} at {name}", (part.at,))
        mend = replace(mend, id=f"put right {lead} and {other}, crossed at {name}")
        fault = _make(kind, lead, changes, rate, mend, other=other)
        if harness.leads[lead].colour == harness.leads[other].colour:
            fault = replace(fault, look=SAME_COLOUR)
        words = f"{lead} and {other} are crossed at {name} ({first}{side} and {second}{side})"
        # the same two leads crossed on either side do the same to the circuit: one answer
        yield replace(fault, id=f"{lead} crossed {other} at {name}", words=words, place=part.at)
        return


def earth_name(branch: str) -> str:
    """Give what an earth is called by, from the id of its branch; any other id is given back.

    Parameters
    ----------
    branch : str
        Id of a branch.

    Returns
    -------
    str
        Such as ``E5``.
    """
    return branch.removesuffix("-earth").removesuffix("-bolts").removesuffix("-mount")


def _earth(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    part = harness.parts[branch.owner]
    name = earth_name(branch.id)
    mend = _mend("earth", name, (part.at,))
    rate = contact_factor(harness, Says.of(part), part.at, year)
    for kind in kinds_of("earth"):
        yield _make(kind, name, _series(branch.id, kind), rate, mend, tail=" to earth" if branch.id.endswith("-mount") else "")


# ---- parts ----

PartChanges = Callable[[Branch, Kind], tuple[Change, ...] | None]


def _part(element: str, changes: PartChanges) -> Callable[[Harness, Branch, int], Iterator[Fault]]:
    """A maker of faults for parts whose branches are of one kind."""

    def make(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
        part = harness.parts[branch.owner]
        name = branch.id if element in ("filament", "switch") else branch.owner
        element_class = "points" if part.kind == "points" else element
        mend = _mend(element_class, branch.owner, (part.at,))
        for kind in kinds_of(element_class):
            made = changes(branch, kind)
            if made is not None:
                tail = f" {branch.id.rpartition('.')[2]}" if element == "rectifier" and kind.kind == "short" else ""
                yield _make(kind, name, made, part_factor(Says.of(part), year), mend, tail=tail)

    return make


def _switch(branch: Branch, kind: Kind) -> tuple[Change, ...]:
    return _shunt(branch.a, branch.b) if kind.kind == "closed" else _series(branch.id, kind)


def _plain(branch: Branch, kind: Kind) -> tuple[Change, ...]:
    return _series(branch.id, kind)


def _filament(branch: Branch, _: Kind) -> tuple[Change, ...]:
    return (Change(Mode.KILL, branch.id),)


def _winding(branch: Branch, kind: Kind) -> tuple[Change, ...]:
    if kind.kind == "open":
        return _series(branch.id, kind)
    if kind.kind == "turns":
        return (Change(Mode.SCALE, branch.id, value=SEVERITY),)
    return _shunt(branch.a, FRAME)


def _coil(branch: Branch, kind: Kind) -> tuple[Change, ...] | None:
    label = branch.id.rpartition(".")[2]
    if label == "coil":
        return None
    if kind.kind == "dead":
        return (Change(Mode.FLAG, branch.id),) if label == "secondary" else None
    return _series(branch.id, kind) if kind.kind == label else None


def _relay_coil(branch: Branch, kind: Kind) -> tuple[Change, ...] | None:
    return _series(branch.id, kind) if kind.kind == "coil" else None


def _coil_or_relay(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    element, changes = ("relay", _relay_coil) if branch.id.endswith(".coil") else ("coil", _coil)
    yield from _part(element, changes)(harness, branch, year)


def _relay_contact(branch: Branch, kind: Kind) -> tuple[Change, ...] | None:
    if kind.kind == "open":
        return (Change(Mode.KILL, branch.id),)
    return _shunt(branch.a, branch.b) if kind.kind == "closed" else None


def _battery(branch: Branch, kind: Kind) -> tuple[Change, ...]:
    if kind.kind == "flat":
        return (Change(Mode.EMF, branch.id, value=SEVERITY),)
    return _series(branch.id, kind)


def _module(branch: Branch, kind: Kind) -> tuple[Change, ...] | None:
    return (Change(Mode.KILL, branch.id),) if kind.kind == "dead" else None


def _inside(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    """A short inside a sealed module, at each terminal that leads out to the frame side."""
    part = harness.parts[branch.owner]
    kind = next(item for item in kinds_of("module") if item.kind == "stop-short")
    mend = _mend("module", branch.owner, (part.at,))
    a, b = branch.a.rpartition(".")[2], branch.b.rpartition(".")[2]
    yield _make(kind, branch.owner, _shunt(branch.a, branch.b), part_factor(Says.of(part), year), mend, tail=f" {a}-{b}")


def _charger(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    if branch.follows:
        yield from _part("rectifier", lambda b, k: (Change(Mode.KILL, b.id),) if k.kind == "dead" else None)(harness, branch, year)
    elif branch.id.endswith("B+"):
        both = (Change(Mode.KILL, branch.id), Change(Mode.KILL, f"{branch.owner}.D+"))
        yield from _part("alternator", lambda _, __: both)(harness, branch, year)


def _junction(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    if harness.parts[branch.owner].kind == "rectifier":
        yield from _part("rectifier", lambda b, k: _shunt(b.a, b.b) if k.kind == "short" else None)(harness, branch, year)
    else:
        yield from _part("diode", lambda b, k: (Change(Mode.KILL, b.id),) if k.kind == "open" else _shunt(b.a, b.b))(harness, branch, year)


def _clamp(branch: Branch, kind: Kind) -> tuple[Change, ...]:
    return _shunt(branch.a, branch.b) if kind.kind == "short" else (Change(Mode.KILL, branch.id),)


def _resistor(harness: Harness, branch: Branch, year: int) -> Iterator[Fault]:
    kind = harness.parts[branch.owner].kind
    if kind == "spark-plug":
        yield from _part("spark-plug", _plug)(harness, branch, year)
    elif kind == "flasher":
        yield from _part("flasher", _plain)(harness, branch, year)
    elif kind in ("horn", "motor", "resistor"):
        yield from _part("load", _plain)(harness, branch, year)


def _plug(branch: Branch, kind: Kind) -> tuple[Change, ...]:
    flag = (Change(Mode.FLAG, branch.id),)
    return flag if kind.kind == "worn" else (*flag, *_shunt(branch.a, branch.b))


_MAKERS: dict[str, Callable[[Harness, Branch, int], Iterator[Fault]]] = {
    "lead": _lead,
    "joint": _joint,
    "contact": _contact,
    "earth": _earth,
    "switch": _part("switch", _switch),
    "fuse": _part("fuse", _plain),
    "filament": _part("filament", _filament),
    "winding": _part("winding", _winding),
    "coil": _coil_or_relay,
    "relay-contact": _part("relay", _relay_contact),
    "battery": _part("battery", _battery),
    "delivers": _part("module", _module),
    "inside": _inside,
    "charger": _charger,
    "diode": _junction,
    "clamp": _part("regulator", _clamp),
    "resistor": _resistor,
    "capacitor": _part("capacitor", lambda b, k: _shunt(b.a, b.b)),
}
