"""Cautions: which of them go with a step. Data and rules; shown with every proposal and report."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources

import yaml

from ohmtrail.circuit import Setting
from ohmtrail.circuit.meter import FEEDS
from ohmtrail.circuit.turning import may_crank, must_stop
from ohmtrail.diagnosis.steps import Bench, Step, worked_on
from ohmtrail.harness.model import Harness
from ohmtrail.harness.parts import Rectifier

__all__ = ["Caution", "all_cautions", "battery_posts", "caution", "cautions_for", "surges"]


@dataclass(frozen=True)
class Caution:
    """One caution: id, the sentence to show, where it comes from, and a few words that recall the sentence."""

    id: str
    text: str
    source: str
    brief: str = ""


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Give every caution there is.

    Returns
    -------
    tuple of Caution
        In the order of the data file.
    """
    text = resources.files("ohmtrail.diagnosis").joinpath("data/cautions.yaml").read_text(encoding="utf-8")
    rows = yaml.load(text, Loader=yaml.BaseLoader)["cautions"]  # BaseLoader reads text only
    return tuple(Caution(row["id"], row["text"], row["source"], row["brief"]) for row in rows)


def caution(name: str) -> Caution:
    """Give one caution.

    Parameters
    ----------
    name : str
        Its id.

    Returns
    -------
    Caution
        The caution.
    """
    return next(item for item in all_cautions() if item.id == name)


def cautions_for(harness: Harness, step: Step) -> tuple[Caution, ...]:
    """Say what to be careful of in a step, the worst first.

    Parameters
    ----------
    harness : Harness
        The machine.
    step : Step
        What is to be done.

    Returns
    -------
    tuple of Caution
        Never those that do not apply.
    """
    # a mend is made on a machine at rest; what its try wants is said with the try
    names = ["work-dead"] if step.mend is not None and not worked_on(harness, Bench(Setting()), step.mend).battery else []
    turning = step.setting.engine != "still" and step.kind != "mend"
    if turning and _ignition(harness):
        names += ["high-tension", "plug-earthed"] if _watches_spark(harness, step) else ["high-tension"]
    if step.kind == "measure" and step.quantity in ("ac", "peak"):
        names.append("generator-volts")
    if _near_charge(harness, step) or (turning and step.kind == "watch" and _stores(harness)):
        names.append("stored-charge")
    if step.kind == "measure" and step.quantity in FEEDS:
        names.append("dead-circuit" if harness.has_battery else "engine-at-rest")
        if _touches(harness, step, "battery"):
            names.append("lead-not-post")
    if not turning and step.kind != "mend" and may_crank(harness, step.setting):
        names += ["may-turn", "turning-parts"]
    if step.kind != "mend" and must_stop(harness, step.setting):
        names.append("runs-on")
    if turning:
        names += ["turning-parts", "stop-lead-off", "fuel-vapour"] if _stop_lead_off(harness, step.setting) else ["turning-parts", "fuel-vapour"]
    if turning and step.setting.engine == "running":
        names.append("hot-parts")
    if _touches(harness, step, "battery"):
        names.append("battery-gas")
    if step.setting.out or _touches(harness, step, "fuse"):
        names.append("fuse")
    if step.kind == "mend" and _touches(harness, step, "module"):
        names.append("insulation-tester")
    return tuple(caution(name) for name in dict.fromkeys(names))


def surges(harness: Harness, setting: Setting) -> bool:
    """Say whether a regulated generator runs without its battery.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state.

    Returns
    -------
    bool
        True where the engine runs and the battery is off, or a lead on the battery or on the generator's output
        is lifted at either end. A generator without a regulator is none of these: nothing in it is to be lost.
    """
    if setting.engine != "running":
        return False
    battery = {f"{name}.{pole}" for name, part in harness.parts.items() if part.kind == "battery" for pole in "+-"}
    outputs: set[str] = set()
    for name, part in harness.parts.items():
        if part.kind == "alternator":
            outputs.add(f"{name}.B+")
        elif isinstance(part, Rectifier) and part.limits is not None:
            outputs |= {f"{name}.{terminal}" for terminal in part.output}
    if not battery or not outputs:
        return False
    lifted = (harness.leads[harness.lead_ends[end][0]] for end in setting.lifted)
    return not setting.battery or any({lead.from_, lead.to} & (battery | outputs) for lead in lifted)


def battery_posts(harness: Harness) -> frozenset[frozenset[str]]:
    """Give the posts of each battery: an ohmmeter across the two would be put on a full battery.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    frozenset of frozenset of str
        Two terminals each.
    """
    return frozenset(frozenset((f"{name}.+", f"{name}.-")) for name, part in harness.parts.items() if part.kind == "battery")


def _ignition(harness: Harness) -> bool:
    return any(part.kind in ("coil", "spark-plug") for part in harness.parts.values())


def _stores(harness: Harness) -> bool:
    return any(part.kind == "module" and part.stores_charge for part in harness.parts.values())


def _stop_lead_off(harness: Harness, setting: Setting) -> bool:
    """Whether a lead that stops the ignition is lifted, or hangs on a parted connector."""
    leads = {harness.lead_ends[end][0] for end in setting.lifted}
    ends = [end for terminal, ends in harness.leads_at.items() if terminal.partition(".")[0] in setting.parted for end in ends]
    return any(harness.leads[name].ignition_stop for name in leads | {harness.lead_ends[end][0] for end in ends})


def _watches_spark(harness: Harness, step: Step) -> bool:
    if step.kind != "watch" or step.function not in harness.functions:
        return step.kind == "mend"
    seen_at = harness.functions[step.function].seen_at or ""
    part = harness.parts.get(seen_at.partition(".")[0])
    return part is not None and part.kind == "spark-plug"


def _elements(step: Step) -> tuple[str, ...]:
    mended = (step.mend.element,) if step.mend is not None else ()
    return tuple(item for item in (step.red, step.black, step.element, *mended, *step.setting.lifted, *step.setting.parted) if item)


def _parts_of(harness: Harness, step: Step) -> set[str]:
    found: set[str] = set()
    for item in _elements(step):
        lead, terminal = harness.lead_ends.get(item, (item, item))
        found.add(terminal.partition(".")[0])
        if lead in harness.leads:
            found |= {harness.leads[lead].from_.partition(".")[0], harness.leads[lead].to.partition(".")[0]}
    return found


def _touches(harness: Harness, step: Step, kind: str) -> bool:
    return any(harness.parts[name].kind == kind for name in _parts_of(harness, step) if name in harness.parts)


def _near_charge(harness: Harness, step: Step) -> bool:
    """Whether hands come to a module that stores charge."""
    for name in _parts_of(harness, step):
        part = harness.parts.get(name)
        if part is not None and part.kind == "module" and part.stores_charge:
            return True
    return False
