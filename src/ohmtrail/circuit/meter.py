"""The meter: the one module that decides what a meter shows.

Prediction, likelihood, drills and reports all ask here. A display value is a float: ohm, volt or ampere;
over-range is infinity. For comparing, values are put on a scale on which a meter's error is about even:
the logarithm for ohms, the value itself for volts and amps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ohmtrail.circuit.branches import COLD_RATIO
from ohmtrail.circuit.cases import Cases
from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.laws import filament_current
from ohmtrail.circuit.network import Regime
from ohmtrail.circuit.setting import Setting, put
from ohmtrail.errors import ReadingError
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Points
from ohmtrail.harness.standards import meter_accuracy, meter_fact

__all__ = ["DWELL", "FEEDS", "FLICKERS_BY", "LAMP_BRIGHT", "LAMP_OUT", "QUANTITIES", "SERIES_A", "Meter", "Quantity", "breakers_of", "check_possible", "measure", "noise", "scale", "unscale"]

Floats = NDArray[np.float64]
Pair = tuple[str, str]
Quantity = Literal["ohms", "volts", "ac", "peak", "diode", "beep", "lamp", "amps"]
QUANTITIES: tuple[Quantity, ...] = ("ohms", "volts", "ac", "peak", "diode", "beep", "lamp", "amps")
#: what the meter feeds itself, so that the circuit must be dead
FEEDS: tuple[Quantity, ...] = ("ohms", "beep", "diode")

#: added to ohms before the logarithm, so that the leads' own resistance does not rule the scale
OHM_KNEE = 0.5
#: probe contact: how far two touches of the same point differ, volts at work; common practice, no source
TOUCH_V = 0.01
#: an ordinary meter on the pulses of a flywheel generator, which are no sine, and on a speed that wavers;
#: common practice, no source
AC_SHARE = 0.08
#: what a volts range picks up on a point that hangs free; common practice, no source
GHOST_V, GHOST_AC_V = 0.03, 0.5
#: how far a clamp's zero drifts; up to what a meter's own fused range bears, and how far that is off near nought;
#: common practice, no source
CLAMP_A, SERIES_A, SERIES_LEAST_A = 0.1, 10.0, 0.003
#: shares of the machine's volts above which a test lamp is called bright, and under which it is out; own choice
LAMP_BRIGHT, LAMP_OUT = 0.70, 0.25
#: a display that goes this far to and fro (V, or decades of ohms) is seen to jump; own choice
FLICKERS_BY = 0.3
#: share of a turn for which a contact breaker is closed, and how far machines and settings differ: 50 to 70 %; common
#: practice, no source
DWELL, DWELL_SPREAD = 0.60, 0.10
#: a step that spreads any number of machines evenly
_GOLDEN = 0.6180339887
#: solutions at most to find what a test lamp and a bulb before it settle at
_MOST_WARMINGS = 12
_REGIMES: dict[str, Regime] = {"ohms": "ohms", "beep": "ohms", "volts": "dc", "lamp": "dc", "ac": "ac", "peak": "pulse"}


@dataclass(frozen=True)
class Meter:
    """A meter and what lies beside it on the bench.

    Attributes
    ----------
    name : str
        For people.
    input_ohm : float
        Of its volts ranges.
    top_ohm : float
        Beyond it the ohms range shows over-range.
    beeper_ohm, beeper_least_ohm, beeper_most_ohm : float
        Below it the beeper sounds, and how far meters differ.
    lead_ohm, lead_spread_ohm : float
        Resistance of the pair of test leads, and how well it is known.
    peak_adapter, clamp : bool
        Whether a peak-hold adapter and a clamp for amps are at hand.
    in_series : bool
        Whether amps that its own fused range bears are read with the meter in series, which a clamp reads coarsely.
    test_lamp_w : float
        Watts of the test lamp, 0 for none.
    rated_v : float
        Highest volts it may be put to.
    """

    name: str = "ordinary handheld"
    input_ohm: float = meter_fact("dc volts input").value
    top_ohm: float = meter_fact("ohms over-range").value
    beeper_ohm: float = meter_fact("beeper threshold").value
    beeper_least_ohm: float = meter_fact("beeper threshold").least
    beeper_most_ohm: float = meter_fact("beeper threshold").most
    lead_ohm: float = meter_fact("test leads").value
    lead_spread_ohm: float = 0.15
    peak_adapter: bool = False
    clamp: bool = False
    in_series: bool = False
    test_lamp_w: float = meter_fact("test lamp watts").value
    rated_v: float = 600.0


def check_possible(quantity: Quantity, setting: Setting, meter: Meter) -> None:
    """Refuse a reading that cannot be taken so, or must not.

    Parameters
    ----------
    quantity : str
        What is read.
    setting : Setting
        State of the machine.
    meter : Meter
        What it is read with.

    Raises
    ------
    ReadingError
        Ohms on a live circuit, volts on a dead one, a tool that is not there.
    """
    if quantity in FEEDS and not setting.dead:
        live = "battery off" if setting.battery and setting.fed else "engine still"
        raise ReadingError(f"{quantity} on a live circuit: put the {live.split()[0]} to {live.split()[1]} first ('with {live}')")
    if quantity in ("volts", "lamp", "amps") and setting.dead:
        on = "'with battery on' or an engine state" if setting.fed else "'with engine cranking' or 'with engine running'"
        raise ReadingError(f"{quantity} on a dead circuit: nothing drives it; add {on}")
    if quantity in ("ac", "peak") and setting.engine == "still":
        raise ReadingError(f"{quantity} needs a turning engine: add 'with engine cranking' or 'with engine running'")
    if quantity == "peak" and not meter.peak_adapter:
        raise ReadingError("peak volts need a peak-hold adapter; this job's meter has none")
    if quantity == "amps" and not meter.clamp:
        raise ReadingError("amps need a clamp; this job's meter has none")


def measure(
    electrics: Electrics,
    meter: Meter,
    quantity: Quantity,
    pairs: Sequence[Pair],
    setting: Setting,
    cases: Cases | None = None,
    *,
    machines: Sequence[int] = (0,),
) -> tuple[Floats, Floats]:
    """Say what the meter would show, without its error.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    meter : Meter
        What is used.
    quantity : str
        What is read.
    pairs : sequence of (red, black)
        Probe points; for ``amps`` the lead's name twice.
    setting : Setting
        State of the machine.
    cases : Cases, optional
        Sets of changes.
    machines : sequence of int
        Which draws.

    Returns
    -------
    tuple of array, (n_machines, n_rows, n_pairs)
        Display value in ohm, volt or ampere (over-range: infinity), and what the meter was fed
        through, ohm.
    """
    cases = electrics.sound if cases is None else cases

    def steady(then: Setting) -> tuple[Floats, Floats]:
        return _steady(electrics, meter, quantity, pairs, then, cases, machines)

    breakers = breakers_of(electrics.harness) if setting.engine != "still" and quantity in ("volts", "lamp", "amps") else {}
    if not breakers:
        return steady(setting)
    # what a breaker opens and closes many times a second shows as its mean over the dwell
    shut, gap = (put(electrics.harness, setting, positions={name: both[at] for name, both in breakers.items()}) for at in (0, 1))
    (closed, source), (opened, _) = steady(shut), steady(gap)
    dwell = DWELL + DWELL_SPREAD * (2.0 * ((0.5 + _GOLDEN * np.asarray(machines)) % 1.0) - 1.0)[:, None, None]
    return dwell * closed + (1.0 - dwell) * opened, source


def breakers_of(harness: Harness) -> dict[str, tuple[str, str]]:
    """Give the contact breakers of a machine.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    dict of str to (str, str)
        Id -> its closed and its open position.
    """
    found: dict[str, tuple[str, str]] = {}
    for name, part in harness.parts.items():
        if isinstance(part, Points):
            joins = sorted(part.positions, key=lambda position: -len(part.positions[position]))
            found[name] = joins[0], joins[-1]
    return found


def _steady(
    electrics: Electrics,
    meter: Meter,
    quantity: Quantity,
    pairs: Sequence[Pair],
    setting: Setting,
    cases: Cases,
    machines: Sequence[int],
) -> tuple[Floats, Floats]:
    if quantity == "diode":
        return _diode(electrics, pairs, setting, cases, machines)
    if quantity == "amps":
        return _clamp(electrics, pairs, setting, cases, machines)
    found = electrics.read(_REGIMES[quantity], setting, pairs, cases, machines=machines, source=quantity in ("volts", "ac", "lamp", "peak"))
    if quantity in ("ohms", "beep"):
        value = np.maximum(np.nan_to_num(found.value, nan=np.inf), 0.0) + meter.lead_ohm
        # a gap that rounds to a negative number of gigohms is a gap all the same
        value = np.where((value > meter.top_ohm) | (found.value < -1.0), np.inf, value)
        return value, np.zeros(value.shape)
    if quantity == "lamp":
        volts = _test_lamp(electrics, meter, found.value, found.source_ohm)
        for slot, (red, black) in enumerate(pairs):
            if red not in electrics.fed_straight or black != FRAME:
                _warm(electrics, meter, (red, black), setting, (cases, machines), (volts[:, :, slot], found.value[:, :, slot]))
        return volts, found.source_ohm
    return found.value * meter.input_ohm / (meter.input_ohm + found.source_ohm), found.source_ohm


def _test_lamp(electrics: Electrics, meter: Meter, open_v: Floats, source_ohm: Floats) -> Floats:
    """Volts across a test lamp: it loads the circuit, and its resistance follows its volts."""
    volts = open_v * 0.5
    for _ in range(40):
        ohm = _lamp_ohm(electrics, meter, volts)
        volts = 0.5 * volts + 0.5 * open_v * ohm / (ohm + source_ohm)
    return volts


def _lamp_ohm(electrics: Electrics, meter: Meter, volts: Floats) -> Floats:
    """Resistance of the test lamp at some volts."""
    rated = electrics.harness.supply.nominal
    hot = np.full(volts.shape, rated**2 / max(meter.test_lamp_w, 0.1))
    across = np.where(volts == 0, 1e-9, volts)
    current, _ = filament_current(across, hot, np.full(volts.shape, rated), COLD_RATIO)
    ohm: Floats = across / current
    return ohm


def _warm(
    electrics: Electrics, meter: Meter, pair: Pair, setting: Setting, where: tuple[Cases, Sequence[int]], known: tuple[Floats, Floats]
) -> None:
    """Put right what a test lamp shows behind a load: a bulb in series warms with it and takes volts that it did not cold."""
    (cases, machines), (volts, open_v) = where, known
    for number, machine in enumerate(machines):
        lost = np.abs(open_v[number]) - np.abs(volts[number])
        rows = np.flatnonzero((np.abs(open_v[number]) > LAMP_OUT * electrics.harness.supply.nominal) & (lost > 0.01 * np.abs(open_v[number])))
        if not len(rows):
            continue
        few, ohm = cases.only(rows), _lamp_ohm(electrics, meter, volts[number, rows])
        for _ in range(_MOST_WARMINGS):
            found = electrics.loaded(setting, pair, ohm, few, draw=machine)
            before, ohm = ohm, np.sqrt(ohm * _lamp_ohm(electrics, meter, found))
            if np.all(np.abs(ohm / before - 1.0) < 0.01):
                break
        volts[number, rows] = found


def _diode(
    electrics: Electrics, pairs: Sequence[Pair], setting: Setting, cases: Cases, machines: Sequence[int]
) -> tuple[Floats, Floats]:
    open_v = meter_fact("ohms open-circuit volts").value
    feed = (open_v, open_v / (2.0 * meter_fact("diode test current").value))
    top = meter_fact("diode test over-range").value
    value = np.array([[electrics.fed(setting, pair, feed, cases, draw=m) for pair in pairs] for m in machines])
    value = np.moveaxis(value, 1, 2)
    return np.where(value >= top, np.inf, value), np.zeros(value.shape)


def _clamp(
    electrics: Electrics, pairs: Sequence[Pair], setting: Setting, cases: Cases, machines: Sequence[int]
) -> tuple[Floats, Floats]:
    """Amps in a lead, from the volts over its conductor or, where that is changed, over its joint."""
    network = electrics.network
    shape = (len(machines), len(cases), len(pairs))
    amps = np.zeros(shape)
    for slot, (lead, _) in enumerate(pairs):
        own, joint = network.index[lead], network.index[f"{lead}.from"]
        over = [(network.branches[i].a, network.branches[i].b) for i in (own, joint)]
        volts = electrics.read("dc", setting, over, cases, machines=machines).value
        ohm = np.array([[network.branches[i].ohm * electrics.draws[m].live[i] for i in (own, joint)] for m in machines])
        changed = (cases.rows.branch == own).any(axis=1)
        through = volts / ohm[:, None, :]
        lifted = setting.lifted & {f"{lead}.from", f"{lead}.to"}
        # which way a clamp is held, or which lead is red, is nobody's to know: the size is told
        amps[:, :, slot] = 0.0 if lifted else np.abs(np.where(changed[None, :], through[:, :, 1], through[:, :, 0]))
    return amps, np.zeros(shape)


def scale(quantity: Quantity, shown: Floats | float, meter: Meter) -> Floats:
    """Put display values on the scale on which they are compared.

    Parameters
    ----------
    quantity : str
        What is read.
    shown : array or float
        Display value; infinity for over-range.
    meter : Meter
        What it is read with.

    Returns
    -------
    array, shape of ``shown``
        log10 of ohm plus half an ohm, over-range at the top; volt or ampere as they are.
    """
    value = np.asarray(shown, dtype=np.float64)
    if quantity in ("ohms", "beep"):
        result: Floats = np.log10(np.minimum(value, meter.top_ohm * 1.5) + OHM_KNEE)
        return result
    if quantity == "diode":
        return np.minimum(value, 2.6)
    return value


def unscale(quantity: Quantity, scaled: float) -> float:
    """Turn a scaled value back into a display value.

    Parameters
    ----------
    quantity : str
        What is read.
    scaled : float
        Position on the scale.

    Returns
    -------
    float
        Ohm, volt or ampere.
    """
    return max(10.0**scaled - OHM_KNEE, 0.0) if quantity in ("ohms", "beep") else scaled


def noise(quantity: Quantity, shown: Floats, source_ohm: Floats, meter: Meter) -> Floats:
    """Give the meter's own error as one sigma on the scale of `scale`.

    The stated limits of a meter are taken as two sigma.

    Parameters
    ----------
    quantity : str
        What is read.
    shown : array
        Display value.
    source_ohm : array
        What the meter is fed through, ohm.
    meter : Meter
        What it is read with.

    Returns
    -------
    array, shape of ``shown``
        Sigma, scaled.
    """
    if quantity in ("ohms", "beep"):
        value = np.minimum(shown, meter.top_ohm * 1.5)
        own = meter_accuracy("ohms").percent / 200.0 * value
        ohm = np.sqrt(own**2 + meter.lead_spread_ohm**2)
        # near the top of the range and at over-range meters differ by a good part of a decade
        high = 0.15 * np.clip((np.log10(value + 1.0) - 6.0) / 1.5, 0.0, 1.0)
        result: Floats = np.sqrt((ohm / (value + OHM_KNEE) / np.log(10.0)) ** 2 + high**2 + 0.003**2)
        return result
    name = {"volts": "dc volts", "lamp": "dc volts", "ac": "ac volts", "diode": "diode volts", "amps": "clamp amps", "peak": "peak volts"}[quantity]
    size = np.minimum(np.abs(shown), 1e3)
    floor: Floats | float = {"volts": TOUCH_V, "lamp": 0.3, "ac": 0.02, "diode": 0.03, "amps": CLAMP_A, "peak": 3.0}[quantity]
    if quantity == "amps" and meter.in_series:
        floor = np.where(size < SERIES_A, SERIES_LEAST_A, CLAMP_A)
    free = np.clip(source_ohm / meter.input_ohm, 0.0, 1.0)
    ghost = (GHOST_AC_V if quantity in ("ac", "peak") else GHOST_V) * free
    share = AC_SHARE if quantity == "ac" else meter_accuracy(name).percent / 200.0
    shaken: Floats = np.sqrt((share * size) ** 2 + floor**2 + ghost**2)
    return shaken
