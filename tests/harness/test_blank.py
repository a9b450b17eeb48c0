"""The blank harness is a sound machine, and the schema knows every key of the files that come with Ohmtrail."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from ohmtrail import workbench
from ohmtrail.errors import HarnessError, InputError
from ohmtrail.harness import parse_harness
from ohmtrail.harness.schema import blank_harness, harness_schema
from ohmtrail.harness.text import read_tree

CIRCUITS = sorted((Path(__file__).parents[2] / "circuits").glob("*.yaml"))
TEXTS = {"blank": blank_harness(), **{path.stem: path.read_text(encoding="utf-8") for path in CIRCUITS}}


def as_editor(text: str) -> list[str]:
    """What an editor underlines: scalars are text or numbers to it, as they stand."""
    data: Any = yaml.load(text, yaml.BaseLoader)
    return [error.message for error in jsonschema.Draft202012Validator(harness_schema()).iter_errors(data)]


def test_the_blank_harness_is_sound(tmp_path: Path) -> None:
    """Nothing to look at, nothing assumed; a name of one's own; nothing is overwritten."""
    path = tmp_path / "mine.yaml"
    workbench.blank(path, name='the "blue" bike: 1974')
    found = workbench.check(path)
    assert found.harness.harness == 'the "blue" bike: 1974'
    assert not found.findings
    with pytest.raises(InputError, match="there already"):
        workbench.blank(path)
    with pytest.raises(InputError, match="one line"):
        workbench.blank(name="two\nlines")


def test_the_blank_harness_names_every_kind() -> None:
    """Its comment lists the kinds of part that the format knows."""
    kinds = {word for item in harness_schema()["$defs"].values() for word in _kinds(item)}
    listed = blank_harness().split("# kinds:")[1].split("parts:")[0].replace("#", " ").replace(",", " ").split()
    assert set(listed) | {"dynamo"} == kinds


def _kinds(item: dict[str, Any]) -> list[str]:
    kind = item.get("properties", {}).get("kind", {})
    return list(kind.get("enum", [kind["const"]] if "const" in kind else []))


def test_every_key_is_explained() -> None:
    """A sentence for each key, wherever it stands."""
    schema = harness_schema()
    for name, model in ({"Harness": schema} | schema["$defs"]).items():
        for key, item in model.get("properties", {}).items():
            assert item["description"].endswith("."), (name, key)


@pytest.mark.parametrize("name", TEXTS)
def test_an_editor_underlines_nothing_that_is_right(name: str) -> None:
    """The schema takes every file that the program takes."""
    assert as_editor(TEXTS[name]) == []


@pytest.mark.parametrize(
    ("right", "wrong"),
    [("colour: RD", "color: RD"), ("kind: fuse", "kind: fuze"), ("places:", "place:"), ("reach: 2 min", "reach: [2]"), ("earthed: negative", "earthed: minus")],
)
def test_a_slip_is_underlined_and_refused(right: str, wrong: str) -> None:
    """By the editor and by the program."""
    text = blank_harness().replace(right, wrong, 1)
    assert text != blank_harness()
    assert as_editor(text)
    with pytest.raises(HarnessError):
        parse_harness(read_tree(text, file="mine.yaml"))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("harness: x\nplaces: {a: {reach: 1 min}}\nparts:\n", "'parts' says nothing yet"),
        ("harness: x\nplaces: {a: {reach: 1 min}}\nparts: {b: {kind: battery, at: a}}\nleads: {l: 5}\n", "'l' cannot be only '5'"),
    ],
)
def test_the_first_lines_are_answered_in_words(text: str, said: str) -> None:
    """Somebody has begun, and checks."""
    with pytest.raises(HarnessError, match=said):
        parse_harness(read_tree(text, file="mine.yaml"))


def test_a_picture_after_the_first_five_lines(tmp_path: Path) -> None:
    """A battery, a lamp and one lead are drawn; a complaint waits for a function."""
    path = tmp_path / "barge.yaml"
    path.write_text(
        "harness: barge\nplaces: {cabin: {reach: 1 min}}\nparts: {battery: {kind: battery, at: cabin}, lamp: {kind: lamp, at: cabin, watts: 10 W}}\n"
        "leads: {red: {from: battery.+, to: lamp.1}}\n",
        encoding="utf-8",
    )
    drawn = workbench.draw(path, kind="whole")
    assert "lamp" in drawn.svg and "red" in drawn.svg
    with pytest.raises(InputError, match="no functions yet"):
        workbench.start(tmp_path / "a.job", harness=path, complaint="lamp absent", now=datetime.now(UTC))
