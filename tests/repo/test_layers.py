"""Imports run one way."""

from __future__ import annotations

import ast
from pathlib import Path

import networkx as nx

SOURCE = Path(__file__).parents[2] / "src" / "ohmtrail"
ORDER = [
    "errors",
    "units",
    "storage",
    "journal",
    "harness",
    "circuit",
    "changes",
    "drawing",
    "faults",
    "diagnosis",
    "rehearsal",
    "survey",
    "training",
    "grammar",
    "job",
    "reports",
    "workbench",
    "web",
    "cli",
]


def _room(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def test_imports_run_one_way() -> None:
    """No module imports from a room above its own, imports inside functions included."""
    wrong = []
    for path in sorted(SOURCE.rglob("*.py")):
        room = _room(path)
        if room in ("__init__", "_version"):
            continue
        if room not in ORDER:
            wrong.append(f"{path.relative_to(SOURCE)} stands in a room that the order does not name")
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("ohmtrail."):
                other = str(node.module).split(".")[1]
                if other in ORDER and ORDER.index(other) > ORDER.index(room):
                    wrong.append(f"{path.relative_to(SOURCE)} imports {node.module}")
    assert not wrong


def _module(path: Path) -> str:
    parts = ("ohmtrail", *path.relative_to(SOURCE).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def test_no_two_modules_need_each_other() -> None:
    """No ring of imports, those inside functions included: each module can be read without the one that uses it."""
    paths = {_module(path): path for path in SOURCE.rglob("*.py")}
    graph: nx.DiGraph[str] = nx.DiGraph()
    for name, path in paths.items():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("ohmtrail"):
                within = [f"{node.module}.{item.name}" for item in node.names]
                graph.add_edges_from((name, each if each in paths else str(node.module)) for each in within)
    assert len(graph) > 250
    assert [sorted(ring) for ring in nx.strongly_connected_components(graph) if len(ring) > 1] == []
