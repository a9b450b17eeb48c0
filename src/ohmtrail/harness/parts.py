"""The kinds of part a harness may have, and the terminals each of them brings."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from ohmtrail.harness.fields import (
    Amps,
    ElementId,
    Flag,
    Frozen,
    Hertz,
    Microfarads,
    Millihenries,
    Odds,
    Ohms,
    PlainOhms,
    TerminalRef,
    Volts,
    Watts,
    Word,
    Year,
)
from ohmtrail.units import Toleranced

__all__ = [
    "Alternator",
    "Battery",
    "Capacitor",
    "Coil",
    "Connector",
    "Contact",
    "Delivers",
    "Diode",
    "Earth",
    "Filament",
    "Flasher",
    "Fuse",
    "Horn",
    "Inside",
    "Lamp",
    "Metal",
    "Module",
    "Motor",
    "Need",
    "Pair",
    "Part",
    "Points",
    "Rectifier",
    "Regulator",
    "Relay",
    "Resistor",
    "SparkPlug",
    "Splice",
    "Switch",
    "Winding",
    "WindingHertz",
    "WindingIn",
    "WindingVolts",
]

Pair = tuple[Word, Word]
RefPair = tuple[TerminalRef, TerminalRef]


class Need(Frozen):
    """One electrical condition of a function or a module.

    Exactly one of ``dc``, ``ac``, ``pulse``, ``ohms`` (two points), ``lit`` (lamp or lamp.filament),
    ``works`` (a load that must get 70 % of its volts) and ``sound`` (a part that must not be dead).
    """

    dc: RefPair | None = None
    ac: RefPair | None = None
    pulse: RefPair | None = None
    ohms: RefPair | None = None
    lit: TerminalRef | None = None
    works: ElementId | None = None
    sound: ElementId | None = None
    at_least: str | None = None
    at_most: str | None = None
    weak: str | None = None
    when: dict[ElementId, Word] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _one_kind(self) -> Need:
        kinds = [name for name in ("dc", "ac", "pulse", "ohms", "lit", "works", "sound") if getattr(self, name)]
        if len(kinds) != 1:
            raise ValueError("a condition says exactly one of dc, ac, pulse, ohms, lit, works, sound")
        if kinds[0] in ("dc", "ac", "pulse", "ohms") and (self.at_least is None) == (self.at_most is None):
            raise ValueError(f"a condition on {kinds[0]} says at_least or at_most, one of the two")
        return self

    @property
    def quantity(self) -> str:
        """The kind of condition: dc, ac, pulse, ohms, lit, works or sound."""
        names = ("dc", "ac", "pulse", "ohms", "lit", "works", "sound")
        return next(name for name in names if getattr(self, name))


class _Base(Frozen):
    """What every part may say."""

    at: ElementId
    called: str = ""
    mounts: dict[Word, ElementId] = Field(default_factory=dict)
    made: Year | None = None
    renewed: Year | None = None
    altered: Year | None = None
    odds: Odds = 1.0
    known_good: Flag = False
    original: Flag = False
    note: str = ""

    def terminals(self) -> tuple[str, ...]:
        """Names of the part's terminals, in the order a person would list them."""
        raise NotImplementedError


def _named(*pairs: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for pair in pairs for name in pair))


class Battery(_Base):
    """A battery at rest: volts behind its resistance; terminals ``+`` and ``-``."""

    kind: Literal["battery"]
    volts: Volts = 12.6
    resistance: Ohms = Toleranced(0.020, 0.5)

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ("+", "-")


class Fuse(_Base):
    """A fuse in its holder; terminals ``1`` and ``2``."""

    kind: Literal["fuse"]
    rating: Amps
    body: Literal["glass", "blade", "strip"] = "glass"

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ("1", "2")


class Switch(_Base):
    """A switch: which terminals each position joins."""

    kind: Literal["switch"]
    positions: dict[Word, tuple[Pair, ...]] = Field(min_length=2)
    rests: Word
    rating: Amps | None = None
    resistance: PlainOhms = 0.010

    @model_validator(mode="after")
    def _rests_somewhere(self) -> Switch:
        if self.rests not in self.positions:
            raise ValueError(f"rests at {self.rests!r}, which is none of its positions {', '.join(self.positions)}")
        if not any(self.positions.values()):
            raise ValueError("no position joins anything")
        return self

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return _named(*(pair for pairs in self.positions.values() for pair in pairs))


