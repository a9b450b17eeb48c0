"""Steps that a drill stops because they can hurt people, the machine or the meter."""

from __future__ import annotations

from ohmtrail.circuit.meter import FEEDS, Meter
from ohmtrail.diagnosis import Caution, Step, caution
from ohmtrail.diagnosis.candidates import dangerous
from ohmtrail.diagnosis.cautions import battery_posts, surges
from ohmtrail.diagnosis.steps import hands_in_the_way
from ohmtrail.harness import Harness

__all__ = ["danger_of"]


def danger_of(harness: Harness, meter: Meter, step: Step) -> Caution | None:
    """Say why a step must not be done.

    Parameters
    ----------
    harness : Harness
        The machine.
    meter : Meter
        What is read with.
    step : Step
        What is asked for.

    Returns
    -------
    Caution or None
        The caution that it breaks; None where it may be done with care.
    """
    setting = step.setting
    turning = setting.engine != "still"
    if turning and any(_open_ignition(harness, end) for end in setting.lifted):
        return caution("plug-earthed")
    if surges(harness, setting):
        return caution("surge")
    if step.kind != "measure":
        return None
    if step.quantity in FEEDS and (not setting.dead or frozenset((step.red, step.black)) in battery_posts(harness)):
        return caution("dead-circuit")
    if hands_in_the_way(harness, setting, (step.red, step.black)):
        return caution("turning-parts")
    if turning and _hot(harness, meter) & {step.red, step.black}:
        return caution("high-tension")
    return None


def _hot(harness: Harness, meter: Meter) -> frozenset[str]:
    """Points and leads that no meter may touch while the engine turns."""
    return dangerous(harness, meter, live=True) | harness.high_tension


def _open_ignition(harness: Harness, end: str) -> bool:
    return harness.lead_ends[end][0] in harness.high_tension
