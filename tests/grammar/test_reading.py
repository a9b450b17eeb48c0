"""A typed line becomes evidence, or one clear sentence with the remedy."""

import math
from pathlib import Path

import pytest

from ohmtrail.circuit import Setting, put
from ohmtrail.circuit.meter import Meter
from ohmtrail.diagnosis import Looked, Measured, Seen, Step
from ohmtrail.errors import InputError, QuantityError, ReadingError, SettingError, UnknownName
from ohmtrail.grammar import Context, Line, read_complaint, read_line, read_setting
from ohmtrail.harness import Harness, load_harness, parse_harness
from ohmtrail.harness.text import read_tree

MACHINE = Path(__file__).parents[2] / "circuits" / "trail-motorcycle.yaml"


@pytest.fixture(scope="module")
def harness() -> Harness:
    return load_harness(MACHINE)


@pytest.fixture(scope="module")
def rest(harness: Harness) -> Context:
    return Context(harness, Setting(), Meter())


def _measured(line: Line) -> Measured:
    assert isinstance(line.evidence, Measured)
    return line.evidence


@pytest.mark.parametrize(
    ("text", "quantity", "value"),
    [
        ("ohms E1 E3 3.2 with battery off", "ohms", 3.2),
        ("E3 3.2k E1 with battery off", "ohms", 3200.0),
        ("OHMS e1 e3 4k7 WITH BATTERY OFF", "ohms", 4700.0),
        ("E1 E3 = 3,2 kOhm with battery off", "ohms", 3200.0),
        ("E1 E3 0.4 ohms with battery off", "ohms", 0.4),
        ("resistance between E1 and E3 is 1M with battery off", "ohms", 1e6),
        ("E1 E3 ol with battery off", "ohms", math.inf),
        ("ohms E1 E3 over range with battery off", "ohms", math.inf),
        ("ohms E1 E3 900M with battery off", "ohms", math.inf),
        ("volts battery.+ frame 12.4", "volts", 12.4),
        ("BATTERY.+ earth 12,4V", "volts", 12.4),
        ("dc battery.+ frame -0.3", "volts", -0.3),
        ("battery.+ frame 250 mV", "volts", 0.25),
        ("ac ignition-module.CH ignition-module.E 65 V with engine cranking", "ac", 65.0),
        ("65vac ignition-module.CH ignition-module.E with cranking", "ac", 65.0),
        ("beep E1 frame beeps with battery off", "beep", 1.0),
        ("beep E1 frame silent with battery off", "beep", 0.0),
        ("test lamp horn.15 frame dim", "lamp", 0.5),
        ("lamp horn.15 frame bright", "lamp", 1.0),
        ("lamp horn.15 frame out", "lamp", 0.0),
    ],
)
def test_a_measurement_in_many_hands(rest: Context, text: str, quantity: str, value: float) -> None:
    """Units, case and order are forgiven."""
    found = _measured(read_line(text, rest))
    assert found.quantity == quantity
    assert found.value == pytest.approx(value)


def test_flickers_needs_no_value(rest: Context) -> None:
    """A display that comes and goes while a place is moved is a value of its own."""
    found = _measured(read_line("ohms E1 E3 flickers with battery off and moving steering-head", rest))
    assert found.flickers
    assert found.setting.moved == "steering-head"


@pytest.mark.parametrize(
    ("text", "function", "level", "sometimes"),
    [
        ("spark absent", "spark", 0, False),
        ("no spark", "spark", 0, False),
        ("spark works with stop-1.from lifted", "spark", 2, False),
        ("horn weak", "horn-sounds", 1, False),
        ("horn dead", "horn-sounds", 0, False),
        ("Tail lamp dim", "tail", 1, False),
        ("headlamp main bright", "headlamp-main", 2, False),
        ("spark comes and goes", "spark", 0, True),
        ("spark flickers with moving steering-head", "spark", 0, True),
        ("horn does not work", "horn-sounds", 0, False),
    ],
)
def test_a_function_seen(rest: Context, text: str, function: str, level: int, sometimes: bool) -> None:
    """A function is known by its id, by what it is called, or by enough of either."""
    found = read_line(text, rest).evidence
    assert isinstance(found, Seen)
    assert (found.function, found.level, found.sometimes) == (function, level, sometimes)


def test_a_function_is_seen_in_its_own_setting(rest: Context) -> None:
    """Its switches and the engine are put, and the battery is on again, as a person would."""
    dead = Context(rest.harness, put(rest.harness, Setting(), battery=False), rest.meter)
    found = read_line("spark absent", dead).evidence
    assert isinstance(found, Seen)
    assert (found.setting.engine, found.setting.battery) == ("cranking", True)
    assert ("ignition-switch", "on") in found.setting.positions


