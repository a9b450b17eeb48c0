"""Imports run one way."""

from __future__ import annotations

import ast
from pathlib import Path

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
