"""Findings about a usable harness that need no electricity: one small function per finding."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ohmtrail.errors import UnknownName
from ohmtrail.harness.conductors import guide_current_a
from ohmtrail.harness.findings import Finding
from ohmtrail.harness.fuses import fuse_kinds, standard_fuse_ratings_a
from ohmtrail.harness.markings import parse_colour
from ohmtrail.harness.model import FRAME, Harness, Lead
from ohmtrail.harness.parts import Connector, Fuse, Lamp, Metal, Module, Splice
from ohmtrail.units import quantity

__all__ = ["HARNESS_CHECKS", "Finding", "check_harness"]

#: letters and digits that are taken for one another on a drawing or a small screen
_ALIKE = str.maketrans({"O": "0", "o": "0", "I": "1", "l": "1", "_": "", "-": ""})
#: a bulb is of another supply when its rated volts are further off than this; common practice, no source
_OTHER_SUPPLY = 1.4


def check_harness(harness: Harness) -> tuple[Finding, ...]:
    """Run every check that needs no electricity.

    Parameters
    ----------
    harness : Harness
        A harness without mistakes.

    Returns
    -------
    tuple of Finding
        In the order of `HARNESS_CHECKS`.
    """
    return tuple(finding for check in HARNESS_CHECKS for finding in check(harness))


def _joined(harness: Harness) -> frozenset[str]:
    """Terminals that something is fixed to: a lead, a mount, the frame itself."""
    mounted = {f"{name}.{terminal}" for name, part in harness.parts.items() for terminal in part.mounts}
    return frozenset(harness.leads_at) | mounted | {FRAME}


def unused_cavities(harness: Harness) -> Iterator[Finding]:
    """Yield connector cavities without a lead on either side."""
    joined = _joined(harness)
    for name, part in harness.parts.items():
        if isinstance(part, Connector):
            for index, cavity in enumerate(part.cavities):
                if not {f"{name}.{cavity}a", f"{name}.{cavity}b"} & joined:
                    sentence = f"cavity {cavity} of {name} has no lead on either side"
                    remedy = "say which leads pass it, or strike it from the cavities"
                    yield Finding("unused-cavity", ("parts", name, "cavities", index), sentence, remedy)


def dead_ends(harness: Harness) -> Iterator[Finding]:
    """Yield leads that end at a splice or cavity from which nothing leads on."""
    for lead_id, lead in harness.leads.items():
        for key, terminal in (("from", lead.from_), ("to", lead.to)):
            if _ends_here(harness, terminal):
                sentence = f"lead {lead_id} ends at {terminal}, where nothing goes on"
                remedy = "add the lead that takes over there, or end this one where it really ends"
                yield Finding("dead-end", ("leads", lead_id, key), sentence, remedy)


def _ends_here(harness: Harness, terminal: str) -> bool:
    owner, name = harness.terminals[terminal]
    part = harness.parts.get(owner)
    here = len(harness.leads_at[terminal])
    if isinstance(part, Splice):
        return here == 1
    if not isinstance(part, Connector):
        return False
    across = f"{owner}.{name[:-1]}{'b' if name.endswith('a') else 'a'}"
    return here == 1 and across not in harness.leads_at


def bare_terminals(harness: Harness) -> Iterator[Finding]:
    """Yield terminals of parts that no lead and no mount reaches; spare terminals of modules are passed over."""
    joined = _joined(harness)
    for name, part in harness.parts.items():
        if isinstance(part, Connector | Module | Metal):
            continue
        terminals = [f"{name}.{terminal}" for terminal in part.terminals()] or [name]
        bare = [terminal for terminal in terminals if terminal not in joined]
        if bare:
            sentence = f"nothing is fixed to {' and '.join(bare)} ({part.called or part.kind})"
            remedy = "add the lead that goes there, or 'mounts:' where the case itself makes the joint"
            yield Finding("bare-terminal", ("parts", name), sentence, remedy)


def colour_changes(harness: Harness) -> Iterator[Finding]:
    """Yield splices of just two leads whose base colours differ."""
    for name, part in harness.parts.items():
        ends = harness.leads_at.get(name, ())
        if not isinstance(part, Splice) or len(ends) != 2:
            continue
        one, two = (harness.lead_ends[end][0] for end in ends)
        bases = [_base(harness.leads[lead]) for lead in (one, two)]
        if None not in bases and bases[0] != bases[1]:
            sentence = f"the colour changes at splice {name}: {one} is {bases[0]}, {two} is {bases[1]}"
            remedy = "look at both on the machine; if they are right, let it stand"
            yield Finding("colour-change", ("leads", two, "colour"), sentence, remedy)


def _base(lead: Lead) -> str | None:
    """Letters of a lead's base colour; None where it has none that can be read."""
    try:
        return parse_colour(lead.colour).base if lead.colour else None
    except UnknownName:
        return None


def unread_colours(harness: Harness) -> Iterator[Finding]:
    """Yield colours that are none of the standard letters."""
    for lead_id, lead in harness.leads.items():
        try:
            parse_colour(lead.colour or "BK")
        except UnknownName as error:
            remedy = "write IEC 60757 letters, base/tracer, such as VT/WH"
            yield Finding("unread-colour", ("leads", lead_id, "colour"), f"lead {lead_id}: {error}", remedy)


def assumed_values(harness: Harness) -> Iterator[Finding]:
    """Yield leads whose size or length had to be assumed."""
    for lead_id, lead in harness.leads.items():
        for text in lead.assumed():
            remedy = f"measure it and write '{text.split()[0]}:'"
            yield Finding("assumed", ("leads", lead_id), f"lead {lead_id}: {text}", remedy)


