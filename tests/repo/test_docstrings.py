"""Docstrings say what the code does: parameters as in the signature, what is given, what is raised; examples run."""

from __future__ import annotations

import ast
import doctest
import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

from ohmtrail import errors

SOURCE = Path(__file__).parents[2] / "src" / "ohmtrail"
PATHS = sorted(SOURCE.rglob("*.py"))
ERRORS = {name for name, item in vars(errors).items() if isinstance(item, type) and issubclass(item, errors.OhmtrailError)}
#: names by which modules call their arrays
ARRAYS = {"Floats", "Ints", "Bools", "Levels", "Complexes"}


def _public() -> Iterator[tuple[str, ast.FunctionDef | ast.ClassDef]]:
    for path in PATHS:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        listed = [node for node in tree.body if isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "__all__"]
        names = ast.literal_eval(listed[0].value) if listed else ()
        for node in tree.body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and node.name in names:
                yield f"{path.relative_to(SOURCE)}:{node.lineno} {node.name}", node


FUNCTIONS = [(where, node, ast.get_docstring(node) or "") for where, node in _public() if isinstance(node, ast.FunctionDef)]


def _section(text: str, name: str) -> str:
    found = re.search(rf"^{name}\n-{{{len(name)}}}\n(.*?)(?=^\w+\n-+\n|\Z)", text, flags=re.MULTILINE | re.DOTALL)
    return found.group(1) if found else ""


def _named(text: str) -> list[str]:
    heads = re.findall(r"^(\*{0,2}\w[\w*, ]*)(?: :|$)", _section(text, "Parameters"), flags=re.MULTILINE)
    return [name.strip(" *") for head in heads for name in head.split(",")]


def _arguments(node: ast.FunctionDef) -> list[str]:
    given = node.args
    more = [item for item in (given.vararg, given.kwarg) if item is not None]
    return [item.arg for item in (*given.posonlyargs, *given.args, *given.kwonlyargs, *more) if item.arg not in ("self", "cls")]


def _gives(node: ast.FunctionDef) -> bool:
    return node.returns is not None and not (isinstance(node.returns, ast.Constant) and node.returns.value is None)


def _bare(node: ast.FunctionDef, text: str) -> bool:
    wants = bool(_arguments(node)) and not _section(text, "Parameters")
    return wants or (_gives(node) and not _section(text, "Returns") and not _section(text, "Yields"))


def test_parameters_are_those_of_the_signature() -> None:
    """In its order, none left out, none made up."""
    wrong = [(where, _named(text), _arguments(node)) for where, node, text in FUNCTIONS if not _bare(node, text) and _named(text) != _arguments(node)]
    assert wrong == []


def test_no_public_function_is_without_sections() -> None:
    """What it takes and what it gives."""
    assert [where for where, node, text in FUNCTIONS if _bare(node, text)] == []


def test_arrays_have_their_shape_in_words() -> None:
    """A function that takes or gives an array says its shape."""
    wrong = []
    for where, node, text in FUNCTIONS:
        if not _bare(node, text) and getattr(node.returns, "id", "") in ARRAYS and not re.search(r"\(.*n_|shape|\(\d", _section(text, "Returns")):
            wrong.append(where)
    assert wrong == []


def _raised(node: ast.FunctionDef) -> set[str]:
    found = {item.exc.func.id for item in ast.walk(node) if isinstance(item, ast.Raise) and isinstance(item.exc, ast.Call) and isinstance(item.exc.func, ast.Name)}
    return (found & ERRORS) - {"Bug"}


def test_what_is_raised_by_name_is_told() -> None:
    """Every class of ours that a public function raises stands under Raises."""
    wrong = [(where, missing) for where, node, text in FUNCTIONS if (missing := [name for name in sorted(_raised(node)) if name not in _section(text, "Raises")])]
    assert wrong == []


def test_public_classes_and_their_methods_have_a_docstring() -> None:
    """One sentence at least."""
    wrong = []
    for where, node in _public():
        if not isinstance(node, ast.ClassDef):
            continue
        methods = [item for item in node.body if isinstance(item, ast.FunctionDef) and not item.name.startswith("_")]
        wrong += [f"{where}.{item.name}" for item in methods if not ast.get_docstring(item)]
        wrong += [] if ast.get_docstring(node) else [where]
    assert wrong == []


@pytest.mark.parametrize("path", [path for path in PATHS if re.search(r">>> [^#]", path.read_text(encoding="utf-8"))], ids=lambda path: path.stem)
def test_examples_in_docstrings_run(path: Path) -> None:
    """And give what stands under them."""
    name = ".".join(path.relative_to(SOURCE.parent).with_suffix("").parts).removesuffix(".__init__")
    done = doctest.testmod(import_module(name))
    assert done.attempted
    assert done.failed == 0