def test_the_setting_persists_and_with_changes_it(rest: Context) -> None:
    """What was lifted stays lifted until it is said to be back."""
    before = put(rest.harness, Setting(), lifted=["stop-1.from"], battery=False)
    held = Context(rest.harness, before, rest.meter)
    assert _measured(read_line("ohms E1 E3 1", held)).setting == before
    after = _measured(read_line("ohms E1 E3 1 with stop-1.from back, head-plug parted", held)).setting
    assert (after.lifted, after.parted) == (frozenset(), frozenset({"head-plug"}))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("ignition-switch on", ("ignition-switch at on",)),
        ("ignition-switch at on and stop-switch stop", ("ignition-switch at on", "stop-switch at stop")),
        ("Head-Plug parted, main-fuse out", ("head-plug parted", "main-fuse out")),
        ("battery off; engine cranking", ("battery off", "engine cranking")),
        ("moving steering-head", ("moving the wiring at steering-head",)),
        ("ignition-switch=on stop-switch = stop", ("ignition-switch at on", "stop-switch at stop")),
        ("headlamp-bulb out with running", ("headlamp-bulb out", "engine running")),
    ],
)
def test_with(harness: Harness, words: str, said: tuple[str, ...]) -> None:
    """Every phrase of the grammar, with its joining words."""
    assert read_setting(harness, Setting(), words.split()).words() == said


@pytest.mark.parametrize(
    ("text", "function", "level", "sometimes"),
    [
        ("stops absent", "stops", 0, False),
        ("stops sometimes", "stops", 0, True),
        ("work lamp is dim", "work-lamp", 1, False),
        ("no spark", "spark", 0, False),
        ("absent spark", "spark", 0, False),
        ("spark does not work", "spark", 0, False),
    ],
)
def test_a_function_may_be_called_what_else_says_how_it_does(text: str, function: str, level: int, sometimes: bool) -> None:
    """A machine that 'stops', a 'work-lamp': its own names come before words of the grammar, in a complaint and in a reading."""
    machine = """
harness: generating set
places: {bench: {reach: 1 min}}
parts: {lamp: {kind: lamp, at: bench, watts: 5 W}}
leads: {one: {from: lamp.1, to: frame}, two: {from: lamp.2, to: frame}}
functions: {stops: {needs: [{lit: lamp}]}, work-lamp: {needs: [{lit: lamp}]}, spark: {needs: [{lit: lamp}]}}
"""
    context = Context(parse_harness(read_tree(machine, file="set.yaml")), Setting(), Meter())
    seen = read_complaint(text, context)
    assert (seen.function, seen.level, seen.sometimes) == (function, level, sometimes)
    if text != "work lamp is dim":
        assert read_line(text, context).evidence == seen


def test_looks_and_notes(rest: Context) -> None:
    """What was looked at, and remarks."""
    assert read_line("looked stop-2 cracked", rest).evidence == Looked("stop-2", True)
    assert read_line("looked at stop-2: looks sound", rest).evidence == Looked("stop-2", False)
    assert read_line("note left screw is missing", rest).note == "left screw is missing"