def look_alikes(harness: Harness) -> Iterator[Finding]:
    """Yield ids that are told apart only by 0 and O, 1, l and I, or a hyphen."""
    for sections in (("parts", "leads"), ("places",), ("looms",), ("functions",)):
        seen: dict[str, str] = {}
        for section in sections:
            for name in getattr(harness, section):
                other = seen.setdefault(name.translate(_ALIKE).casefold(), name)
                if other != name:
                    sentence = f"'{name}' is easily taken for '{other}'"
                    yield Finding("look-alike", (section, name), sentence, "rename one of the two")


def unsold_fuses(harness: Harness) -> Iterator[Finding]:
    """Yield fuses of a rating that is not sold."""
    for name, part in harness.parts.items():
        if isinstance(part, Fuse) and part.body in fuse_kinds():
            sold = standard_fuse_ratings_a(part.body)
            if part.rating not in sold:
                near = sorted(sorted(sold, key=lambda rating: abs(rating - part.rating))[:2])
                sentence = f"fuse {name} is {part.rating:g} A; {part.body} fuses of that rating are not sold"
                remedy = f"read the rating off its cap; {near[0]:g} A and {near[1]:g} A are sold"
                yield Finding("unsold-fuse", ("parts", name, "rating"), sentence, remedy)


def foreign_bulbs(harness: Harness) -> Iterator[Finding]:
    """Yield filaments rated for another supply than the machine's."""
    supply = harness.supply.nominal
    for name, part in harness.parts.items():
        for label, item in (part.all_filaments() if isinstance(part, Lamp) else {}).items():
            volts = item.volts or (part.volts if isinstance(part, Lamp) else None) or supply
            if not 1 / _OTHER_SUPPLY < volts / supply < _OTHER_SUPPLY:
                words = name if label == "filament" else f"{name}.{label}"
                sentence = f"{words} is a {volts:g} V filament on a {supply:g} V machine"
                remedy = "check the print on the bulb; if it is right, say what takes the rest of the volts"
                yield Finding("foreign-bulb", ("parts", name), sentence, remedy)


def thin_battery_cables(harness: Harness) -> Iterator[Finding]:
    """Yield leads far too thin for their starter: good for less than a third of its amps."""
    for name, part in harness.parts.items():
        if part.kind != "motor" or part.resistance.value >= 1.0:
            continue
        amps = harness.supply.nominal / part.resistance.value
        terminals = {f"{name}.{terminal}" for terminal in part.terminals()}
        for lead_id in [key for key, lead in harness.leads.items() if {lead.from_, lead.to} & terminals]:
            size = harness.leads[lead_id].size_mm2
            if guide_current_a(size) < amps / 3.0:
                sentence = f"lead {lead_id} of {size:g} mm² feeds {name}, which draws up to {amps:.0f} A"
                remedy = "check its size; starter leads are 10 mm² and more"
                yield Finding("thin-cable", ("leads", lead_id, "size"), sentence, remedy)


def idle_names(harness: Harness) -> Iterator[Finding]:
    """Yield looms that no lead runs in and places where nothing is."""
    used = {lead.loom for lead in harness.leads.values()}
    for name in harness.looms:
        if name not in used:
            remedy = "say 'loom:' at its leads, or strike it"
            yield Finding("idle-loom", ("looms", name), f"no lead runs in loom {name}", remedy)
    reached = {part.at for part in harness.parts.values()}
    reached |= {place.inside for place in harness.places.values() if place.inside}
    reached |= {place for loom in harness.looms.values() for place in loom.passes}
    for name in harness.places:
        if name not in reached:
            sentence = f"no part and no loom is at place {name}"
            yield Finding(
                "idle-place", ("places", name), sentence, "say 'at:' at what is there, or strike it"
            )


def no_functions(harness: Harness) -> Iterator[Finding]:
    """Yield one finding if the machine has nothing to do."""
    if not harness.functions:
        sentence = f"{harness.harness} has no functions, so no complaint can be worked on"
        yield Finding("no-functions", ("functions",), sentence, "write what it must do under 'functions:'")


def turned_limits(harness: Harness) -> Iterator[Finding]:
    """Yield conditions whose limit for working weakly is stricter than the one for working."""
    owners = [("functions", name, item.needs) for name, item in harness.functions.items()]
    owners += [
        ("parts", name, part.needs) for name, part in harness.parts.items() if isinstance(part, Module)
    ]
    for section, name, needs in owners:
        for index, need in enumerate(needs):
            good = need.at_least or need.at_most
            if need.weak is None or good is None or need.quantity in ("lit", "works", "sound"):
                continue
            dimension = "ohm" if need.quantity == "ohms" else "volt"
            stricter = quantity(need.weak, dimension) - quantity(good, dimension)
            if stricter * (1 if need.at_least else -1) > 0:
                sentence = f"{name}: it is to work at {good}, yet only weakly at {need.weak}"
                yield Finding(
                    "turned-limits", (section, name, "needs", index, "weak"), sentence, "exchange the two"
                )


#: every check of this module, in the order in which findings are told
HARNESS_CHECKS: tuple[Callable[[Harness], Iterator[Finding]], ...] = (
    dead_ends,
    bare_terminals,
    unused_cavities,
    colour_changes,
    unread_colours,
    look_alikes,
    unsold_fuses,
    foreign_bulbs,
    thin_battery_cables,
    idle_names,
    no_functions,
    turned_limits,
    assumed_values,
)
