"""What is asked for: readings without a value, looks, the machine set, mends."""

from pathlib import Path

import pytest

from ohmtrail.circuit import Setting
from ohmtrail.circuit.meter import Meter
from ohmtrail.errors import InputError
from ohmtrail.grammar import Asked, Context, Put, ToMend, read_question
from ohmtrail.grammar.asking import mend_named
from ohmtrail.harness import load_harness

HARNESS = load_harness(Path(__file__).parents[2] / "circuits" / "outboard.yaml")
DEAD = Setting(battery=False)


def ask(text: str, setting: Setting = DEAD) -> Asked | Put | ToMend:
    """Read a question on the outboard."""
    return read_question(text, Context(HARNESS, setting, Meter()))


@pytest.mark.parametrize(
    "text",
    [
        "ohms ignition-module.STOP to frame with stop-1.from lifted",
        "OHMS ignition-module.stop earth with stop-1.from off",
        "measure ohms from ignition-module.STOP to frame, with stop-1.from lifted",
        "what is the resistance between ignition-module.STOP and ground with stop-1.from lifted?",
    ],
)
def test_one_reading_in_many_words(text: str) -> None:
    """The points, the quantity and the setting are the same."""
    found = ask(text)
    assert isinstance(found, Asked)
    step = found.step
    assert (step.kind, step.quantity, step.red, step.black) == ("measure", "ohms", "ignition-module.STOP", "frame")
    assert step.setting == Setting(battery=False, lifted=frozenset({"stop-1.from"}))


def test_functions_looks_settings_and_mends() -> None:
    """Each of them by its own first word; a function by its name alone as well."""
    watched = ask("spark-top")
    assert isinstance(watched, Asked)
    assert (watched.step.kind, watched.step.function, watched.step.setting.engine) == ("watch", "spark-top", "cranking")
    assert watched == ask("watch spark of the top cylinder") == ask("does spark-top work?")
    assert watched.step.setting.battery
    looked = ask("look at stop-3")
    assert isinstance(looked, Asked) and (looked.step.kind, looked.step.element) == ("look", "stop-3")
    assert ask("lift stop-1.from and stop-2.to") == Put(Setting(battery=False, lifted=frozenset({"stop-1.from", "stop-2.to"})))
    assert ask("part tiller-plug") == Put(Setting(battery=False, parted=frozenset({"tiller-plug"})))
    assert ask("set lantern-switch on") == Put(Setting(battery=False, positions=(("lantern-switch", "on"),)))
    assert ask("set all back") == Put(Setting())
    assert ask("with battery on") == Put(Setting())
    assert ask("mend renew stop-3") == ToMend("renew stop-3")
    clamp = ask("amps feed-1 with battery on")
    assert isinstance(clamp, Asked) and (clamp.step.red, clamp.step.black) == ("feed-1", "feed-1")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("ohms stop-buton.2 frame", "stop-button.2"),
        ("ohms E1 frame 3.2", "write the question without '3.2', as in 'ohms E1 frame'"),
        ("volts nothing", "write the question without 'nothing', as in 'volts RED frame'"),
        ("beep E1 frame beeps", "as in 'beep E1 frame'"),
        ("ohms E1", "other probe"),
        ("ohms stop-1.from frame", "stop-1.from lifted"),
        ("E1 frame", "begin with one of"),
        ("watch spark-tap", "spark-top"),
        ("watch", "does not say what to read"),
        ("look", "one thing to look at"),
        ("look stop-33", "stop-3"),
        ("lift", "does not say what"),
        ("lift stop-9.from", "stop-5.from"),
        ("part tiller-plg", "tiller-plug"),
        ("set lantern-switch onn", "on"),
        ("?", "ask for a reading"),
        ("x" * 400, "300"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(text: str, said: str) -> None:
    """With the nearest right name or an example."""
    with pytest.raises(InputError) as found:
        ask(text)
    assert said in str(found.value)
    assert "\n" not in str(found.value)


def test_a_mend_by_its_name_or_by_what_is_worked_on() -> None:
    """Near misses are named, and so are several that may be meant."""
    known = {"renew stop-3": "stop-3", "remake the joint stop-3.to": "stop-3.to", "renew stop-3 and feed-1": "stop-3 and feed-1"}
    assert mend_named("Renew  STOP-3", known) == "renew stop-3"
    assert mend_named("stop-3.to", known) == "remake the joint stop-3.to"
    with pytest.raises(InputError, match=r"renew stop-3' or 'renew stop-3 and feed-1'"):
        mend_named("renew", known)
    with pytest.raises(InputError, match="renew stop-3"):
        mend_named("renew stop-33", known)
