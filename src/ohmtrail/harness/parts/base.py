"""What every part may say, and the conditions that functions and modules have."""

from __future__ import annotations

from pydantic import Field, model_validator

from ohmtrail.harness.fields import ElementId, Flag, Frozen, Odds, TerminalRef, Word, Year

__all__ = ["Base", "Need", "Pair", "RefPair", "named"]

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


class Base(Frozen):
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

    def volts_at(self, key: str, nominal: float) -> float:
        """Give volts of the part under a key: what the file says, else the usual ones of a 12 V machine in proportion."""
        volts: float = getattr(self, key)
        return volts if key in self.model_fields_set else volts * (nominal / 12.0)

    def terminals(self) -> tuple[str, ...]:
        """Names of the part's terminals, in the order a person would list them."""
        raise NotImplementedError


def named(*pairs: tuple[str, ...]) -> tuple[str, ...]:
    """Join names of terminals, each once.

    Parameters
    ----------
    *pairs : tuple of str
        Names, in the order a person would list them.

    Returns
    -------
    tuple of str
        In that order.
    """
    return tuple(dict.fromkeys(name for pair in pairs for name in pair))
