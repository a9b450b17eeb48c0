"""One word for one thing: what users read says lead, part, frame, mend, complaint, and not their cousins."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from ohmtrail.harness.schema import harness_schema
from ohmtrail.reports import as_json

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "ohmtrail"
#: a cousin, and the word of ours; a cousin may stand where it means something else, see `ALLOWED`
COUSINS = {
    r"wires?": "lead",
    r"cables?": "lead",
    r"ground(?:ed|s|ing)?": "frame or earth",
    r"chassis": "frame",
    r"repair(?:s|ed|ing)?": "mend",
    r"symptoms?": "complaint",
    r"components?": "part",
    r"devices?": "part",
    r"pins?": "terminal or cavity",
    r"consumers?": "load",
    r"remarks?": "note",
    r"harnesses of wires": "harness",
    r"bundles?": "loom",
    r"troubleshoot\w*": "find the fault",
    r"tickets?|work orders?|sessions?": "job",
    r"hypothes[ie]s": "suspect",
    r"measurements?": "reading",
    r"probabilit(?:y|ies)": "share or chance",
    r"circuit diagrams?|schematics?": "drawing",
}
#: sentences in which a cousin is the right word
ALLOWED = (
    "cable tie",
    "no session",
    "insulated wire",  # what a lead is, and what a loom
    "bundle of leads",
    "bundles of leads",
    "every wire from one terminal to another",
    "vehicle cable",
    "cutting pliers",
    "device node",
    "wire no",  # heads of other people's lists
    "from pin",
    "to pin",
    "wire end",  # of a winding
    "heating wire",
    "broken wire",  # inside a part
    "wire gauge",
    "pvc cable",
    "a folder, a device",
)
#: rooms whose text people read
ROOMS = (
    "cli", "reports", "grammar", "workbench", "web", "job", "training", "survey", "changes", "circuit", "diagnosis", "drawing", "faults",
    "harness", "journal", "rehearsal",
)


def _said(path: Path) -> list[tuple[int, str]]:
    """String constants of a module that are sentences: docstrings of functions that are no commands left out."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
        and isinstance(node.body[0].value, ast.Constant)
        and not (isinstance(node, ast.FunctionDef) and any("command" in ast.dump(item) for item in node.decorator_list))
    }
    texts = (node for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str))
    return [(node.lineno, str(node.value)) for node in texts if id(node) not in docs and " " in str(node.value).strip()]


def _cousins(text: str) -> list[str]:
    low = text.casefold()
    for phrase in ALLOWED:
        low = low.replace(phrase, "")
    return [f"'{match.group()}' (say {ours})" for word, ours in COUSINS.items() for match in re.finditer(rf"(?<![\w.-]){word}(?![\w-])", low)]


@pytest.mark.parametrize("room", ROOMS)
def test_what_users_read_has_one_word_for_one_thing(room: str) -> None:
    """Sentences of the command line, the page and the papers."""
    wrong = [
        f"{path.relative_to(ROOT)}:{line}: {cousin} in {text[:80]!r}"
        for path in sorted((SOURCE / room).rglob("*.py"))
        for line, text in _said(path)
        for cousin in _cousins(text)
    ]
    assert not wrong


@pytest.mark.parametrize("pattern", ["*.html", "*.js", "*.md"])
def test_pages_have_one_word_for_one_thing(pattern: str) -> None:
    """Templates of pages and papers, the README, the examples."""
    files = [*SOURCE.rglob(pattern), *(ROOT / "examples").rglob(pattern), *ROOT.glob("README.md")]
    wrong = []
    for path in files:
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            words = re.sub(r"<[^>]*>|\{[{%].*?[%}]\}|`[^`]*`", " ", line) if pattern != "*.js" else " ".join(re.findall(r"\"([^\"]* [^\"]*)\"", line))
            wrong += [f"{path.relative_to(ROOT)}:{number}: {cousin}" for cousin in _cousins(words)]
    assert not wrong


def test_what_data_files_tell_people_is_in_our_words() -> None:
    """Cautions, reasons, advice and the commented blank harness: what users read of the data."""
    wrong = [
        f"{path.relative_to(ROOT)}:{number}: {cousin}"
        for path in sorted((SOURCE).rglob("data/*.yaml"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        for cousin in _cousins(re.sub(r"source: .*", "", line))
    ]
    assert not wrong


def test_options_and_verbs_are_named_in_our_words() -> None:
    """No option, argument or verb carries a cousin."""
    names = set()
    for path in (SOURCE / "cli").rglob("*.py"):
        names |= set(re.findall(r"--([a-z-]+)", path.read_text(encoding="utf-8")))
    wrong = [name for name in names for word in COUSINS if any(re.fullmatch(word, part) for part in name.split("-"))]
    assert not wrong


def _described(schema: object) -> Iterator[tuple[str, str]]:
    """Keys of the file format, and what the schema says of them and of what they stand in."""
    if isinstance(schema, dict):
        for key, value in schema.items():
            if key == "properties":
                yield from ((name, name.replace("_", " ")) for name in value)
            elif key == "description":
                yield str(value)[:60], str(value)
            yield from _described(value)
    elif isinstance(schema, list):
        for item in schema:
            yield from _described(item)


def test_the_keys_of_files_are_our_words() -> None:
    """Keys of harness files, and every sentence of their schema."""
    told = list(_described(harness_schema()))
    assert len(told) > 300
    assert not [f"{where}: {cousin}" for where, text in told for cousin in _cousins(text)]


def test_the_keys_of_json_are_our_words() -> None:
    """What --json writes, as it is documented."""
    told = (as_json.__doc__ or "").splitlines()
    assert len(told) > 40
    assert not [f"{line}: {cousin}" for line in told for cousin in _cousins(line.replace("_", " "))]
