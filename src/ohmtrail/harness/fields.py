"""Field types of the harness model: text in, checked value out."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, WithJsonSchema

from ohmtrail.units import Toleranced, quantity, toleranced

__all__ = [
    "Amps",
    "ElementId",
    "Flag",
    "Frozen",
    "Hertz",
    "Metres",
    "Microfarads",
    "Millihenries",
    "Minutes",
    "Odds",
    "Ohms",
    "PlainOhms",
    "Size",
    "TerminalRef",
    "Volts",
    "Watts",
    "Word",
    "Year",
]

_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
_REF = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}(\.[A-Za-z0-9+][A-Za-z0-9_+-]{0,31}|\.-)?")
_TERMINAL = re.compile(r"[A-Za-z0-9+][A-Za-z0-9_+-]{0,31}|-")


class Frozen(BaseModel):
    """Base of the model: immutable, no unknown keys, fields also by their Python name."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


#: least and most that a machine of this kind can have, in base units; far beyond any, to catch a slip of the pen
_RANGE = {
    "volt": ("above 0 V and at most 100 kV", 1e-6, 1e5),
    "ampere": ("above 0 A and at most 10 kA", 1e-9, 1e4),
    "watt": ("above 0 W and at most 1 MW", 1e-6, 1e6),
    "metre": ("0 m to 1000 m", 0.0, 1e3),
    "square millimetre": ("above 0 mm2 and at most 1000 mm2", 1e-4, 1e3),
    "minute": ("0 min to 10000 min", 0.0, 1e4),
    "hertz": ("above 0 Hz and at most 1 MHz", 1e-6, 1e6),
    "henry": ("0 H to 1000 H", 0.0, 1e3),
    "farad": ("0 F to 1000 F", 0.0, 1e3),
    "ohm": ("0 Ω to 1 TΩ", 0.0, 1e12),
}


def _within(value: float, text: str, dimension: str) -> float:
    words, least, most = _RANGE[dimension]
    if not least <= value <= most:
        raise ValueError(f"'{text}' is out of range: {words}")
    return value


def _reader(dimension: str) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        number = float(value) if isinstance(value, int | float) else quantity(_text(value), dimension)
        return _within(number, str(value), dimension)

    return read


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError("one value is wanted here, not a list or a mapping")  # pydantic tells ValueErrors only
    return value


def _toleranced(default: float) -> Callable[[Any], Toleranced]:
    def read(value: Any) -> Toleranced:
        if isinstance(value, Toleranced):
            return value
        found = toleranced(_text(value), "ohm", default=default)
        _within(found.value, value, "ohm")
        return found

    return read


def _schema(*examples: str) -> WithJsonSchema:
    return WithJsonSchema({"type": ["string", "number"], "examples": list(examples)})


def _matched(pattern: re.Pattern[str], what: str) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        text = _text(value)
        if not pattern.fullmatch(text):
            raise ValueError(f"{text!r} is not {what}")
        return text

    return read


def _flag(value: Any) -> bool:
    if isinstance(value, bool):
        return value
    word = _text(value).strip().casefold()
    if word not in ("yes", "no", "true", "false"):
        raise ValueError(f"{value!r} is not yes or no")
    return word in ("yes", "true")


def _year(value: Any) -> int:
    text = str(value)
    if not re.fullmatch(r"1[89]\d\d|20\d\d", text):
        raise ValueError(f"{text!r} is not a year such as 1974")
    return int(text)


def _odds(value: Any) -> float:
    text = str(value)
    if not re.fullmatch(r"\d{1,4}(\.\d{1,4})?", text):
        raise ValueError(f"{text!r} is not a plain number such as 5 or 0.2")
    return float(text)


Volts = Annotated[float, BeforeValidator(_reader("volt")), _schema("12 V")]
Amps = Annotated[float, BeforeValidator(_reader("ampere")), _schema("15 A")]
Watts = Annotated[float, BeforeValidator(_reader("watt")), _schema("21 W")]
Metres = Annotated[float, BeforeValidator(_reader("metre")), _schema("0.6 m")]
Size = Annotated[float, BeforeValidator(_reader("square millimetre")), _schema("0.75 mm2", "18 AWG")]
Minutes = Annotated[float, BeforeValidator(_reader("minute")), _schema("5 min")]
Hertz = Annotated[float, BeforeValidator(_reader("hertz")), _schema("50 Hz")]
Millihenries = Annotated[float, BeforeValidator(_reader("henry")), _schema("20 mH")]
Microfarads = Annotated[float, BeforeValidator(_reader("farad")), _schema("0.22 µF")]
PlainOhms = Annotated[float, BeforeValidator(_reader("ohm")), _schema("10 mΩ")]
#: a resistance with its tolerance; 10 % where none is written (common practice, no source)
Ohms = Annotated[Toleranced, BeforeValidator(_toleranced(0.10)), _schema("480 Ω ± 15 %")]
ElementId = Annotated[
    str,
    BeforeValidator(_matched(_ID, "an id: letters, digits, '-' and '_', as in 'head-plug'")),
    WithJsonSchema({"type": ["string", "number"], "examples": ["head-plug"]}),
]
TerminalRef = Annotated[
    str,
    BeforeValidator(_matched(_REF, "a terminal: write 'part.terminal', as in 'head-plug.2a'")),
    WithJsonSchema({"type": ["string", "number"], "examples": ["head-plug.2a"]}),
]
Word = Annotated[
    str,
    BeforeValidator(_matched(_TERMINAL, "a terminal or position name: letters, digits, '+', '-' and '_'")),
    WithJsonSchema({"type": ["string", "number"], "examples": ["56b"]}),
]
Flag = Annotated[bool, BeforeValidator(_flag), WithJsonSchema({"enum": ["yes", "no"]})]
Year = Annotated[int, BeforeValidator(_year), WithJsonSchema({"type": ["string", "number"], "examples": ["1974"]})]
Odds = Annotated[float, BeforeValidator(_odds), _schema("5")]