class Points(Switch):
    """A contact breaker: a switch that the engine works; turn the engine by hand to set it."""

    kind: Literal["points"]  # type: ignore[assignment]


class Connector(_Base):
    """A multi-way plug: each cavity has a side ``a`` and a side ``b``."""

    kind: Literal["connector"]
    cavities: tuple[Word, ...] = Field(min_length=1)
    resistance: PlainOhms = 0.005
    parts_in: str = ""

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return tuple(f"{cavity}{side}" for cavity in self.cavities for side in "ab")


class Splice(_Base):
    """A place where leads are joined for good; its one terminal is named like the part."""

    kind: Literal["splice"]

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ()


class Earth(_Base):
    """A bolted earth point; its one terminal is named like the part."""

    kind: Literal["earth"]
    on: ElementId = "frame"
    resistance: PlainOhms = 0.002

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ()


class Metal(_Base):
    """A mass of metal beside the frame (engine, handlebar); its one terminal is named like the part."""

    kind: Literal["metal"]
    bolted_to: ElementId | None = None
    resistance: PlainOhms = 0.005

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ()


class Filament(Frozen):
    """One filament of a lamp."""

    between: Pair
    watts: Watts
    volts: Volts | None = None


class Lamp(_Base):
    """A filament lamp: ``watts`` and ``between``, or several ``filaments``."""

    kind: Literal["lamp"]
    watts: Watts | None = None
    volts: Volts | None = None
    between: Pair = ("1", "2")
    filaments: dict[Word, Filament] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _some_watts(self) -> Lamp:
        if (self.watts is None) == (not self.filaments):
            raise ValueError("a lamp says either watts or filaments")
        return self

    def all_filaments(self) -> dict[str, Filament]:
        """Every filament by name; the only one of a plain lamp is called ``filament``."""
        if self.filaments:
            return dict(self.filaments)
        assert self.watts is not None
        return {"filament": Filament(between=self.between, watts=self.watts, volts=self.volts)}

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return _named(*(item.between for item in self.all_filaments().values()))


class Horn(_Base):
    """A horn, or any sounder that draws a steady current."""

    kind: Literal["horn"]
    between: Pair = ("1", "2")
    resistance: Ohms = Toleranced(4.0, 0.15)

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Resistor(_Base):
    """A resistor, heater or gauge."""

    kind: Literal["resistor"]
    between: Pair = ("1", "2")
    resistance: Ohms

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Motor(_Base):
    """A motor by the resistance it shows when it works."""

    kind: Literal["motor"]
    between: Pair = ("1", "2")
    resistance: Ohms

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class WindingIn(Frozen):
    """A winding inside an ignition coil."""

    between: Pair
    resistance: Ohms


class Coil(_Base):
    """An ignition coil: primary and secondary."""

    kind: Literal["coil"]
    primary: WindingIn
    secondary: WindingIn

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return _named(self.primary.between, self.secondary.between)


class WindingVolts(Frozen):
    """Open-circuit volts (RMS) of a winding."""

    cranking: Volts
    running: Volts


class WindingHertz(Frozen):
    """Frequency of a winding's volts."""

    cranking: Hertz = 20.0
    running: Hertz = 150.0


class Winding(_Base):
    """A generator winding: AC volts that follow the engine, behind resistance and inductance."""

    kind: Literal["winding"]
    between: Pair
    resistance: Ohms
    inductance: Millihenries = 0.0
    volts: WindingVolts
    frequency: WindingHertz = WindingHertz()

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Rectifier(_Base):
    """A rectifier, perhaps with a regulator in the same case.

    ``input`` takes the winding, ``output`` feeds battery ``+`` and return. ``load`` is what the winding
    sees of the charging circuit; ``limits`` makes it a combined regulator-rectifier.
    """

    kind: Literal["rectifier"]
    input: Pair
    output: Pair
    wave: Literal["half", "full"] = "full"
    load: Ohms = Toleranced(10.0, 0.3)
    resistance: Ohms = Toleranced(0.5, 0.3)
    limits: Volts | None = None

    @model_validator(mode="after")
    def _half_shares_return(self) -> Rectifier:
        if self.wave == "half" and self.input[1] != self.output[1]:
            raise ValueError("a half-wave rectifier has one return: input and output end with the same terminal")
        return self

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return _named(self.input, self.output)


