"""From harness to branches: what each lead and part is, electrically.

Each kind of part brings its own small function. Nothing here depends on the setting; a branch only
says what decides whether it conducts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from ohmtrail.harness import parts as P
from ohmtrail.harness.model import FRAME, Harness, Lead
from ohmtrail.harness.standards import resistance_ohm_per_m
from ohmtrail.units import Toleranced

__all__ = ["Branch", "branches_of", "lead_ohm", "usual_contacts"]

#: a sound crimp, ring or bullet on 1 mm² and less; larger ones have as much less; common practice, no source
JOINT_OHM = 0.005
#: a terminal that a part's own fixing earths, and a closed relay contact; common practice, no source
MOUNT_OHM, RELAY_OHM = 0.003, 0.010
#: spread (sigma of ln) of sound joints and contacts: 2 to 12 mΩ about 5; common practice, no source
CONTACT_SPREAD = 0.5
#: insulation of a sound lead against frame; OpenStax resistivities put hard rubber far above this
INSULATION_OHM = 2e9
#: a filament is about ten times colder than hot (see lamps in the standard tables)
COLD_RATIO = 0.1
#: silicon junction on an ohms range that stays below 0.7 V: megohms; common practice, no source
DIODE_DEAD_OHM = 5e6
#: what an unmeasured sealed module may show on an ohms range: anything from ohms to megohms
UNKNOWN_OHM = 30e3
UNKNOWN_SPREAD = 2.5
LAMP_SPREAD = 0.05
#: a battery on charge takes so many ohms for each that it delivers through: some 0.7 V more at a tenth of its
#: capacity, against 0.15 Ω for an ampere-hour on discharge; it depends on how full it is; common practice, no source
UPTAKE_RATIO, UPTAKE_SPREAD = 40.0, 0.5
LEAD_SPREAD = 0.08


#: nothing conducts better: beside a gigohm ordinary numbers tell no less apart; a metre of bar is worth more
LEAST_OHM = 1e-6


@dataclass(frozen=True)
class Branch:
    """One two-terminal element between two nodes.

    Attributes
    ----------
    id : str
        Such as ``stop-1`` (the lead), ``stop-1.from`` (its joint), ``head-plug.3`` (a contact).
    a, b : str
        Nodes; a source's volts are positive at ``a``.
    kind : str
        One of `branch_kinds.KINDS`.
    owner : str
        The lead or part it belongs to.
    ohm : float
        Resistance at work, ohm; for a filament its hot resistance.
    dead_ohm : float
        Resistance that an ohmmeter sees, ohm.
    spread, dead_spread : float
        Sigma of the natural logarithm of a sound one's resistance, at work and to the ohmmeter.
    volts : float
        Battery volts, rated volts of a filament, limit of a clamp or charger, volts delivered.
    turning : tuple of (str, float)
        Volts (RMS) by engine state, of a winding.
    henry, farad : float
        Inductance, capacitance.
    hertz : tuple of (str, float)
        Frequency by engine state.
    positions : frozenset of str
        Positions of the owner in which a switch contact is closed.
    follows : str
        Branch id of the relay coil, of the rectifier's ``load`` that a charger takes its volts from, or of the
        battery whose uptake it is.
    rests_closed : bool
        For a relay contact.
    factor : float
        For a charger: mean volts per RMS volt; for an uptake: ohms on charge for each ohm on discharge.
    """

    id: str
    a: str
    b: str
    kind: str
    owner: str
    ohm: float
    dead_ohm: float = math.nan
    spread: float = 0.0
    dead_spread: float = -1.0
    volts: float = 0.0
    turning: tuple[tuple[str, float], ...] = ()
    henry: float = 0.0
    farad: float = 0.0
    hertz: tuple[tuple[str, float], ...] = ()
    positions: frozenset[str] = field(default_factory=frozenset)
    follows: str = ""
    rests_closed: bool = False
    factor: float = 0.0

    def __post_init__(self) -> None:
        if math.isnan(self.dead_ohm):
            object.__setattr__(self, "dead_ohm", self.ohm)
        for name in ("ohm", "dead_ohm"):
            object.__setattr__(self, name, max(getattr(self, name), LEAST_OHM))
        if self.dead_spread < 0:
            object.__setattr__(self, "dead_spread", self.spread)


def lead_ohm(lead: Lead) -> float:
    """Give the resistance of a lead's conductor at 20 °C.

    Parameters
    ----------
    lead : Lead
        With its size, length and material, or a resistance of its own.

    Returns
    -------
    float
        Ohm; at least 10 µΩ, so that a lead of no length is still a lead.
    """
    if lead.resistance is not None:
        return max(lead.resistance.value, 1e-5)
    return max(resistance_ohm_per_m(lead.size_mm2, material=lead.material.replace("-", " ")) * lead.length_m, 1e-5)


def branches_of(harness: Harness) -> tuple[Branch, ...]:
    """Give every branch of a machine, in file order: leads with their joints, then parts.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    tuple of Branch
        Ids are unique.
    """
    found: list[Branch] = []
    for lead_id, lead in harness.leads.items():
        found += _lead(lead_id, lead)
    for part_id, part in harness.parts.items():
        found += _KINDS[part.kind](part_id, part, harness)
        for terminal, onto in part.mounts.items():
            node = f"{part_id}.{terminal}"
            found.append(Branch(f"{node}-mount", node, onto, "earth", part_id, MOUNT_OHM, spread=CONTACT_SPREAD))
    return tuple(found)


def _sigma(value: Toleranced) -> float:
    """A stated tolerance is taken as two sigma."""
    return math.log1p(value.tolerance) / 2.0


def usual_contacts(harness: Harness) -> tuple[tuple[str, float], ...]:
    """Give what sound contacts have that no key of a file sets.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    tuple of (str, float)
        What, in words, and ohm, nominal; only what the machine has.
    """
    parts = harness.parts.values()
    found = [("joint of a lead up to 1 mm²", JOINT_OHM)] if harness.leads else []
    found += [("terminal earthed by its part's fixing", MOUNT_OHM)] if any(part.mounts for part in parts) else []
    return (*found, *([("closed relay contact", RELAY_OHM)] if any(part.kind == "relay" for part in parts) else []))


def _lead(lead_id: str, lead: Lead) -> Iterator[Branch]:
    start, end = f"{lead_id}.from", f"{lead_id}.to"
    spread = _sigma(lead.resistance) if lead.resistance else LEAD_SPREAD
    joint_ohm = JOINT_OHM / max(lead.size_mm2, 1.0)
    yield Branch(start, lead.from_, start, "joint", lead_id, joint_ohm, spread=CONTACT_SPREAD)
    yield Branch(lead_id, start, end, "lead", lead_id, lead_ohm(lead), spread=spread)
    yield Branch(end, end, lead.to, "joint", lead_id, joint_ohm, spread=CONTACT_SPREAD)
    yield Branch(f"{lead_id}-insulation", start, FRAME, "insulation", lead_id, INSULATION_OHM, spread=0.5)


def _pair(part_id: str, pair: tuple[str, str]) -> tuple[str, str]:
    return f"{part_id}.{pair[0]}", f"{part_id}.{pair[1]}"


def _battery(name: str, part: P.Battery, harness: Harness) -> Iterator[Branch]:
    ohm, volts = part.resistance.value, part.volts_at("volts", harness.supply.nominal)
    yield Branch(name, f"{name}.+", f"{name}.-", "battery", name, ohm, spread=_sigma(part.resistance), volts=volts)
    yield Branch(
        f"{name}-uptake",
        f"{name}.+",
        f"{name}.-",
        "uptake",
        name,
        ohm,
        math.inf,
        UPTAKE_SPREAD,
        volts=volts,
        follows=name,
        factor=UPTAKE_RATIO,
    )


def _fuse(name: str, part: P.Fuse, _: Harness) -> Iterator[Branch]:
    # cold resistance of glass fuses: about 0.09 V of drop at rated current (AGX data sheet, 5 to 30 A)
    yield Branch(name, f"{name}.1", f"{name}.2", "fuse", name, 0.09 / part.rating + 0.004, spread=0.3)


def _switch(name: str, part: P.Switch, _: Harness) -> Iterator[Branch]:
    joined: dict[tuple[str, str], set[str]] = {}
    for position, pairs in part.positions.items():
        for pair in pairs:
            joined.setdefault(tuple(sorted(pair)), set()).add(position)  # type: ignore[arg-type]  # two words sort to two words
    for pair, positions in joined.items():
        a, b = _pair(name, pair)
        yield Branch(
            f"{name}.{pair[0]}-{pair[1]}", a, b, "switch", name, part.resistance, spread=CONTACT_SPREAD, positions=frozenset(positions)
        )


def _connector(name: str, part: P.Connector, _: Harness) -> Iterator[Branch]:
    for cavity in part.cavities:
        yield Branch(f"{name}.{cavity}", f"{name}.{cavity}a", f"{name}.{cavity}b", "contact", name, part.resistance, spread=CONTACT_SPREAD)


def _earth(name: str, part: P.Earth, _: Harness) -> Iterator[Branch]:
    yield Branch(f"{name}-earth", name, part.on, "earth", name, part.resistance, spread=CONTACT_SPREAD)


def _metal(name: str, part: P.Metal, _: Harness) -> Iterator[Branch]:
    if part.bolted_to is not None:
        yield Branch(f"{name}-bolts", name, part.bolted_to, "earth", name, part.resistance, spread=CONTACT_SPREAD)


def _nothing(name: str, part: P.Splice, _: Harness) -> Iterator[Branch]:
    yield from ()


def _lamp(name: str, part: P.Lamp, harness: Harness) -> Iterator[Branch]:
    for filament, item in part.all_filaments().items():
        a, b = _pair(name, item.between)
        volts = item.volts or part.volts or harness.supply.nominal
        hot = volts**2 / item.watts
        label = name if filament == "filament" and not part.filaments else f"{name}.{filament}"
        yield Branch(label, a, b, "filament", name, hot, hot * COLD_RATIO, LAMP_SPREAD, 0.1, volts)


def _load(name: str, part: P.Horn | P.Resistor | P.Motor, _: Harness) -> Iterator[Branch]:
    a, b = _pair(name, part.between)
    yield Branch(name, a, b, "resistor", name, part.resistance.value, spread=_sigma(part.resistance))


def _coil(name: str, part: P.Coil, _: Harness) -> Iterator[Branch]:
    for label, item in (("primary", part.primary), ("secondary", part.secondary)):
        a, b = _pair(name, item.between)
        yield Branch(f"{name}.{label}", a, b, "coil", name, item.resistance.value, spread=_sigma(item.resistance))


def _winding(name: str, part: P.Winding, _: Harness) -> Iterator[Branch]:
    a, b = _pair(name, part.between)
    yield Branch(
        name,
        a,
        b,
        "winding",
        name,
        part.resistance.value,
        spread=_sigma(part.resistance),
        turning=(("cranking", part.volts.cranking), ("running", part.volts.running)),
        henry=part.inductance,
        hertz=(("cranking", part.frequency.cranking), ("running", part.frequency.running)),
    )


#: mean of a rectified sine per RMS volt: 2 sqrt(2)/pi full wave, half of it half wave (LIEC AC ch. 3)
_MEAN = {"full": 2.0 * math.sqrt(2.0) / math.pi, "half": math.sqrt(2.0) / math.pi}


def _rectifier(name: str, part: P.Rectifier, _: Harness) -> Iterator[Branch]:
    in1, in2 = _pair(name, part.input)
    plus, minus = _pair(name, part.output)
    pairs = [(in1, plus)] if part.wave == "half" else [(in1, plus), (in2, plus), (minus, in1), (minus, in2)]
    for anode, cathode in dict.fromkeys(pairs):
        label = f"{name}.{anode.rpartition('.')[2]}-{cathode.rpartition('.')[2]}"
        yield Branch(label, anode, cathode, "diode", name, 0.05, DIODE_DEAD_OHM, dead_spread=1.0)
    load = f"{name}.load"
    yield Branch(load, in1, in2, "load", name, part.load.value, math.inf, spread=_sigma(part.load))
    yield Branch(
        f"{name}.charge",
        plus,
        minus,
        "charger",
        name,
        part.resistance.value,
        math.inf,
        _sigma(part.resistance),
        volts=part.limits if part.limits is not None else math.inf,
        follows=load,
        factor=_MEAN[part.wave],
    )


def _regulator(name: str, part: P.Regulator, _: Harness) -> Iterator[Branch]:
    a, b = _pair(name, part.between)
    yield Branch(name, a, b, "clamp", name, part.resistance.value, 2e6, _sigma(part.resistance), 1.0, part.limits)


def _alternator(name: str, part: P.Alternator, harness: Harness) -> Iterator[Branch]:
    spread, volts = _sigma(part.resistance), part.volts_at("limits", harness.supply.nominal)
    for terminal, ohm in (("B+", part.resistance.value), ("D+", 0.5)):
        # with the plus at the frame it is the live terminal that lies below
        a, b = (terminal, "31") if harness.supply.earthed == "negative" else ("31", terminal)
        yield Branch(f"{name}.{terminal}", f"{name}.{a}", f"{name}.{b}", "charger", name, ohm, math.inf, spread, volts=volts)
    yield Branch(f"{name}.field", f"{name}.D+", f"{name}.31", "resistor", name, part.field.value, spread=_sigma(part.field))


def _relay(name: str, part: P.Relay, harness: Harness) -> Iterator[Branch]:
    coil, pulls_at = f"{name}.coil", part.volts_at("pulls_at", harness.supply.nominal)
    a, b = _pair(name, part.coil)
    yield Branch(coil, a, b, "coil", name, part.resistance.value, spread=_sigma(part.resistance))
    for item in part.contacts:
        a, b = _pair(name, item.between)
        closed = item.rests == "closed"
        label = f"{name}.{item.between[0]}-{item.between[1]}"
        yield Branch(
            label, a, b, "relay-contact", name, RELAY_OHM, RELAY_OHM if closed else math.inf, CONTACT_SPREAD, volts=pulls_at, follows=coil, rests_closed=closed
        )


def _flasher(name: str, part: P.Flasher, _: Harness) -> Iterator[Branch]:
    a, b = _pair(name, part.between)
    yield Branch(name, a, b, "resistor", name, part.resistance, spread=0.3)


def _diode(name: str, part: P.Diode, _: Harness) -> Iterator[Branch]:
    a, b = _pair(name, part.between)
    yield Branch(name, a, b, "diode", name, 0.05, DIODE_DEAD_OHM, dead_spread=1.0)


def _capacitor(name: str, part: P.Capacitor, _: Harness) -> Iterator[Branch]:
    a, b = _pair(name, part.between)
    yield Branch(name, a, b, "capacitor", name, math.inf, farad=part.capacitance)


def _plug(name: str, part: P.SparkPlug, _: Harness) -> Iterator[Branch]:
    yield Branch(f"{name}.gap", f"{name}.HT", f"{name}.31", "resistor", name, 1e9, spread=0.5)


def _module(name: str, part: P.Module, _: Harness) -> Iterator[Branch]:
    for item in part.inside:
        a, b = _pair(name, item.between)
        label = f"{name}.{item.between[0]}-{item.between[1]}"
        if isinstance(item.ohms, str):
            dead, spread = UNKNOWN_OHM, UNKNOWN_SPREAD
        else:
            dead, spread = item.ohms.value, _sigma(item.ohms)
        yield Branch(label, a, b, "inside", name, item.live.value, dead, _sigma(item.live), spread)
    if part.delivers is not None:
        a, b = _pair(name, part.delivers.between)
        yield Branch(f"{name}.delivers", a, b, "delivers", name, part.delivers.resistance, math.inf, 0.1, volts=part.delivers.volts)


_KINDS: dict[str, Callable[..., Iterator[Branch]]] = {
    "battery": _battery,
    "fuse": _fuse,
    "switch": _switch,
    "points": _switch,
    "connector": _connector,
    "splice": _nothing,
    "earth": _earth,
    "metal": _metal,
    "lamp": _lamp,
    "horn": _load,
    "resistor": _load,
    "motor": _load,
    "coil": _coil,
    "winding": _winding,
    "rectifier": _rectifier,
    "regulator": _regulator,
    "alternator": _alternator,
    "dynamo": _alternator,
    "relay": _relay,
    "flasher": _flasher,
    "diode": _diode,
    "capacitor": _capacitor,
    "spark-plug": _plug,
    "module": _module,
}
