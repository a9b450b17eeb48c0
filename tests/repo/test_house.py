"""The house: rooms of a size one can hold in the head, names that exist, no ring of imports, nothing that nobody uses."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from importlib import import_module
from pathlib import Path

import networkx as nx
import pytest

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "ohmtrail"
MODULES = {".".join(path.relative_to(SOURCE.parent).with_suffix("").parts).removesuffix(".__init__"): path for path in sorted(SOURCE.rglob("*.py"))}
#: lines that half of all, and nine in ten, stay within
MODULE_MEDIAN, MODULE_MOST = 150, 350
FUNCTION_MEDIAN, FUNCTION_MOST, FUNCTION_EVER = 10, 35, 60
#: doors that are opened from outside: nothing of ours imports them
DOORS = {"ohmtrail", "ohmtrail.cli", "ohmtrail.reports"}
#: what is there for others and for tests: doors whose names are public, and functions that state a promise of theirs
PUBLIC_DOORS = ("ohmtrail", "ohmtrail.harness.standards")
PROMISES = {
    # the least cost and the greedy one, held against textbook examples
    "expected_cost",
    "greedy_cost",
    # the meter's accuracy as its table says it, held against printed examples
    "half_width",
    # what a survey says of machines that are sound, counted in its campaign
    "false_alarms",
}


@cache
def _tree(name: str) -> ast.Module:
    return ast.parse(MODULES[name].read_text(encoding="utf-8"))


def _imports(name: str) -> Iterator[str]:
    """Modules of ours that a module imports, those inside functions too."""
    for node in ast.walk(_tree(name)):
        if isinstance(node, ast.ImportFrom):
            for item in node.names:
                inner = f"{node.module}.{item.name}"
                yield inner if inner in MODULES else str(node.module)
        elif isinstance(node, ast.Import):
            yield from (item.name for item in node.names)


def _declared(name: str) -> list[str] | None:
    """``__all__`` as it is written."""
    for node in _tree(name).body:
        if isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "__all__":
            return list(ast.literal_eval(node.value))
    return None


def _body_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    first = node.body[0]
    doc = first.end_lineno - first.lineno + 1 if ast.get_docstring(node) is not None and first.end_lineno else 0
    return (node.end_lineno or node.lineno) - node.lineno + 1 - doc


def _functions() -> Iterator[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    for name in MODULES:
        for node in ast.walk(_tree(name)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield name, node


def _share(sizes: list[int], part: float) -> int:
    return sorted(sizes)[int(part * (len(sizes) - 1))]


def test_modules_have_a_size_one_can_hold_in_the_head() -> None:
    """Half of them within 150 lines, nine in ten within 350."""
    sizes = [len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES.values()]
    assert _share(sizes, 0.5) <= MODULE_MEDIAN
    assert _share(sizes, 0.9) <= MODULE_MOST


def test_functions_have_a_size_one_can_hold_in_the_head() -> None:
    """Half of them within 10 lines, nine in ten within 35, none over 60, docstrings left out."""
    sizes = [_body_lines(node) for _, node in _functions()]
    assert _share(sizes, 0.5) <= FUNCTION_MEDIAN
    assert _share(sizes, 0.9) <= FUNCTION_MOST
    assert [f"{name}.{node.name}" for name, node in _functions() if _body_lines(node) > FUNCTION_EVER] == []


def test_no_room_is_a_heap() -> None:
    """A room is called by what it holds."""
    heaps = {"utils", "util", "helpers", "common", "misc"}
    assert [name for name in MODULES if heaps & {part.strip("_") for part in name.split(".")}] == []


@pytest.mark.parametrize("name", [name for name in MODULES if name != "ohmtrail._version"])
def test_public_names_are_listed_and_exist(name: str) -> None:
    """Every module lists its public names once each, and has them."""
    declared = _declared(name)
    if not any(isinstance(node, ast.FunctionDef | ast.ClassDef | ast.ImportFrom) for node in _tree(name).body if getattr(node, "module", "") != "__future__"):
        return
    assert declared is not None, f"{name} has no __all__"
    assert len(declared) == len(set(declared))
    module = import_module(name)
    assert [item for item in declared if not hasattr(module, item)] == []


def test_imports_run_in_no_ring() -> None:
    """Inside rooms as well as between them, imports inside functions included."""
    graph = nx.DiGraph((name, other) for name in MODULES for other in _imports(name) if other in MODULES and other != name)
    assert [sorted(ring) for ring in nx.strongly_connected_components(graph) if len(ring) > 1] == []


def test_every_module_is_imported_by_somebody() -> None:
    """Or is a door, or is named as text by what loads it late."""
    used = {other for name in MODULES for other in _imports(name) if other != name}
    texts = {node.value for name in MODULES for node in ast.walk(_tree(name)) if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    parents = {name.rpartition(".")[0] for name in used}
    assert [name for name in MODULES if name not in used | parents | texts | DOORS] == []


def _called() -> set[str]:
    """Every name that code, templates or tests of the package's data mention."""
    names: set[str] = set()
    for name in MODULES:
        for node in ast.walk(_tree(name)):
            if isinstance(node, ast.Name):
                names.add(node.id)
            elif isinstance(node, ast.Attribute):
                names.add(node.attr)
    for path in (*SOURCE.rglob("*.html"), *(ROOT / "tests" / "bench").rglob("*.py")):
        names |= set(path.read_text(encoding="utf-8").replace("(", " ").replace(".", " ").replace("{{", " ").split())
    return names


def test_nothing_is_defined_that_nobody_uses() -> None:
    """A function or method without a decorator is used somewhere in the package, or is public."""
    called = _called()
    public = {item for door in PUBLIC_DOORS for item in _declared(door) or ()} | PROMISES
    dead = [
        f"{name}.{node.name}"
        for name, node in _functions()
        if not node.decorator_list and not (node.name.startswith("__") and node.name.endswith("__")) and node.name not in called | public
    ]
    assert dead == []