class Regulator(_Base):
    """A shunt regulator: conducts when the volts between its terminals pass ``limits``."""

    kind: Literal["regulator"]
    between: Pair
    limits: Volts
    resistance: Ohms = Toleranced(0.3, 0.3)

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Alternator(_Base):
    """A generator with its rectifier and regulator inside: ``B+``, charge lamp terminal ``D+``, return ``31``."""

    kind: Literal["alternator", "dynamo"]
    limits: Volts = 14.2
    resistance: Ohms = Toleranced(0.06, 0.3)
    field: Ohms = Toleranced(8.0, 0.2)

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ("B+", "D+", "31")


class Contact(Frozen):
    """A contact of a relay."""

    between: Pair
    rests: Literal["open", "closed"] = "open"


class Relay(_Base):
    """A relay or solenoid: contacts that follow the volts of its coil."""

    kind: Literal["relay"]
    coil: Pair = ("86", "85")
    resistance: Ohms = Toleranced(90.0, 0.15)
    pulls_at: Volts = 7.5
    contacts: tuple[Contact, ...] = (Contact(between=("30", "87")),)
    rating: Amps | None = None

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return _named(self.coil, *(item.between for item in self.contacts))


class Flasher(_Base):
    """An indicator flasher: a contact that opens and closes in turn while its lamps draw current."""

    kind: Literal["flasher"]
    between: Pair = ("49", "49a")
    resistance: PlainOhms = 0.05

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Diode(_Base):
    """A diode from ``between[0]`` (anode) to ``between[1]`` (cathode)."""

    kind: Literal["diode"]
    between: Pair = ("A", "K")

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class Capacitor(_Base):
    """A capacitor, such as the condenser across the points."""

    kind: Literal["capacitor"]
    between: Pair = ("1", "2")
    capacitance: Microfarads = 0.22e-6

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return self.between


class SparkPlug(_Base):
    """A spark plug: ``HT`` against its body ``31``, which the engine earths (``mounts``)."""

    kind: Literal["spark-plug"]

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        return ("HT", "31")


class Inside(Frozen):
    """What a sealed module shows between two of its terminals.

    ``live`` is its effective resistance at work; ``ohms`` what an ohmmeter shows, ``unknown`` where
    nobody has measured a good one.
    """

    between: Pair
    live: Ohms
    ohms: Ohms | Literal["unknown"] = "unknown"


class Delivers(Frozen):
    """What a module puts out at work, as pulses."""

    between: Pair
    volts: Volts
    resistance: PlainOhms = 1.0


class Module(_Base):
    """A sealed electronic unit: what it shows, what it needs, what it delivers."""

    kind: Literal["module"]
    inside: tuple[Inside, ...] = ()
    needs: tuple[Need, ...] = ()
    delivers: Delivers | None = None
    named: tuple[Word, ...] = Field(default=(), alias="terminals")
    stores_charge: Flag = False

    @model_validator(mode="before")
    @classmethod
    def _earlier_word(cls, given: Any) -> Any:
        """Read ``pins``, as the first files of version 1 called ``terminals``."""
        if isinstance(given, dict) and "pins" in given and "terminals" not in given:
            return {("terminals" if key == "pins" else key): value for key, value in given.items()}
        return given

    def terminals(self) -> tuple[str, ...]:
        """Terminal ids, in order."""
        delivered = (self.delivers.between,) if self.delivers else ()
        return _named(self.named, *(item.between for item in self.inside), *delivered)


Part = Annotated[
    Battery
    | Fuse
    | Switch
    | Points
    | Connector
    | Splice
    | Earth
    | Metal
    | Lamp
    | Horn
    | Resistor
    | Motor
    | Coil
    | Winding
    | Rectifier
    | Regulator
    | Alternator
    | Relay
    | Flasher
    | Diode
    | Capacitor
    | SparkPlug
    | Module,
    Field(discriminator="kind"),
]