@pytest.mark.parametrize(
    ("text", "error", "said"),
    [
        ("ohms head-plug.1x frame 3 with battery off", UnknownName, "head-plug.1b"),
        ("ohms head-plug frame 3 with battery off", ReadingError, "head-plug.1a"),
        ("ohms E1 E3 3", ReadingError, "with battery off"),
        ("volts E1 E3 3 with battery off", ReadingError, "with battery on"),
        ("ac E1 E3 3", ReadingError, "engine cranking"),
        ("ohms stop-2.from frame 3 with battery off", ReadingError, "with stop-2.from lifted"),
        ("ohms stop-2.from frame 3 with battery off", ReadingError, "module-plug.4a"),
        ("ohms E1 E3 12 V with battery off", QuantityError, "ohm"),
        ("ohms E1 E3 -3 with battery off", ReadingError, "less than no resistance"),
        ("volts E1 E3 9000", ReadingError, "600 V"),
        ("volts E1 E3 OL", ReadingError, "over range"),
        ("volts E1 E3 nan", UnknownName, "nan"),
        ("volts E1 E3 1e999", QuantityError, "1e999"),
        ("volts E1 E3", ReadingError, "value is missing"),
        ("volts E1 3", ReadingError, "other probe"),
        ("volts nothing", ReadingError, "where were the probes: write red and black, as in 'volts RED frame 12.4'"),
        ("ohms stop-2.from nothing", ReadingError, "other probe beside stop-2.from: write red and black, as in 'ohms RED frame 3.2'"),
        ("volts E1 E3 nothing", ReadingError, "'nothing' is no figure: write what the display showed, as in 'volts E1 E3 0.02'"),
        ("ohms E1 E3 silent with battery off", ReadingError, "as in 'ohms E1 E3 0.02', or OL for over range"),
        ("volts E1 E1 3", ReadingError, "two different points"),
        ("volts E1 E3 frame 3", ReadingError, "two points"),
        ("volts E1 E3 3 4", ReadingError, "more than one value"),
        ("E1 E3 3 with battery off", ReadingError, "ohms"),
        ("volts E1 E3 3 with ignition-switch sideways", UnknownName, "off, on"),
        ("volts E1 E3 3 with ignition-swich on", UnknownName, "ignition-switch"),
        ("volts E1 E3 3 with stop-1 lifted", SettingError, "stop-1.from"),
        ("volts E1 E3 3 with horn out", SettingError, "lift its leads"),
        ("volts E1 E3 3 with engine flying", UnknownName, "cranking"),
        ("volts E1 E3 3 with moving moon", UnknownName, "place"),
        ("volts E1 E3 3 with battery", SettingError, "battery off"),
        ("ohms E1 E3 with battery off OL", SettingError, "before it, as in 'OL with"),
        ("ohms E1 E3 with battery off 4.7k", SettingError, "before it, as in '4.7k with"),
        ("amps feed-1 3", ReadingError, "clamp"),
        ("peak E1 E3 3 with cranking", ReadingError, "peak-hold"),
        ("lamp E1 E3 purple", UnknownName, "purple"),
        ("spork absent", UnknownName, "spark"),
        ("headlamp dim", ReadingError, "headlamp-dipped or headlamp-main"),
        ("spark purple", UnknownName, "spark"),
        ("looked stop-99 sound", UnknownName, "stop-7"),
        ("looked stop-2", ReadingError, "sound or damaged"),
        ("looked stop-2 purple", ReadingError, "sound"),
        ("3.2", ReadingError, "ohmtrail next"),
        ("works", ReadingError, "ohmtrail next"),
        ("with battery off", ReadingError, "no reading"),
        ("x" * 301, ReadingError, "one line"),
    ],
)
def test_bad_input_is_one_sentence_with_the_remedy(rest: Context, text: str, error: type[InputError], said: str) -> None:
    """Each kind of mistake has its error, which names what to write instead."""
    with pytest.raises(error) as caught:
        read_line(text, rest)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_across_a_crimp_needs_no_lifting(rest: Context) -> None:
    """The end of a fixed lead against its own terminal, or its own other end, is plainly its crimp."""
    for text in ("ohms stop-2.from module-plug.4a 0.1", "ohms stop-2.from stop-2.to 0.1"):
        assert _measured(read_line(f"{text} with battery off", rest)).value == 0.1


def test_bare_answers(rest: Context) -> None:
    """A value alone answers the last proposal, in the proposal's setting."""
    dead = put(rest.harness, Setting(), battery=False, parted=["head-plug"])
    asked = Context(rest.harness, Setting(), rest.meter, Step("measure", dead, "ohms", "stop-2.to", "frame"))
    for text, value in (("3.2", 3.2), ("3.2 k", 3200.0), ("ol", math.inf), ("0,4 ohms", 0.4)):
        found = _measured(read_line(text, asked))
        assert (found.red, found.black, found.setting, found.value) == ("stop-2.to", "frame", dead, value)
    assert _measured(read_line("flickers", asked)).flickers
    with pytest.raises(QuantityError):
        read_line("3 V", asked)
    watch = Context(rest.harness, dead, rest.meter, Step("watch", Setting(engine="cranking"), function="spark"))
    assert read_line("works", watch).evidence == Seen("spark", Setting(engine="cranking"), 2)
    look = Context(rest.harness, dead, rest.meter, Step("look", dead, element="stop-2"))
    assert read_line("damaged", look).evidence == Looked("stop-2", True)
    mend = Context(rest.harness, dead, rest.meter, Step("mend", dead))
    with pytest.raises(ReadingError, match="ohmtrail mend"):
        read_line("works", mend)


def test_a_reading_at_the_proposed_points_is_taken_in_the_proposed_setting(rest: Context) -> None:
    """Typing the points out does not lose the setting, and the proposed crimp is accepted as it is."""
    dead = put(rest.harness, Setting(), battery=False)
    asked = Context(rest.harness, Setting(), rest.meter, Step("measure", dead, "ohms", "stop-2.from", "frame"))
    assert _measured(read_line("stop-2.from frame 3.2", asked)).setting == dead
