"""A measurement from its words, in any order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import get_args

from ohmtrail.circuit import Setting
from ohmtrail.circuit.meter import FEEDS, Meter, Quantity, check_possible
from ohmtrail.diagnosis import Measured, Step
from ohmtrail.diagnosis.cautions import battery_posts
from ohmtrail.errors import ReadingError
from ohmtrail.grammar.names import Names
from ohmtrail.grammar.settings import read_setting
from ohmtrail.grammar.values import is_number, read_value, unit_quantity
from ohmtrail.grammar.words import FLICKERS, OVER_RANGE, QUANTITY_WORDS, SHOWN, UNIT_WORDS
from ohmtrail.harness.model import Harness

__all__ = ["check_ends", "measured", "questioned"]

#: a value to show how a reading is written; else some volts
_EXAMPLES = {"ohms": "3.2", "beep": "silent", "lamp": "dim", "diode": "0.55"}
_ANSWERS = frozenset(word for words in SHOWN.values() for word in words)


@dataclass
class _Parts:
    """The words of a measurement, sorted by what they are."""

    quantities: list[Quantity] = field(default_factory=list)
    points: list[str] = field(default_factory=list)
    numbers: list[str] = field(default_factory=list)
    values: list[str] = field(default_factory=list)
    flickers: bool = False


def measured(
    main: Sequence[str],
    with_words: Sequence[str],
    harness: Harness,
    names: Names,
    setting: Setting,
    meter: Meter,
    proposed: Step | None,
) -> Measured:
    """Read a measurement.

    Parameters
    ----------
    main : sequence of str
        Quantity, points and value in any order.
    with_words : sequence of str
        The ``with`` part, its first word included; may be empty.
    harness : Harness
        The machine.
    names : Names
        Its names.
    setting : Setting
        Its state before.
    meter : Meter
        What is read with.
    proposed : Step or None
        What was proposed; a reading at its points is taken in its setting.

    Returns
    -------
    Measured
        The reading.

    Raises
    ------
    ReadingError, UnknownName, QuantityError, SettingError
        It cannot be understood, or cannot have been taken so.
    """
    parts = _sorted(main, names)
    kind = _kind(parts, proposed, main)
    red, black = _pair(kind, parts, names)
    if proposed is not None and _asked(proposed, kind, red, black):
        setting = proposed.setting
    setting = read_setting(harness, setting, with_words[1:])
    check_possible(kind, setting, meter)
    _check_posts(kind, harness, red, black)
    if proposed is None or not _asked(proposed, kind, red, black, setting):
        check_ends(harness, red, black, setting)
    if parts.flickers:
        return Measured(kind, red, black, setting, flickers=True)
    return Measured(kind, red, black, setting, _value(kind, parts, meter, (red, black)))


def _check_posts(kind: Quantity, harness: Harness, red: str, black: str) -> None:
    """Refuse what would put an ohmmeter on the battery itself, which its leads off do not make dead."""
    if kind in FEEDS and frozenset((red, black)) in battery_posts(harness):
        raise ReadingError(f"{kind} from {red} to {black} puts the meter on the battery itself: read volts there, or {kind} from the end of a lead that is off it")


def questioned(
    main: Sequence[str], with_words: Sequence[str], harness: Harness, names: Names, setting: Setting
) -> Step:
    """Read a measurement that is asked for: a reading without its value.

    Parameters
    ----------
    main : sequence of str
        Quantity and points in any order.
    with_words : sequence of str
        The ``with`` part, its first word included; may be empty.
    harness : Harness
        The machine.
    names : Names
        Its names.
    setting : Setting
        Its state before.

    Returns
    -------
    Step
        What to measure; whether that can be done so is not judged.

    Raises
    ------
    ReadingError, UnknownName, SettingError
        It cannot be understood.
    """
    parts = _sorted(main, names)
    given = [*parts.numbers, *parts.values, *(["flickers"] if parts.flickers else [])]
    if given:
        told = " and ".join(repr(text) for text in given)
        example = " ".join([*(parts.quantities[:1] or ["volts"]), *(parts.points or ["RED", "frame"])])
        raise ReadingError(f"what the meter shows is what you ask for: write the question without {told}, as in '{example}'")
    kind = _kind(parts, None, main)
    red, black = _pair(kind, parts, names)
    setting = read_setting(harness, setting, with_words[1:])
    check_ends(harness, red, black, setting)
    return Step("measure", setting, kind, red, black)


def _sorted(main: Sequence[str], names: Names) -> _Parts:
    """Tell quantity, points and value apart."""
    found = _Parts()
    words = list(main)
    while words:
        word = words.pop(0)
        folded = word.casefold()
        if is_number(word) and not names.is_point(word):
            if words and words[0].casefold() in UNIT_WORDS and not names.is_point(words[0]):
                word += f" {words.pop(0)}"
            found.numbers.append(word)
        elif folded in FLICKERS:
            found.flickers = True
        elif names.is_point(word) or "." in word.strip("."):
            found.points.append(word)
        elif folded in QUANTITY_WORDS and not (folded in ("beep", "lamp") and folded in found.quantities):
            found.quantities.append(QUANTITY_WORDS[folded])
        elif folded in _ANSWERS | OVER_RANGE:
            found.values.append(word)
        else:
            found.points.append(word)
    return found


def _kind(parts: _Parts, proposed: Step | None, main: Sequence[str]) -> Quantity:
    """What was read: said, or told by the unit, or as proposed."""
    said = list(dict.fromkeys(parts.quantities))
    if set(said) == {"ac", "volts"} or set(said) == {"peak", "volts"} or set(said) == {"volts", "diode"}:
        said.remove("volts")
    if len(said) > 1:
        raise ReadingError(f"a reading is one of {' and '.join(said)}: write them as two lines")
    if said:
        return said[0]
    told = [found for text in parts.numbers if (found := unit_quantity(text))]
    if told:
        return told[0]
    if proposed is not None and proposed.kind == "measure" and {proposed.red, proposed.black} <= set(parts.points):
        return proposed.quantity
    if any(text.casefold() in OVER_RANGE for text in parts.values):
        return "ohms"
    words = " ".join(main)
    raise ReadingError(f"{words!r} does not say what was read: begin with one of {', '.join(get_args(Quantity))}")


def _pair(kind: Quantity, parts: _Parts, names: Names) -> tuple[str, str]:
    if kind == "amps":
        if len(set(parts.points)) != 1:
            raise ReadingError("amps are read with the clamp around one lead: write 'amps LEAD 3.1'")
        lead = names.lead(parts.points[0])
        return lead, lead
    points = [names.point(word) for word in parts.points]
    if len(points) > 2:
        raise ReadingError(f"a reading has two points; this names {', '.join(parts.points)}")
    if len(points) < 2:
        probes = f"where was the other probe beside {points[0]}" if points else "where were the probes"
        raise ReadingError(f"{probes}: write red and black, as in '{kind} RED frame {_EXAMPLES.get(kind, '12.4')}'")
    if points[0] == points[1]:
        raise ReadingError(f"both probes were on {points[0]}: name two different points")
    return points[0], points[1]


def _asked(step: Step, kind: Quantity, red: str, black: str, setting: Setting | None = None) -> bool:
    """Whether a reading is the proposed one."""
    same = step.kind == "measure" and step.quantity == kind and {step.red, step.black} == {red, black}
    return same and (setting is None or step.setting == setting)


def check_ends(harness: Harness, red: str, black: str, setting: Setting) -> None:
    """Refuse the end of a lead that is still fixed, unless the other probe shows that its crimp is meant.

    Parameters
    ----------
    harness : Harness
        The machine.
    red, black : str
        Probe points.
    setting : Setting
        Its state.

    Raises
    ------
    ReadingError
        With both remedies: lift it, or name the terminal.
    """
    for point, other in ((red, black), (black, red)):
        if point not in harness.lead_ends or point in setting.lifted:
            continue
        lead, terminal = harness.lead_ends[point]
        if other not in (terminal, f"{lead}.from", f"{lead}.to"):
            raise ReadingError(
                f"{point} is not lifted: add 'with {point} lifted', or name the terminal it is fixed to, {terminal}"
            )


def _value(kind: Quantity, parts: _Parts, meter: Meter, pair: tuple[str, str]) -> float:
    shown = [*parts.numbers, *parts.values]
    if kind == "beep" and not shown and len(parts.quantities) > 1:
        return 1.0
    if not shown:
        raise ReadingError(f"{kind} {pair[0]} {pair[1]}: the value is missing; write what the display showed")
    if len(shown) > 1:
        raise ReadingError(f"more than one value ({', '.join(shown)}): write each reading on its own line")
    if kind not in SHOWN and shown[0].casefold() in _ANSWERS - OVER_RANGE:
        over = ", or OL for over range" if kind in ("ohms", "diode") else ""
        raise ReadingError(f"{shown[0]!r} is no figure: write what the display showed, as in '{kind} {pair[0]} {pair[1]} 0.02'{over}")
    return read_value(kind, shown[0], meter)


