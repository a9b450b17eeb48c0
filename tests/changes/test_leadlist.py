"""Lead lists: headings matched forgivingly, every guess told, and the same columns back."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmtrail.changes.columns import COLUMNS, find_columns
from ohmtrail.changes.leadlist import read_lead_list, rows_of, write_lead_list
from ohmtrail.changes.skeleton import skeleton
from ohmtrail.errors import RecordError
from ohmtrail.harness import Harness, load_harness, parse_harness
from ohmtrail.harness.text import read_tree

CIRCUITS = Path(__file__).parents[2] / "circuits"


def made(text: str) -> tuple[Harness, str]:
    """The harness of a list, and all guesses as one text."""
    found = read_lead_list(text, file="l.csv")
    yaml, more = skeleton(found, name="machine")
    return parse_harness(read_tree(yaml, file="l.yaml")), "\n".join((*found.guesses, *more))


@pytest.mark.parametrize("semicolons", [False, True])
@pytest.mark.parametrize("name", sorted(path.stem for path in CIRCUITS.glob("*.yaml")))
def test_the_same_columns_come_back(name: str, semicolons: bool) -> None:
    """Exported, read again and made into a harness: every lead has its ends, colour, size, length and loom."""
    harness = load_harness(CIRCUITS / f"{name}.yaml")
    again, _ = made(write_lead_list(rows_of(harness), semicolons=semicolons))
    assert list(again.leads) == list(harness.leads)
    for lead_id, lead in harness.leads.items():
        other = again.leads[lead_id]
        assert (other.from_, other.to, other.colour, other.loom) == (lead.from_, lead.to, lead.colour, lead.loom)
        assert other.size == pytest.approx(lead.size)
        assert other.length == pytest.approx(lead.length)


def test_a_list_as_workshops_keep_it_is_read_and_every_guess_told() -> None:
    """Semicolons, decimal commas, a byte order mark, foreign headings, words for colours, blanks in terminals."""
    text = (
        "\ufeffWire No;From;To;Farbe;Querschnitt;Länge (cm);Kommentar\r\n"
        "1;Battery +;Fuse box 1;red;2,5;30;\r\n"
        "2;fuse box:2;Horn pin 15;Schwarz/Gelb;0,75;120;so it is\r\n"
        "2;Horn.31;Chassis;mauve;1;20;\r\n"
        ";Battery -;Earth 1;BN;4;;\r\n"
    )
    harness, guesses = made(text)
    one, two, again, last = harness.leads.values()
    assert (one.from_, one.to, one.colour, one.size, one.length) == ("Battery.+", "Fuse-box.1", "RD", 2.5, pytest.approx(0.3))
    assert (two.from_, two.to, two.colour, two.note) == ("Fuse-box.2", "Horn.15", "BK/YE", "so it is")
    assert (again.to, again.colour) == ("frame", "mauve")
    assert (last.to, last.length) == ("Earth-1", None)
    assert list(harness.leads) == ["1", "2", "2-2", "lead-4"]
    assert {name: part.kind for name, part in harness.parts.items()} == {
        "Battery": "battery", "Fuse-box": "module", "Horn": "horn", "Earth-1": "earth",
    }  # fmt: skip
    for said in ("parted by semicolons", "'Farbe' is taken for colour", "'mauve' is none of IEC 60757", "taken for a module", "lead '2' is called 2-2"):
        assert said in guesses


def test_a_part_is_taken_for_what_its_name_says() -> None:
    """The kinds of a small machine; what has one lead is taken for earthed by its fixing; functions wait as comments."""
    text = (
        "from,to\nbattery.+,fuse.1\nfuse.2,light-switch.1\nlight-switch.2,lamp.56\nfuse.2,starter.30\nfuse.2,horn.15\n"
        "horn.31,horn-button.1\nlamp.31,E1\nfuse.2,key.30\nkey.15,lamp-plug.1a\n"
    )
    harness, guesses = made(text)
    kinds = {"fuse": "fuse", "light-switch": "switch", "lamp": "lamp", "starter": "motor", "horn": "horn", "horn-button": "switch", "key": "module", "lamp-plug": "connector"}
    assert {name: harness.parts[name].kind for name in kinds} == kinds
    assert harness.parts["horn-button"].mounts == {"31": "frame"}
    for said in ("taken for a fuse: read its amps off its cap", "whether its fixing earths 31", "watts off the bulb"):
        assert said in guesses
    yaml, _ = skeleton(read_lead_list(text, file="l.csv"), name="machine")
    assert "#   lamp-lights: {when: {SWITCH: POSITION}, needs: [{lit: lamp}]}" in yaml
    lines = yaml.replace("# functions:", "functions:").replace("#   ", "  ").replace("{SWITCH: POSITION}", "{light-switch: on}")
    assert list(parse_harness(read_tree(lines, file="l.yaml")).functions) == ["lamp-lights", "starter-runs", "horn-runs"]


@pytest.mark.parametrize(("numbers", "metres"), [("0.4 1.2 0.6", 0.4), ("40 120 60", 0.4), ("400 1200 600", 0.4), ("40cm 1m 60cm", 0.4)])
def test_lengths_without_a_unit_are_taken_for_what_they_can_be(numbers: str, metres: float) -> None:
    """Metre, centimetre or millimetre by the middle one; a written unit wins."""
    lines = "".join(f"a{i},b{i},{number}\n" for i, number in enumerate(numbers.split()))
    harness, _ = made(f"from,to,length\n{lines}")
    assert next(iter(harness.leads.values())).length == pytest.approx(metres)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the list is empty"),
        ("start,colour\nx,y\n", "no column is headed 'to'"),
        ("from,to\n", "there is no lead under the headings"),
        ("from,to\na.1,\n", "l.csv:2: the lead has nothing under 'to'"),
        ("from,to,size\na.1,b.1,thick\n", "l.csv:2: size: 'thick' is not a quantity"),
        ("from,to\na.1,a.1\n", "begins and ends"),
        ("from,to\na.1,%%\n", "is no terminal"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_line(text: str, said: str) -> None:
    """One sentence, with the line."""
    with pytest.raises(RecordError) as caught:
        read_lead_list(text, file="l.csv")
    assert said in str(caught.value)


@pytest.mark.parametrize("name", [word for name in COLUMNS for word in COLUMNS[name] if name not in ("from", "to")])
def test_every_heading_word_finds_its_column_in_capitals_and_brackets(name: str) -> None:
    """Each word of the table, shouted; and a slip of the pen in a longer one."""
    (wanted,) = [holds for holds, words in COLUMNS.items() if name in words]
    found = find_columns(["FROM", "TO", f" {name.upper()} [x]"], file="l.csv")
    assert [item.holds for item in found] == ["from", "to", wanted]
    assert find_columns(["from", "to", "colur"], file="l.csv")[2].holds == "colour"


CELLS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=12)


@settings(max_examples=60, deadline=None)
@given(rows=st.lists(st.tuples(CELLS, CELLS, CELLS, CELLS), min_size=1, max_size=8))
def test_any_list_loads_or_is_refused(rows: list[tuple[str, ...]]) -> None:
    """Whatever stands in the cells: a harness that loads, or one sentence."""
    lines = ["lead,from,to,colour", *(",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows)]
    try:
        harness, _ = made("\n".join(lines) + "\n")
    except RecordError:
        return
    assert 0 < len(harness.leads) <= len(rows)
